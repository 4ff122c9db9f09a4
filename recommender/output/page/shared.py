"""What the page's data holds once and refers to by number: texts, columns, groups of entries.

A column has a cell for every entry of its group. Infinity, which JSON lacks, is null; whoever reads
it knows which end is meant.
"""

import json
import math
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from recommender.movable.entries import Interval
from recommender.movable.lines import Memo
from recommender.output.screen import safe

FIELDS = (
    "price", "mass", "days", "travel", "doubt", "touched", "ordered", "nodes", "values", "workshop",
    "figures", "lines", "cautions", "told", "lacks", "known", "sizes",
)  # fmt: skip
"""What a group's row holds, in this order; what stands behind its last is left out."""


class Listed:
    """Values by number, each listed once."""

    def __init__(self) -> None:
        self.values: list[Any] = []
        self._at: dict[Hashable, int] = {}

    def number(self, key: Hashable, make: Callable[[], Any]) -> int:
        """The number of the value with that key, which is made where there is none yet."""
        if key not in self._at:
            self._at[key] = len(self.values)
            self.values.append(make())
        return self._at[key]


@dataclass(frozen=True)
class Shared:
    """Texts, columns and groups as they are listed, and what is made once for many."""

    texts: Listed = field(default_factory=Listed)
    columns: Listed = field(default_factory=Listed)
    groups: Listed = field(default_factory=Listed)
    memo: Memo = field(default_factory=Memo)

    def text(self, text: str) -> int:
        return self.texts.number(text, lambda: safe(text))

    def column(self, values: Any) -> int:
        """A column of numbers."""
        cells = np.asarray(values, float)
        return self.columns.number(cells.tobytes(), lambda: [_cell(one) for one in cells.tolist()])

    def listing(self, rows: list[Any]) -> int:
        """A column of lists or of numbers of texts."""
        text = json.dumps(rows)
        return self.columns.number(text, lambda: rows)

    def interval(self, one: Interval) -> int | list[int]:
        """The columns of what is shown, the lowest and the highest; one number if they are one."""
        found = [self.column(every) for every in (one.nominal, one.low, one.high)]
        return found[0] if found[0] == found[1] == found[2] else found

    def group(self, told: dict[str, Any]) -> int:
        """A group of entries: its fields by name."""
        row = [told.get(name) for name in FIELDS]
        while row[-1] is None:
            row.pop()
        return self.groups.number(json.dumps(row), lambda: row)


def _cell(value: float) -> float | int | None:
    if not math.isfinite(value):
        return None
    return int(value) if value == int(value) and abs(value) < 2**53 else value
