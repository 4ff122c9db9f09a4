"""Sag and travel at the wheel, for a shock `shift` longer than the frame's nominal length.

Such a shock enters the leverage curve at -shift, not at 0.
"""

import numpy as np

from recommender.mechanics.array import Array, ArrayLike, array
from recommender.mechanics.leverage import Leverage
from recommender.mechanics.roots import rising_root


def wheel_sag(leverage: Leverage, shaft_sag: ArrayLike, shift: ArrayLike) -> Array:
    """Wheel movement for that much of the shaft's, m: z(x_s - d) - z(-d)."""
    shift = array(shift)
    return leverage.travel(array(shaft_sag) - shift) - leverage.travel(-shift)


def travel(leverage: Leverage, stroke: ArrayLike, shift: ArrayLike) -> Array:
    """Wheel travel of a stroke, m: z(s - d) - z(-d); not the stroke times a mean ratio."""
    return wheel_sag(leverage, stroke, shift)


def shaft_sag(
    leverage: Leverage, wheel_sag: ArrayLike, shift: ArrayLike, stroke: ArrayLike
) -> Array:
    """Shaft sag that gives that wheel sag, m, within [0, stroke]; +inf where the stroke is less."""
    wanted, shift, stroke = np.broadcast_arrays(array(wheel_sag), array(shift), array(stroke))
    start = leverage.travel(-shift)
    shaft = rising_root(
        lambda x: (leverage.travel(x - shift) - start - wanted, leverage.ratio(x - shift)),
        0.0,
        stroke,
    )
    short = travel(leverage, stroke, shift) < wanted
    return np.where(short, np.inf, shaft)[()]
