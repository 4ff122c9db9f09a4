"""A measured curve through the origin: a monotone interpolant, and a smooth fit for slopes.

Differentiating an interpolant differentiates its reading errors too, so the interpolant serves
the travel only; ratio and slope come from a least-squares polynomial.
"""

from typing import TYPE_CHECKING

import numpy as np
from numpy.polynomial import polynomial

from recommender.mechanics.array import Array, ArrayLike, array

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

CUBIC = 3
HIGHEST_DEGREE = 7
ROUNDING = 1e-6  # relative
NEGLIGIBLE = 1e-14
REAL = 1e-9  # an imaginary part below this is rounding


def monotone(x: Array, z: Array) -> "PchipInterpolator":
    """The PCHIP interpolant of strictly increasing x (Fritsch & Butland's slopes, by scipy)."""
    from scipy.interpolate import PchipInterpolator

    return PchipInterpolator(x, z)


def smooth(x: Array, z: Array, error: float) -> tuple[tuple[float, ...], float]:
    """A smooth rising polynomial z(u) through the origin, u = x / x[-1], and its worst residual.

    The least-squares cubic where its residuals stay within `error` (same unit as z). Else, degree
    by degree, the curve of the smallest worst residual, then the next least-squares one: so a
    table is refused only if no curve of these degrees passes within `error` of every reading. A
    degree may use up at most half of the readings, or it would swallow a mistaken one.
    Coefficients come in ascending order, the first is 0.

    Raises ValueError where no degree serves: the reading farthest off is named, or said that the
    curves fall.
    """
    u = x / x[-1]
    highest = max(CUBIC, min(HIGHEST_DEGREE, int(np.count_nonzero(u)) // 2))
    best = np.full_like(z, np.inf)
    for degree in range(CUBIC, highest + 1):
        powers = u[:, None] ** np.arange(1, degree + 1)
        for fit in (_least_squares, _least_worst):
            coefficients = np.concatenate(([0.0], fit(powers, z)))
            residual = np.abs(array(polynomial.polyval(u, coefficients)) - z)
            # The second fit may end on the bound itself, so rounding is allowed for.
            within = residual.max() <= error * (1 + ROUNDING)
            if within and least(derivative(coefficients, 1)) > 0:
                return tuple(map(float, coefficients)), float(residual.max())
            # The other fit spreads a mistake over several readings, so it can't name one.
            if fit is _least_squares and residual.max() < best.max():
                best = residual
    if best.max() <= error:
        raise ValueError(
            "question the table: every smooth curve near the readings falls somewhere, and wheel "
            "travel can't; measure again where the wheel hardly moves from row to row"
        )
    worst = int(best.argmax())
    raise ValueError(
        f"question the table: no smooth rising curve passes within {error * 1000:.3g} mm of every "
        f"reading; farthest off the best fit, by {best[worst] * 1000:.2f} mm: "
        f"shock {x[worst] * 1000:.2f} mm, wheel {z[worst] * 1000:.2f} mm; "
        "measure again, or state a larger reading error"
    )


def derivative(coefficients: ArrayLike, order: int) -> Array:
    """Ascending coefficients of a polynomial's derivative."""
    return array(polynomial.polyder(array(coefficients), order))


def least(coefficients: Array) -> float:
    """The least value of a polynomial (ascending coefficients) on [0, 1]."""
    slope = derivative(coefficients, 1)
    # A last term that can't be felt on [0, 1] would throw the roots of the others off.
    slope = array(polynomial.polytrim(slope, NEGLIGIBLE * float(np.abs(slope).max())))
    turns = polynomial.polyroots(slope)
    inner = turns.real[(np.abs(turns.imag) < REAL) & (turns.real > 0) & (turns.real < 1)]
    return float(np.min(polynomial.polyval(np.concatenate(([0.0, 1.0], inner)), coefficients)))


def _least_squares(powers: Array, z: Array) -> Array:
    return array(np.linalg.lstsq(powers, z, rcond=None)[0])


def _least_worst(powers: Array, z: Array) -> Array:
    """Minimises the largest residual (Chebyshev's fit), as a linear programme: min t, |r| <= t."""
    from scipy.optimize import linprog

    rows, columns = powers.shape
    scale = float(np.max(z))
    slack = np.full((rows, 1), -1.0)
    result = linprog(
        np.concatenate((np.zeros(columns), [1.0])),
        A_ub=np.block([[powers, slack], [-powers, slack]]),
        b_ub=np.concatenate((z, -z)) / scale,
        bounds=(None, None),
        method="highs",
    )
    if result.x is None:  # the solver gave up; the caller tests the residual either way
        return _least_squares(powers, z)
    return array(result.x)[:columns] * scale
