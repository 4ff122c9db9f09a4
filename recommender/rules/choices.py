"""What may be chosen for a shock, and the facts that each choice brings.

A `Market` is the question laid against the catalogue: every shock (the fitted one last, where
known), every kit, service and spring in the wishes' currency, and what else may be chosen:
reusing the sleeves on the bike, keeping the shock with or without a service, and one part of each
group *made to specification*, which breaks no rule but that nobody offers it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from recommender.catalogue.columns import Floats, Ints, NumberColumn, Table
from recommender.facts.bike import Bike
from recommender.facts.fields import blanks
from recommender.facts.parts import Shock
from recommender.rules.fact import Fact, Scalar
from recommender.rules.option_table import OptionTable
from recommender.rules.work import Work

MADE, REUSED_HEAD, REUSED_SHAFT, DELIVERED, SERVICED = (
    "made to specification", "the sleeve now at the head end", "the sleeve now at the shaft end",
    "as delivered", "serviced, tune unchanged",
)  # fmt: skip


@dataclass(frozen=True)
class Market:
    """The catalogue as this question sees it; prices in the wishes' currency."""

    shocks: Table
    present: int | None
    scalars: Mapping[str, Scalar]
    kits: OptionTable
    tunes: OptionTable
    springs: OptionTable
    stroke_owner: Ints
    stroke_mm: Fact
    works: Mapping[str, Work]
    services_of: Mapping[int, Ints]
    bike: Bike
    shock_price: Fact
    order_minimum: Mapping[str, float]
    currency: str
    shock_facts: dict[str, Fact] = field(default_factory=dict)

    def shock_fact(self, name: str) -> Fact:
        """A shock column as a fact; blanks that mean 'no limit stated' are filled."""
        if name not in self.shock_facts:
            own = name.removeprefix("shock_")
            column = self.shocks.columns[own]
            blank = blanks(Shock).get(own)
            if blank and blank.value is not None and isinstance(column, NumberColumn):
                column = _fill_unknown(column, blank.value)
            self.shock_facts[name] = Fact.of(column)
        return self.shock_facts[name]


def _fill_unknown(column: NumberColumn, value: float) -> NumberColumn:
    if column.known is None:
        return column
    low = np.where(column.known, column.low, value)
    return NumberColumn.of(low, np.where(column.known, column.top, value))


def converted(table: Table, rates: Mapping[str, float], name: str = "price") -> Fact:
    """A money column in the wishes' currency."""
    currency = table.text("currency")
    rate = np.array([rates[code] for code in currency.words])[currency.codes]
    column = table.number(name)
    return Fact.bounds(column.low * rate, column.top * rate)


def on_shelf(table: Table) -> Floats:
    """Pieces in stock; infinite where they are not counted."""
    column = table.number("stock")
    return np.where(column.is_known, column.top, np.inf)
