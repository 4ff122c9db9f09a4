"""Exact unit conversions: every file and flag is converted to SI once, where it enters.

Constants: NIST SP 811, appendix B [std]; all of them are exact by definition. Files and
screens keep the trade's own units; everything between is m, N, Pa, kg, s, radians, fractions.
"""

import math
from collections.abc import Mapping
from difflib import get_close_matches
from types import MappingProxyType
from typing import Final, Protocol, TypeVar

import numpy as np
import numpy.typing as npt

INCH: Final = 0.0254  # m
POUND: Final = 0.45359237  # kg
GRAVITY: Final = 9.80665  # m/s2, standard gravity
LBF: Final = POUND * GRAVITY  # N
PSI: Final = LBF / INCH**2  # Pa
BAR: Final = 100_000.0  # Pa
LBF_PER_INCH: Final = LBF / INCH  # N/m
ATMOSPHERE: Final = 101_325.0  # Pa, standard atmosphere

UNITS: Final[Mapping[str, tuple[str, float]]] = MappingProxyType(
    {
        "mm": ("length", 0.001),
        "cm": ("length", 0.01),
        "m": ("length", 1.0),
        "in": ("length", INCH),
        "kg": ("mass", 1.0),
        "g": ("mass", 0.001),
        "lb": ("mass", POUND),
        "oz": ("mass", POUND / 16),
        "n": ("force", 1.0),
        "lbf": ("force", LBF),
        "pa": ("pressure", 1.0),
        "kpa": ("pressure", 1000.0),
        "bar": ("pressure", BAR),
        "psi": ("pressure", PSI),
        "n_per_m": ("spring rate", 1.0),
        "n_per_mm": ("spring rate", 1000.0),
        "lbf_per_in": ("spring rate", LBF_PER_INCH),
        "m2": ("area", 1.0),
        "mm2": ("area", 1e-6),
        "m3": ("volume", 1.0),
        "cm3": ("volume", 1e-6),
        "n_s_per_m": ("damping coefficient", 1.0),
        "m_per_s": ("speed", 1.0),
        "rad": ("angle", 1.0),
        "deg": ("angle", math.pi / 180),
        "s": ("time", 1.0),
        "days": ("time", 86_400.0),
        "fraction": ("share", 1.0),
        "percent": ("share", 0.01),
    }
)
"""Unit name -> (dimension, its size in the SI unit of that dimension)."""

_Number = TypeVar("_Number", float, npt.NDArray[np.float64])


def units_of(dimension: str) -> tuple[str, ...]:
    """The accepted unit names of a dimension, in table order; empty for an unknown dimension."""
    return tuple(name for name, (kind, _) in UNITS.items() if kind == dimension)


def convert(value: _Number, unit_from: str, unit_to: str) -> _Number:
    """`value` (a number or an array) in `unit_from`, expressed in `unit_to`.

    Raises ValueError, naming what is accepted, for an unknown unit or for units of two
    dimensions.
    """
    kind, size_from = _lookup(unit_from)
    kind_to, size_to = _lookup(unit_to)
    if kind != kind_to:
        raise ValueError(
            f"'{unit_from}' is a {kind}, '{unit_to}' a {kind_to}; "
            f"'{unit_from}' converts to: {', '.join(units_of(kind))}"
        )
    if size_from == size_to:
        return value
    return value * size_from / size_to


def _lookup(unit: str) -> tuple[str, float]:
    if unit in UNITS:
        return UNITS[unit]
    near = get_close_matches(unit.lower(), UNITS, n=1)
    hint = f"; nearest: {near[0]}" if near else ""
    raise ValueError(f"unknown unit '{unit[:40]}'; accepted: {', '.join(UNITS)}{hint}")


class Measured(Protocol):
    """A declaration that names a unit."""

    @property
    def unit(self) -> str: ...


def split_unit(name: str, known: Mapping[str, Measured]) -> tuple[str, str] | None:
    """Field and unit meant by a name that ends in another unit than the field's own.

    'length_in' means ('length_mm', 'in') where a field length_mm exists; None if none is meant.
    Fields of units outside UNITS (money, counts, ratios) never convert.
    """
    for unit in sorted(UNITS, key=len, reverse=True):
        if not name.endswith("_" + unit):
            continue
        stem = name[: -len(unit) - 1]
        for field, number in known.items():
            if field != f"{stem}_{number.unit}" or number.unit not in UNITS:
                continue
            if number.unit != unit and UNITS[number.unit][0] == UNITS[unit][0]:
                return field, unit
    return None
