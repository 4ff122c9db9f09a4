"""What a fitted shock left the factory with, looked up by the full part number it bears."""

from dataclasses import replace
from typing import Any

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Table
from recommender.catalogue.one_row import value
from recommender.catalogue.question import Question
from recommender.facts.bike import PresentShock, Sleeve
from recommender.facts.fields import numbers
from recommender.facts.nearest import nearest
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.rules.fitted import row_record, told_over

TUNE = ("compression_class", "rebound_class", "lockout_class")
_SETTINGS = ("volume_spacers", "spring_rate_n_per_mm")


def with_delivered(question: Question, catalogue: Catalogue) -> Question:
    """The question with the fitted shock's tune, spacers, spring and sleeves filled in where the
    bike file leaves them blank and its part number stands in the table of delivered tunes.

    Raises BadInput for a number that neither that table nor shocks.csv has, unless the bike file
    tells the facts itself.
    """
    now, table = question.bike.present_shock, catalogue.delivered_tunes
    if now is None or table is None or not now.part_number:
        return question
    tunes, shocks = table.keys(), catalogue.shocks.keys()
    if now.part_number not in tunes:
        if now.facts is None and now.part_number not in shocks:
            raise _unknown(now.part_number, [*tunes, *shocks])
        return question
    filled = _filled(now, table, tunes.index(now.part_number), catalogue.shocks)
    bike = question.bike.model_copy(update={"present_shock": filled})
    return replace(question, bike=bike)


def _filled(now: PresentShock, table: Table, row: int, shocks: Table) -> PresentShock:
    update: dict[str, Any] = {
        name: value(table, name, row) for name in _SETTINGS if not getattr(now, name).known
    }
    for end in ("head", "shaft"):
        sleeve: Sleeve = getattr(now, f"{end}_sleeve")
        blank = [n for n in ("width_mm", "bore_mm", "diameter_mm") if not getattr(sleeve, n).known]
        told = {name: value(table, f"{end}_sleeve_{name}", row) for name in blank}
        update[f"{end}_sleeve"] = sleeve.model_copy(update=told)
    known = _shock_facts(now.part_number, table, row, shocks)
    facts = now.facts if known is None else told_over(known, now)
    if facts is None:
        message = "its delivered tune is known, its size and mounts are not: give them here"
        place = "bike.present_shock.facts"
        raise BadInput([Problem("bike", message, column=place, value=now.part_number)])
    blanks = [] if now.own_tune == "yes" else TUNE
    tune = {name: value(table, name, row) for name in blanks
            if getattr(now.facts, name, None) is None}  # fmt: skip
    # With it the facts tell the tune, whatever the catalogue has under that number.
    update |= {"facts": facts.model_copy(update=tune), "own_tune": "yes"}
    return now.model_copy(update=update)


def _shock_facts(part_number: str, table: Table, row: int, shocks: Table) -> Shock | None:
    """The shock it is a variant of; what was measured of that one's damper says nothing of this."""
    keys = shocks.keys()
    name = table.text("shock")[row] or part_number
    if name not in keys:
        return None
    known = row_record(shocks, keys.index(name))
    unknown = {
        side: Quantity(number.low, number.high, "unknown")
        for side, number in numbers(Shock).items()
        if number.unit == "n_s_per_m"
    }
    return known.model_copy(update=unknown)


def _unknown(number: str, known: list[str]) -> BadInput:
    message = (
        "neither the delivered tunes nor the shocks of the catalogue have this part number: read "
        "it off the shock again, or give its facts in [bike.present_shock.facts]"
        f"{nearest(number, known)}"
    )
    place = "bike.present_shock.part_number"
    return BadInput([Problem("bike", message, column=place, value=number)])
