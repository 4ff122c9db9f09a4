"""Rows that may be chosen: kits, tunes or springs."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from recommender.catalogue.columns import Floats, Ints, TextColumn
from recommender.rules.fact import Fact

TABLE_OF: Mapping[str, Literal["kits", "springs", "tunes"]] = MappingProxyType(
    {"head_kit": "kits", "shaft_kit": "kits", "spring": "springs", "tune": "tunes"}
)
"""Choices -> the market's table that they choose from."""


@dataclass(frozen=True)
class OptionTable:
    """Rows that may be chosen: a label each (the catalogue's key where it is one), and facts."""

    labels: tuple[str, ...]
    facts: Mapping[str, Fact]
    supplier: TextColumn
    stock: Floats
    """Pieces on the shelf; infinite where not counted."""
    pairs_with: TextColumn

    def take(self, rows: Ints) -> "OptionTable":
        """Those rows, in that order."""
        return OptionTable(
            tuple(self.labels[row] for row in rows.tolist()),
            {name: fact.take(rows) for name, fact in self.facts.items()},
            self.supplier.take(rows),
            self.stock[rows],
            self.pairs_with.take(rows),
        )
