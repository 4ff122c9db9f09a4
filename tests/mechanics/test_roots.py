"""Roots of columns against scipy's brentq, row by row."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from recommender.mechanics.roots import rising_root

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
