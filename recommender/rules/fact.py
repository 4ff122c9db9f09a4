"""Facts as the engine holds them: the values each may have, exactly enough to test its corners."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, cast

import numpy as np

from recommender.catalogue.codes import code_of, code_of_both
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


_BLANK: tuple[tuple[str, float, int], ...] = (
    ("_price", 50_000.0, -1), ("_labour", 50_000.0, -1), ("_days", 300.0, -1),
    ("_mass_g", 1000.0, -1),
    ("_pressure_min_psi", 450.0, 0), ("_pressure_max_psi", 450.0, -1),
)  # fmt: skip
"""Facts whose blank has no middle worth scoring by: name's ending, the width from which an interval
is a blank, and the end that counts. What nobody priced is scored as dear, slow and heavy; a limit
that nobody told limits nothing."""


_UNWEIGHED = ("_kit_mass_g", 60.0)
"""A sleeve on the bike that nobody weighed: scored at its middle, a usual one's, but not told."""


def blank_span(name: str) -> float:
    """The width from which on a fact's interval stands for a blank; infinite: none does."""
    if name.endswith(_UNWEIGHED[0]):
        return _UNWEIGHED[1]
    return next((span for ending, span, _ in _BLANK if name.endswith(ending)), np.inf)


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

    def nominal_as(self, name: str) -> "Fact":
        """As `nominal`, but where a fact of that name is blank the end that counts."""
        middle = self.nominal
        for ending, span, end in _BLANK:
            if name.endswith(ending) and self.loose is not None:
                blank = self.high - self.low >= span
                return Fact(np.where(blank, self.corners[end], middle.low))
        return middle

    @property
    def corners(self) -> tuple[Floats, ...]:
        return (self.low, *self.others)

    @cached_property
    def codes(self) -> Ints:
        """Rows that agree at every corner have one code; where all do it is 0."""
        code = np.zeros(len(self), np.int64)
        for corner in self.corners if self.loose is not None else (self.low,):
            if len(self) and (corner == corner[0]).all():
                continue
            code = code_of_both(code, code_of(corner))
        return code

    @property
    def high(self) -> Floats:
        """The upper end of a number (its second corner)."""
        return self.others[-1] if self.others else self.low

    @classmethod
    def of(cls, column: Column) -> "Fact":
        if isinstance(column, NumberColumn):
            return cls.bounds(column.low, column.top)
        if isinstance(column, ChoiceColumn):
            # Small whole numbers: half the width holds them as well.
            codes = cast(Floats, column.codes.astype(np.float32))
            loose = codes < 0
            if not loose.any():
                return cls(codes, category=True)
            words = range(len(column.values))
            corners = [np.where(loose, codes.dtype.type(word), codes) for word in words]
            return cls(corners[0], tuple(corners[1:]), loose, True)
        raise TypeError("a text column is no fact of a rule")

    @classmethod
    def constant(cls, value: float, count: int = 1) -> "Fact":
        """So many rows of one value."""
        return cls(np.full(count, value))

    @classmethod
    def told(cls, value: Quantity) -> "Fact":
        """One row of a quantity."""
        return cls.bounds(np.array([value.low]), np.array([value.high]))

    @classmethod
    def word(cls, word: str | None, words: tuple[str, ...]) -> "Fact":
        """One row of a category; unknown ranges over every category."""
        code = -1 if word is None else words.index(word)
        return cls.of(ChoiceColumn(np.array([code], np.int16), words))

    @classmethod
    def join(cls, parts: "list[Fact]") -> "Fact":
        """Rows of several facts one after another."""
        low = np.concatenate([part.low for part in parts])
        most = max(len(part.others) for part in parts)
        category = any(part.category for part in parts)
        if not most:
            return cls(low, category=category)
        others = tuple(
            np.concatenate([p.others[k] if k < len(p.others) else p.high for p in parts])
            for k in range(most)
        )
        loose = np.concatenate(
            [part.loose if part.loose is not None else np.zeros(len(part), bool) for part in parts]
        )
        return cls(low, others, loose, category)

    def plus(self, other: "Fact") -> "Fact":
        """The sum of two numbers, row by row."""
        return Fact.bounds(self.low + other.low, self.high + other.high)

    @classmethod
    def bounds(cls, low: Floats, high: Floats) -> "Fact":
        loose = high > low
        return cls(low, (high,), loose) if loose.any() else cls(low)
