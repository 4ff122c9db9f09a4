"""Numbers as people write them: rounded as their unit deserves, money with its currency."""

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

DECIMALS: Mapping[str, int] = MappingProxyType({
    "mm": 1, "psi": 0, "g": 0, "kg": 1, "percent": 1, "n_per_mm": 1, "n_s_per_m": 0, "days": 0,
    "mm_fine": 2, "count": 1, "ratio": 2, "money": 2, "place": 0, "cm3": 0, "mm2": 0, "share": 2,
})  # fmt: skip
UNIT_WORDS: Mapping[str, str] = MappingProxyType({
    "mm_fine": "mm", "percent": "%", "n_per_mm": "N/mm", "n_s_per_m": "N s/m", "count": "",
    "ratio": "", "money": "", "mm2": "mm²", "cm3": "cm³", "share": "",
})  # fmt: skip
UNKNOWN = "unknown"
WIDE = 0.25
"""A figure whose ends lie more than this share apart is told by its ends. From memory: a pressure
or a sag a quarter off is another setting."""
SPARE = ("tyre_gap_mm", "least_air_mm")
"""Figures of which the least counts, room that keeps parts from touching: told by their ends."""


def money(amount: float, currency: str) -> str:
    """An amount with its currency, cents only where there are any."""
    return f"{number(amount, 'money')} {currency}"


def whole(price: float, ends: tuple[float, float] | None, currency: str) -> str:
    """What all of it costs: an amount, or from the least to the most where that is open."""
    return money(price, currency) if ends is None else f"{span(*ends, 'money')} {currency}"


def amount(
    ends: tuple[float, float] | None, currency: str, unit: Literal["money", "cents"] = "money"
) -> str:
    """An amount between those ends; None: not told. With no currency it stands alone, as in a
    column whose head names it."""
    return "not told" if ends is None else f"{span(*ends, unit)} {currency}".rstrip()


def unit_words(unit: str) -> str:
    """A unit as people write it."""
    return UNIT_WORDS.get(unit, unit.replace("_", " "))


def number(value: float, unit: str) -> str:
    """A number rounded as its unit deserves, without a trailing '.0' and never '-0'."""
    if not math.isfinite(value):
        return "without limit" if value > 0 else UNKNOWN
    text = f"{value:.{_digits(value, unit)}f}"
    if unit == "money":
        text = text.removesuffix(".00")
    elif unit != "cents" and "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def rounded(value: float, unit: str) -> float:
    """The number as it is written, no longer the number itself."""
    return round(value, _digits(value, unit)) if math.isfinite(value) else value


def _digits(value: float, unit: str) -> int:
    return 2 if unit == "mm" and 0 < abs(value) < 0.95 else DECIMALS.get(unit, 2)


def span(low: float, high: float, unit: str) -> str:
    """'21.8 to 22.4', or one number where both round to the same."""
    a, b = number(low, unit), number(high, unit)
    return a if a == b else f"{a} to {b}"


def wide(low: float, high: float) -> bool:
    """Whether a figure may be so much that no one number stands for it."""
    return not math.isfinite(high - low) or high - low > WIDE * max(abs(low), abs(high))


def by_ends(name: str, low: float, high: float) -> bool:
    """Whether a figure is told by its ends."""
    return wide(low, high) or (name in SPARE and low < high)


def with_unit(text: str, unit: str) -> str:
    """The text with its unit behind it, if the unit is written at all."""
    shown = unit_words(unit)
    return f"{text} {shown}" if shown else text
