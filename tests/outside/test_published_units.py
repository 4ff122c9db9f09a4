"""Conversion factors against NIST SP 811 and two reference libraries.

Standing: C, the published figures are from memory; D, scipy.constants and pint agree.
"""

import math

import pint
import pytest
import scipy.constants as reference

from recommender.facts import units
from recommender.facts.units import UNITS, convert

PINT_NAMES = {
    "in": "inch",
    "n": "newton",
    "lbf": "force_pound",
    "pa": "pascal",
    "kpa": "kilopascal",
    "n_per_m": "newton/meter",
    "n_per_mm": "newton/millimeter",
    "lbf_per_in": "force_pound/inch",
    "m2": "meter**2",
    "mm2": "millimeter**2",
    "m3": "meter**3",
    "cm3": "centimeter**3",
    "n_s_per_m": "newton*second/meter",
    "m_per_s": "meter/second",
    "rad": "radian",
    "deg": "degree",
    "s": "second",
    "days": "day",
    "fraction": "dimensionless",
}
REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_of_the_table_against_pint(unit: str) -> None:
    dimension, size = UNITS[unit]
    base = next(name for name, (kind, s) in UNITS.items() if kind == dimension and s == 1.0)
    quantity = REGISTRY.Quantity(1.0, PINT_NAMES.get(unit, unit))
    expected = quantity.to(PINT_NAMES.get(base, base)).magnitude
    assert size == pytest.approx(expected, rel=1e-14)


def test_constants_against_scipy() -> None:
    pairs = [
        (units.INCH, reference.inch),
        (units.POUND, reference.lb),
        (units.GRAVITY, reference.g),
        (units.LBF, reference.lbf),
        (units.PSI, reference.psi),
        (units.BAR, reference.bar),
        (units.ATMOSPHERE, reference.atm),
        (UNITS["deg"][1], reference.degree),
        (UNITS["oz"][1], reference.oz),
    ]
    for ours, theirs in pairs:
        assert ours == pytest.approx(theirs, rel=1e-15)


def test_printed_factors() -> None:
    # NIST SP 811, appendix B.8 [C].
    assert math.isclose(units.LBF, 4.4482216152605, rel_tol=1e-14)
    assert math.isclose(units.PSI, 6894.757293168, rel_tol=1e-13)
    assert convert(1.0, "lbf_per_in", "n_per_mm") == pytest.approx(0.175126835246, abs=5e-13)
    assert convert(500.0, "lbf_per_in", "n_per_mm") == pytest.approx(87.563418, abs=5e-7)
    assert convert(1.0, "psi", "kpa") == pytest.approx(6.894757, abs=5e-7)
    assert convert(1.0, "bar", "kpa") == 100.0
    # Standard atmosphere = 14.6959 psi, 1 oz = 28.3495 g [C].
    assert convert(units.ATMOSPHERE, "pa", "psi") == pytest.approx(14.6959, abs=5e-5)
    assert convert(1.0, "oz", "g") == pytest.approx(28.3495, abs=5e-5)


def test_gauge_and_absolute() -> None:
    # 200 psi gauge = 13.789515 bar gauge = 14.802765 bar absolute [C, D].
    gauge = convert(200.0, "psi", "bar")
    assert gauge == pytest.approx(13.789515, abs=5e-7)
    assert gauge + convert(units.ATMOSPHERE, "pa", "bar") == pytest.approx(14.802765, abs=5e-7)


def test_inch_sizes_of_shocks() -> None:
    # Trade sizes in inches and their usual whole-millimetre names [common practice, from memory].
    inches = (6.5, 7.25, 7.5, 7.875, 8.5, 8.75, 9.5, 10.5)
    named = (165, 184, 190, 200, 216, 222, 241, 267)
    for inch, name in zip(inches, named, strict=True):
        assert abs(convert(inch, "in", "mm") - name) <= 0.5 + 1e-9
