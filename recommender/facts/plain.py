"""Plain numbers, told without a tolerance: the limits of a wish, the readings of a table."""

import math
from dataclasses import dataclass
from typing import Any

from recommender.facts.quantity import Number, finite
from recommender.facts.units import convert


class _Unbounded(Number):
    """A number that takes no tolerance; its model tells the bounds."""

    @property
    def accepted(self) -> str:
        return f"12.5, '12.5 {self.unit}', '10 to 15' for a range"


@dataclass(frozen=True, slots=True)
class Plain:
    """Declares the unit of a field whose numbers the model itself checks: one number, a pair, or
    the two ends of a range."""

    unit: str

    def parse(self, raw: Any, given_unit: str | None = None) -> Any:
        """The number in this field's unit; of 'a to b' both ends, of a blank None; anything that
        is no number unchanged. ValueError says what is accepted."""
        if isinstance(raw, str):
            return self._parse_text(raw, given_unit)
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            return raw
        value = finite(raw)
        return raw if given_unit is None else convert(value, given_unit, self.unit)

    def _parse_text(self, raw: str, given_unit: str | None) -> Any:
        got = _Unbounded(self.unit, -math.inf, math.inf).parse(raw, given_unit)
        if got.kind == "unknown":
            return None
        if got.kind == "measured":
            raise ValueError("a plain number is wanted here, without a tolerance")
        return got.low if got.kind == "exact" else {"low": got.low, "high": got.high}
