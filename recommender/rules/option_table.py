"""Rows that may be chosen: kits, tunes or springs."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from recommender.catalogue.columns import Floats, Ints
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
    supplier: tuple[str, ...]
    stock: Floats
    """Pieces on the shelf; infinite where not counted."""
    pairs_with: tuple[str, ...]

    def take(self, rows: Ints) -> "OptionTable":
        """Those rows, in that order."""
        listed = rows.tolist()
        labels, supplier, pairs = (
            tuple(one[row] for row in listed)
            for one in (self.labels, self.supplier, self.pairs_with)
        )
        facts = {name: fact.take(rows) for name, fact in self.facts.items()}
        return OptionTable(labels, facts, supplier, self.stock[rows], pairs)
