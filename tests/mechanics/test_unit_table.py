"""Conversions: round trips, refusals, and what the refusals say."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.facts.units import UNITS, convert, units_of

steady = settings(deadline=None)
PAIRS = [(a, b) for a in UNITS for b in UNITS if UNITS[a][0] == UNITS[b][0]]


@steady
@given(st.sampled_from(PAIRS), st.floats(-1e9, 1e9))
def test_there_and_back(pair: tuple[str, str], value: float) -> None:
    there, back = pair
    assert convert(convert(value, there, back), back, there) == pytest.approx(value, rel=1e-14)


def test_a_unit_to_itself_changes_no_bit() -> None:
    assert convert(0.1 + 0.2, "psi", "psi") == 0.1 + 0.2


def test_columns_convert_whole() -> None:
    lengths = convert(np.array([6.5, 7.5, 8.75]), "in", "mm")
    np.testing.assert_allclose(lengths, [165.1, 190.5, 222.25], rtol=1e-15)


def test_an_unknown_unit_is_refused_with_the_accepted_ones() -> None:
    with pytest.raises(ValueError, match=r"unknown unit 'Psi'; accepted: .*psi.*; nearest: psi"):
        convert(1.0, "Psi", "bar")
    with pytest.raises(ValueError, match="unknown unit 'furlong'"):
        convert(1.0, "mm", "furlong")


def test_two_dimensions_are_refused() -> None:
    with pytest.raises(ValueError, match=r"'psi' is a pressure, 'mm' a length; .*: pa, kpa, bar"):
        convert(1.0, "psi", "mm")


def test_units_of_a_dimension() -> None:
    assert units_of("pressure") == ("pa", "kpa", "bar", "psi")
    assert units_of("taste") == ()
