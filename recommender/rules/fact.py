"""Facts as the engine holds them: the values each may have, exactly enough to test its corners."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Column, Floats, Ints, Mask, NumberColumn
from recommender.facts.quantity import Quantity


@dataclass(frozen=True)
class Scalar:
    """A fact of the question. More than one corner: it is loose, or a range to be served."""

    corners: tuple[Any, ...]
    served: bool = False
    category: bool = False
    middle: Any = None

    @property
    def loose(self) -> bool:
        return len(self.corners) > 1 and not self.served

    @property
    def nominal(self) -> Any:
        """One value to show and to score by: the middle of a number, a category's first word."""
        if self.middle is not None:
            return self.middle
        if self.category or len(self.corners) == 1 or not isinstance(self.corners[0], float | int):
            return self.corners[0]
        return (self.corners[0] + self.corners[-1]) / 2

    @classmethod
    def of(cls, quantity: Quantity) -> "Scalar":
        if quantity.low == quantity.high:
            return cls((quantity.low,))
        return cls((quantity.low, quantity.high), served=quantity.kind == "range")

    @classmethod
    def word(cls, word: str | None, words: tuple[str, ...]) -> "Scalar":
        """A category by its code; unknown ranges over every category."""
        if word is None:
            return cls(tuple(range(len(words))), category=True)
        return cls((words.index(word),), category=True)


@dataclass(frozen=True)
class Fact:
    """A fact with one value per row of its entity: corner 0, and the other corners where loose.

    `others` has one array per further corner; `loose` marks rows where they differ (None: none).
    """

    low: Floats
    others: tuple[Floats, ...] = ()
    loose: Mask | None = None
    category: bool = False

    def __len__(self) -> int:
        return len(self.low)

    def take(self, rows: Ints) -> "Fact":
        if self.loose is None:
            return Fact(self.low[rows], category=self.category)
        loose = self.loose[rows]
        if not loose.any():
            return Fact(self.low[rows], category=self.category)
        others = tuple(other[rows] for other in self.others)
        return Fact(self.low[rows], others, loose, self.category)

    @property
    def nominal(self) -> "Fact":
        """The exact fact to show and to score by: middles of numbers, first words of categories."""
        if self.loose is None:
            return self
        if self.category:
            return Fact(self.low, category=True)
        return Fact(np.where(self.loose, (self.low + self.high) / 2, self.low))

    @property
    def corners(self) -> tuple[Floats, ...]:
        return (self.low, *self.others)

    @property
    def high(self) -> Floats:
        """The upper end of a number (its second corner)."""
        return self.others[-1] if self.others else self.low

    @classmethod
    def of(cls, column: Column) -> "Fact":
        if isinstance(column, NumberColumn):
            if column.high is None:
                return cls(column.low)
            loose = column.high > column.low
            return cls(column.low, (column.high,), loose) if loose.any() else cls(column.low)
        if isinstance(column, ChoiceColumn):
            codes = column.codes.astype(np.float64)
            loose = codes < 0
            if not loose.any():
                return cls(codes, category=True)
            corners = [np.where(loose, float(word), codes) for word in range(len(column.values))]
            return cls(corners[0], tuple(corners[1:]), loose, True)
        raise TypeError("a text column is no fact of a rule")

    @classmethod
    def join(cls, parts: "list[Fact]") -> "Fact":
        """Rows of several facts one after another."""
        low = np.concatenate([part.low for part in parts])
        most = max(len(part.others) for part in parts)
        category = any(part.category for part in parts)
        if not most:
            return cls(low, category=category)
        others = tuple(
            np.concatenate([part.others[k] if k < len(part.others) else part.high for part in parts])
            for k in range(most)
        )
        loose = np.concatenate(
            [part.loose if part.loose is not None else np.zeros(len(part), bool) for part in parts]
        )
        return cls(low, others, loose, category)

    @classmethod
    def bounds(cls, low: Floats, high: Floats) -> "Fact":
        loose = high > low
        return cls(low, (high,), loose) if loose.any() else cls(low)
