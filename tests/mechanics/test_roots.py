"""Roots of columns against scipy's brentq, row by row."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from recommender.mechanics.roots import least_root, rising_root

steady = settings(deadline=None)


@steady
@given(
    st.lists(st.floats(-0.9, 0.9), min_size=1, max_size=8),
    st.floats(0.05, 40.0),
    st.floats(0.2, 5.0),
)
def test_against_brentq(zeros: list[float], steep: float, lie: float) -> None:
    # Steep saturating functions throw plain Newton out of the bracket; `lie` falsifies the slope.
    centre = np.array(zeros)

    def curve(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        value = np.tanh(steep * (x - centre)) + 0.1 * (x - centre) ** 3
        return value, lie * (steep / np.cosh(steep * (x - centre)) ** 2 + 1e-12)

    found = rising_root(curve, -1.0, np.ones_like(centre))
    for root, zero in zip(found, zeros, strict=True):
        expected = brentq(
            lambda x, c=zero: np.tanh(steep * (x - c)) + 0.1 * (x - c) ** 3, -1.0, 1.0, xtol=1e-14
        )
        assert abs(root - expected) < 1e-10


def test_without_a_zero_an_end_comes_back() -> None:
    offset = np.array([5.0, -5.0, np.nan, 0.25])
    found = rising_root(lambda x: (x + offset, np.ones_like(x)), 0.0, [1.0, 1.0, 1.0, 1.0])
    np.testing.assert_allclose(found, [0.0, 1.0, np.nan, 0.0], atol=1e-12)
    for end in (0.9, 1.0):  # the bracket need not begin at 0
        found = rising_root(lambda x, end=end: (x - end + 0.4, np.ones_like(x)), 0.9, end)
        np.testing.assert_allclose(found, 0.9, atol=1e-12)


@pytest.mark.parametrize(
    ("value", "expected"), [(np.inf, 0.0), (0.0, 0.0), (-np.inf, np.nan), (np.nan, np.nan)]
)
def test_the_least_root_where_the_first_value_is_odd(value: float, expected: float) -> None:
    """Infinite at full extension, where a chamber has no volume left: it carries the load there."""

    def taylor(x: np.ndarray, column: np.ndarray) -> tuple[np.ndarray, ...]:
        return column + x, np.ones_like(x), np.zeros_like(x), np.full_like(x, np.inf)

    np.testing.assert_array_equal(least_root(taylor, 0.05, [value]), [expected])


def test_the_least_root_from_a_slope_that_nobody_knows() -> None:
    def taylor(x: np.ndarray, column: np.ndarray) -> tuple[np.ndarray, ...]:
        return column + x, np.full_like(x, np.nan), np.zeros_like(x), np.full_like(x, np.inf)

    np.testing.assert_array_equal(least_root(taylor, 0.05, [1.0, -0.01]), [0.0, np.nan])


@given(st.floats(-0.5, 0.0), st.floats(0.05, 3.0), st.floats(0.01, 2.0))
def test_the_least_root_of_a_parabola_that_falls_first(
    slope: float, bend: float, short: float
) -> None:
    """-short + slope x + bend x^2 / 2, by the formula for its zero; the bend may be slight."""

    def taylor(x: np.ndarray, _: np.ndarray) -> tuple[np.ndarray, ...]:
        value = -short + slope * x + bend * x**2 / 2
        return value, slope + bend * x, np.full_like(x, bend), np.full_like(x, np.inf)

    zero = (-slope + np.sqrt(slope**2 + 2 * bend * short)) / bend
    assert least_root(taylor, 100.0, [0.0])[0] == pytest.approx(zero, rel=1e-9)
    assert least_root(taylor, zero / 2, [0.0])[0] == np.inf
