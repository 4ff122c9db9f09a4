"""The shock that is on the bike now, by what the bike's file and the catalogue tell of it."""

from typing import Any

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Table
from recommender.catalogue.one_row import values
from recommender.catalogue.question import Question
from recommender.facts.bike import PresentShock
from recommender.facts.nearest import nearest
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.rules.tune_options import OF_TUNE


def fitted_shock(question: Question, catalogue: Catalogue) -> Shock | None:
    """The shock on the bike now as one record, its set stroke as its stroke; None: not told."""
    now = question.bike.present_shock
    if now is None or (now.facts is None and not now.part_number):
        return None
    keys = catalogue.shocks.keys()
    if now.part_number in keys:
        return told_over(row_record(catalogue.shocks, keys.index(now.part_number)), now)
    if now.facts is not None:
        return now.facts
    raise BadInput(
        [
            Problem(
                "bike", "no such shock in the catalogue: name one it holds, or give its facts "
                f"in [bike.present_shock.facts]{nearest(now.part_number, keys)}",
                column="bike.present_shock.part_number", value=now.part_number,
            )
        ]
    )  # fmt: skip


def told_over(known: Shock, now: PresentShock) -> Shock:
    """What the bike's file tells of its own shock, over what is known of one of that number; what
    it leaves blank stands as known."""
    told: dict[str, Any] = {}
    if now.own_tune == "yes":
        nothing = Shock(part_number=known.part_number)
        told = {name: getattr(nothing, name) for name in OF_TUNE}
    if now.facts is not None:
        every = {name: getattr(now.facts, name) for name in now.facts.model_fields_set}
        told |= {name: value for name, value in every.items()
                 if (value.known if isinstance(value, Quantity) else value not in (None, ""))}
    return known.model_copy(update=told)


def row_record(shocks: Table, row: int) -> Shock:
    """One shock of the catalogue as a record."""
    return Shock.model_validate(values(shocks, row))
