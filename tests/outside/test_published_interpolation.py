"""The monotone interpolant on the RPN14 data of Fritsch & Carlson (1980).

The data are theirs; expected values are scipy's own, whose slopes are Fritsch & Butland's, not
those of the 1980 paper [D].
"""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from recommender.mechanics import curve

X = np.array([7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20])
Z = np.array(
    [0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994]
)


@pytest.mark.parametrize(
    ("x", "value"), [(8.5, 0.1166325769), (9.0, 0.3375343268), (11.0, 0.9860433625)]
)
def test_between_the_readings(x: float, value: float) -> None:
    assert float(curve.monotone(X, Z)(x)) == pytest.approx(value, abs=1e-10)


def test_no_overshoot_where_a_spline_has_one() -> None:
    fine = np.linspace(X[0], X[-1], 20_001)
    ours = curve.monotone(X, Z)(fine)
    assert np.all(np.diff(ours) >= 0)
    assert ours.max() <= Z[-1] + 1e-15
    assert CubicSpline(X, Z)(fine).max() == pytest.approx(1.169, abs=5e-4)
