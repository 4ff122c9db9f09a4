"""Repeatable draws and the form in which a cell is written."""

from collections.abc import Mapping, Sequence
from random import Random
from typing import TypeVar

SEED = "an invented catalogue, 3"
SOURCE = "invented for the demonstration"

Cell = str | float | int
Row = dict[str, Cell]
_Choice = TypeVar("_Choice")


class Chance:
    """Draws that depend on the seed and the row's own name alone.

    So a row added to one table changes no other row. Only `Random.random` is used: it is the one
    draw whose sequence Python keeps the same from version to version.
    """

    def __init__(self, *name: str) -> None:
        self._random = Random("/".join((SEED, *name)))

    def happens(self, share: float) -> bool:
        return self._random.random() < share

    def between(self, low: float, high: float, step: float) -> float:
        """A multiple of `step` counted from `low`, `high` included where a step meets it."""
        steps = int((high - low) / step + 1e-9)
        return round(low + step * int(self._random.random() * (steps + 1)), 6)

    def pick(self, options: Sequence[_Choice]) -> _Choice:
        return options[int(self._random.random() * len(options))]

    def weighed(self, weights: Mapping[str, float]) -> str:
        left = self._random.random() * sum(weights.values())
        for option, weight in weights.items():
            left -= weight
            if left < 0:
                return option
        return list(weights)[-1]


def text(cell: Cell) -> str:
    """The cell as written: numbers without trailing zeros, texts as they are."""
    return cell if isinstance(cell, str) else f"{cell:.10g}"
