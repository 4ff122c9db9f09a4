"""Roots for whole columns at once."""

from collections.abc import Callable

import numpy as np

from recommender.mechanics.array import Array, ArrayLike, array

Taylor = Callable[..., tuple[Array, Array, Array, Array]]

CLOSE = 1e-12  # m; far below any reading, far above rounding at shock lengths
ROUNDS = 400
NEWTON, BISECTION = 12, 48


def least_root(taylor: Taylor, limit: ArrayLike, *columns: ArrayLike) -> Array:
    """The least x in [0, limit] where a function rises to zero, row by row.

    `taylor(x, *columns)` returns the function's value, its slope, an upper bound of its second
    derivative on [x, x + reach], and `reach`. Where the value is negative, the parabola of these
    three lies above the function, so stepping to the parabola's zero can never pass the least
    root; near a simple root the step is Newton's, so convergence is quadratic (about five rounds),
    and linear where the function only touches zero.

    Returns 0 where the function starts at or above zero, +inf where it stays negative up to
    `limit`, NaN where an input is NaN; where ROUNDS do not settle it, since the function all but
    touches zero, the last x, which lies before the root. Shape: that of all inputs broadcast.
    """
    end, *wide = np.broadcast_arrays(array(limit), *(array(column) for column in columns))
    shape, end, flat = end.shape, end.ravel(), [column.ravel() for column in wide]
    x = np.zeros(end.size)
    open_rows = np.arange(end.size)
    for _ in range(ROUNDS):
        here = x[open_rows]
        value, slope, curvature, reach = taylor(here, *(column[open_rows] for column in flat))
        step = np.minimum(_safe_step(value, slope, curvature), reach)
        x[open_rows] = here + step
        # A NaN step compares false both ways and so leaves the loop with x = NaN.
        open_rows = open_rows[(step > CLOSE) & (here + step <= end[open_rows] + CLOSE)]
        if not open_rows.size:
            break
    root = np.where(x > end + CLOSE, np.inf, np.minimum(x, end))
    return root.reshape(shape)[()]


def _safe_step(value: Array, slope: Array, curvature: Array) -> Array:
    """The zero t >= 0 of value + slope t + curvature t^2 / 2, for value < 0; 0 for value >= 0."""
    with np.errstate(divide="ignore", invalid="ignore"):
        bend = np.maximum(curvature, 0.0)
        spread = np.sqrt(slope**2 - 2 * bend * np.minimum(value, 0.0))
        rising = -2 * value / (slope + spread)
        falling = np.where(bend > 0, (spread - slope) / bend, np.inf)
        step: Array = np.where(slope > 0, rising, falling)
    known = np.isfinite(value) & ~np.isnan(slope)
    return np.where(known, np.where(value >= 0, 0.0, step), np.where(value > 0, 0.0, np.nan))


def rising_root(
    curve: Callable[[Array], tuple[Array, Array]], low: ArrayLike, high: ArrayLike
) -> Array:
    """The zero between `low` and `high` of a function that rises in x, row by row.

    `curve(x)` returns value and slope; a rough slope only costs rounds. Newton steps kept inside
    the bracket; rows that have not settled after a dozen are bisected. An end is returned where
    the function has no zero between them: `low` where it is positive throughout, `high` where it
    is negative throughout. NaN where it is NaN.
    """
    below, above = np.broadcast_arrays(array(low), array(high))
    x: Array = (below + above) / 2
    settled = np.zeros(x.shape, dtype=bool)
    for turn in range(NEWTON + BISECTION):
        value, slope = curve(x)
        below = np.where(value < 0, x, below)
        above = np.where(value < 0, above, x)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = np.clip(x - value / slope, below, above)
        new = newton if turn < NEWTON else (below + above) / 2
        new = np.where(settled, x, np.where(np.isnan(value), np.nan, new))
        settled = settled | ~(np.abs(new - x) > CLOSE)
        x = array(new)
        if settled.all():
            break
    root: Array = x[()]
    return root
