"""The tunes that may be chosen: as delivered, services, and one made."""

from collections.abc import Mapping

import numpy as np

from recommender.catalogue.columns import Ints, Table, TextColumn
from recommender.facts.fields import choice_of, own
from recommender.facts.parts import Priced, Service, Shock
from recommender.rules.choices import DELIVERED, MADE, SERVICED, converted
from recommender.rules.fact import Fact
from recommender.rules.option_table import OptionTable
from recommender.rules.work import What, Work

COEFFICIENTS = (
    "rebound_low_n_s_per_m", "rebound_high_n_s_per_m", "compression_low_n_s_per_m",
    "compression_high_n_s_per_m",
)  # fmt: skip
_CLASSES = tuple(name for name in own(Service, Priced) if name in Shock.model_fields)
OF_TUNE = (*_CLASSES, *COEFFICIENTS)
"""Columns of the shocks that their tune as delivered repeats."""


def tune_options(
    shocks: Table, services: Table, present: int | None, condition: str | None,
    works: Mapping[str, Work], rates: Mapping[str, float],
) -> OptionTable:  # fmt: skip
    """A row for each shock as delivered, each service, the fitted shock serviced, and one made."""
    rows = np.array([] if present is None else [present], np.int64)
    count, offers, keep = len(shocks), len(services), len(rows)
    facts: dict[str, Fact] = {}
    for name in _CLASSES:
        choice = choice_of(Service.model_fields[name])
        accepted = choice.values if choice else ()
        delivered = Fact.of(shocks.columns[name])
        facts[name] = Fact.join([
            delivered, Fact.of(services.columns[name]), delivered.take(rows),
            Fact.word(accepted[0], accepted),
        ])  # fmt: skip
    for name in COEFFICIENTS:
        column = shocks.number(name)
        low = np.where(column.is_known, column.low, np.nan)
        high = np.where(column.is_known, column.top, np.nan)
        measured = Fact.bounds(low, high)
        facts[name] = Fact.join(
            [measured, Fact.constant(np.nan, offers), measured.take(rows), Fact.constant(np.nan)]
        )
    send, service = works["send for revalve"], works["service shock"]
    zero, one = Fact.constant(0.0, count), np.ones(offers)
    facts["price"] = Fact.join([zero, converted(services, rates), Fact.constant(0.0, keep + 1)])
    there = Fact.of(services.columns["delivery_days"])
    away = there.plus(Fact.of(services.columns["work_days"])).plus(send.fact("days", one))
    revalve: tuple[tuple[What, Fact], ...] = (
        ("days", away), ("labour", send.fact("labour", one)), ("workshop", Fact(one)),
    )  # fmt: skip
    for what, made in revalve:
        kept = service.fact(what, np.ones(keep))
        facts[what] = Fact.join([zero, made, kept, Fact.constant(0.0)])
    size = count + offers + keep + 1
    facts["mass_g"] = Fact(np.broadcast_to(0.0, size))
    facts["made"] = Fact.join([Fact.constant(0.0, size - 1), Fact.constant(1.0)])
    broken = np.zeros(size)
    if condition == "broken":
        broken[rows] = 1.0
    facts["leaves_broken"] = Fact(broken)
    labels = [DELIVERED] * count + services.keys() + [SERVICED] * keep + [MADE]
    suppliers = services.text("supplier").between(count, keep + 1)
    return OptionTable(
        tuple(labels), facts, suppliers, np.broadcast_to(np.inf, size), TextColumn.blank(size)
    )


def services_by_shock(shocks: Table, services: Table) -> dict[int, Ints]:
    """Damper family code -> rows of the tune table that serve it (after the delivered rows)."""
    families = shocks.text("damper")
    index = {word: code for code, word in enumerate(families.words) if word}
    found: dict[int, list[int]] = {}
    for row, family in enumerate(services.text("damper").texts()):
        if family in index:
            found.setdefault(index[family], []).append(len(shocks) + row)
    return {code: np.array(rows, np.int64) for code, rows in found.items()}
