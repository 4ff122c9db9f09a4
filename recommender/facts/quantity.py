"""A number that may be exact, measured with a tolerance, a range to be served, or unknown.

The kinds differ in what a rule must do with them: a *measured* or *unknown* value is one value
that nobody knows exactly; a *range* is every value at once (all riders of 55 to 100 kg).
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from recommender.facts.nearest import nearest
from recommender.facts.units import UNITS, convert, units_of

Kind = Literal["exact", "measured", "range", "unknown"]

UNKNOWN: Any = ""
"""Default of a field that may be left blank; validated into `Quantity` of kind 'unknown'."""


def assumed(value: float) -> Any:
    """Default of a field that is taken as told where it is left blank; validated like any value."""
    return value


_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_WORD = r"[A-Za-z%°\"]\S*"
_MEASURED = re.compile(rf"^\s*({_NUMBER})\s*(?:\+/-|\+-|±)\s*({_NUMBER})\s*({_WORD})?\s*$")
_RANGE = re.compile(rf"^\s*({_NUMBER})\s*(?:\.\.|to)\s*({_NUMBER})\s*({_WORD})?\s*$")
_EXACT = re.compile(rf"^\s*({_NUMBER})\s*({_WORD})?\s*$")
TOO_LARGE = "the number is too large"
_BLANK = frozenset({"", "unknown", "?"})
_SPELLINGS = {
    '"': "in", "inch": "in", "inches": "in", "lbs": "lb", "kgs": "kg", "n/mm": "n_per_mm",
    "lbf/in": "lbf_per_in", "lb/in": "lbf_per_in", "lbs/in": "lbf_per_in", "%": "percent",
    "n.s/m": "n_s_per_m", "ns/m": "n_s_per_m", "deg.": "deg", "°": "deg",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity:
    """Closed interval [low, high] in the field's unit, and what kind of knowledge it stands for."""

    low: float
    high: float
    kind: Kind = "exact"

    @classmethod
    def exact(cls, value: float) -> "Quantity":
        return cls(value, value, "exact")

    @property
    def known(self) -> bool:
        return self.kind != "unknown"

    @property
    def loose(self) -> bool:
        """One unknown value somewhere inside: the engine looks at every corner."""
        return self.kind in ("measured", "unknown") and self.high > self.low

    @property
    def mid(self) -> float:
        return (self.low + self.high) / 2.0


@dataclass(frozen=True, slots=True)
class Number:
    """Declares a numeric field: its unit and the bounds that any sane value keeps.

    The bounds are also what an unknown value ranges over. `counted`: nobody measures it, so it is
    one number or unknown. `parse` reads TOML values and the text
    of a CSV cell alike; raises ValueError saying what is accepted.
    """

    unit: str
    low: float
    high: float
    counted: bool = False

    @property
    def shown_unit(self) -> str:
        """' mm' as it follows a figure; nothing for money, counts and ratios."""
        return f" {self.unit}" if self.unit in UNITS else ""

    @property
    def wanted(self) -> str:
        return f"a number in {self.unit}" if self.unit in UNITS else "a plain number"

    @property
    def accepted(self) -> str:
        """The ways of writing it, as a message lists them."""
        if self.counted:
            return "12, blank for unknown"
        return "12.5, '12.5 +/- 0.5', '10 to 15', blank for unknown"

    def parse(self, raw: Any, given_unit: str | None = None) -> Quantity:
        """Quantity in this field's unit; `given_unit` is the unit named by the field or column."""
        if isinstance(raw, Quantity):
            return raw
        if raw is None:
            return Quantity(self.low, self.high, "unknown")
        if isinstance(raw, int | float) and not isinstance(raw, bool):
            value = finite(raw)
            return self._bounded(value, value, "exact", given_unit)
        if isinstance(raw, str):
            return self._parse_text(raw, given_unit)
        if isinstance(raw, Mapping):
            return self._parse_table(raw, given_unit)
        raise ValueError(f"{self.wanted} is wanted, not {_shown(raw)}")

    def _parse_table(self, raw: Mapping[str, Any], given_unit: str | None) -> Quantity:
        keys = set(raw)
        if keys == {"value", "tolerance"}:
            value, tolerance = finite(raw["value"]), finite(raw["tolerance"])
            return self._measured(value, tolerance, given_unit)
        if keys == {"low", "high", "kind"} and raw["kind"] in ("exact", "measured", "range"):
            low, high = finite(raw["low"]), finite(raw["high"])
            if raw["kind"] == "exact" and low != high:
                raise ValueError(f"an exact number has one value, not {low:g} to {high:g}")
            return self._bounded(low, high, raw["kind"], given_unit)
        if keys == {"from", "to"}:
            return self._bounded(finite(raw["from"]), finite(raw["to"]), "range", given_unit)
        raise ValueError("accepted: {value, tolerance} if measured, {from, to} for a range")

    def _parse_text(self, raw: str, given_unit: str | None) -> Quantity:
        text = raw.strip()
        if text.lower() in _BLANK:
            return Quantity(self.low, self.high, "unknown")
        if len(text) > 80:
            raise ValueError(f"{self.wanted} is wanted, not a text of {len(text)} letters")
        if match := _MEASURED.match(text):
            unit = self._unit(match[3], given_unit)
            return self._measured(float(match[1]), float(match[2]), unit)
        if match := _RANGE.match(text):
            unit = self._unit(match[3], given_unit)
            return self._bounded(float(match[1]), float(match[2]), "range", unit)
        if match := _EXACT.match(text):
            unit = self._unit(match[2], given_unit)
            return self._bounded(float(match[1]), float(match[1]), "exact", unit)
        raise ValueError(
            f"not {self.wanted}; accepted: {self.accepted}"
            f"{'; a decimal point is wanted, not a comma' if ',' in text else ''}"
        )

    def _unit(self, text: str | None, given_unit: str | None) -> str | None:
        """The unit a text names, else the one its field or column names."""
        if text is None:
            return given_unit
        unit = _SPELLINGS.get(text.lower(), text.lower())
        if unit not in UNITS:
            if self.unit not in UNITS:
                raise ValueError(
                    f"no unit is wanted, got {_shown(text)}; accepted: a plain number, such as 180"
                )
            accepted = units_of(UNITS[self.unit][0])
            raise ValueError(
                f"unknown unit {_shown(text)}; accepted: {', '.join(accepted)}"
                f"{nearest(unit[:40], accepted)}"
            )
        return unit

    def _measured(self, value: float, tolerance: float, unit: str | None) -> Quantity:
        if tolerance < 0:
            raise ValueError(f"a tolerance must not be negative, got {tolerance:g}")
        return self._bounded(value - tolerance, value + tolerance, "measured", unit, value)

    def _bounded(
        self, low: float, high: float, kind: Kind, unit: str | None, value: float | None = None
    ) -> Quantity:
        """[low, high] within the field's bounds; `value` is what was read off, if measured."""
        middle = (low + high) / 2.0 if value is None else value
        if not (math.isfinite(low) and math.isfinite(high)):
            raise ValueError(TOO_LARGE)
        if unit is not None and unit != self.unit:
            if self.unit not in UNITS:
                raise ValueError(f"a plain number is wanted, not one in {unit}")
            low, high, middle = (convert(x, unit, self.unit) for x in (low, high, middle))
        if high < low:
            raise ValueError(f"the range runs backwards: {low:g} to {high:g}")
        if self.counted and low < high:
            raise ValueError(
                f"one number is wanted, not {low:g} to {high:g}; accepted: {self.accepted}"
            )
        # A measured value may touch a bound by its tolerance only: the part inside is kept.
        if kind == "measured" and self.low <= middle <= self.high:
            low, high = max(low, self.low), min(high, self.high)
        if low < self.low or high > self.high:
            shown = f"{low:g}" if low == high else f"{low:g} to {high:g}"
            raise ValueError(
                f"{shown}{self.shown_unit} is outside what is accepted: "
                f"{self.low:g} to {self.high:g}{self.shown_unit}"
            )
        return Quantity(low, high, "exact" if kind == "measured" and low == high else kind)

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.parse, serialization=core_schema.plain_serializer_function_ser_schema(dump)
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {
            "description": f"{self.wanted}, {self.low:g} to {self.high:g}; "
            + ("" if self.counted else "'12 +/- 0.5' measured, '10 to 15' a range to be served, ")
            + "blank unknown"
        }


@dataclass(frozen=True, slots=True)
class Choice:
    """Declares a field that takes one of a few words; None stands for unknown."""

    values: tuple[str, ...]

    def parse(self, raw: Any) -> str | None:
        if raw is None:
            return None
        if isinstance(raw, bool):
            raw = "yes" if raw else "no"
        text = str(raw).strip().lower() if isinstance(raw, str | int) else None
        if text is None:
            raise ValueError(f"accepted: {', '.join(self.values)}, or blank for unknown")
        if text in _BLANK:
            return None
        if text not in self.values:
            raise ValueError(
                f"accepted: {', '.join(self.values)}, or blank for unknown"
                f"{nearest(text[:80], self.values)}"
            )
        return text

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.parse, serialization=core_schema.to_string_ser_schema(when_used="unless-none")
        )

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"enum": [*self.values, None]}


def dump(quantity: Quantity) -> Any:
    """The value as TOML and JSON carry it: what `Number.parse` reads back unchanged."""
    if quantity.kind == "unknown":
        return None
    if quantity.kind == "exact":
        return quantity.low
    return {"low": quantity.low, "high": quantity.high, "kind": quantity.kind}


def finite(raw: Any) -> float:
    """The number as a float. ValueError for what is no number, none at all, or too large."""
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        raise ValueError(f"a finite number is wanted, not {_shown(raw)}")
    try:
        value = float(raw)
    except OverflowError:
        raise ValueError(TOO_LARGE) from None
    if not math.isfinite(value):
        raise ValueError("NaN and infinity are not accepted")
    return value


def _shown(raw: Any) -> str:
    """A value in a message, cut short: it may be a megabyte, or nested deeper than repr goes."""
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, str):
        return repr(raw if len(raw) <= 60 else raw[:59] + "…")
    return str(raw)[:60] if isinstance(raw, int | float) else f"a {type(raw).__name__}"
