"""Room for the tyre, and what another length does to the bottom bracket."""

from typing import Final

import numpy as np

from recommender.mechanics.array import Array, ArrayLike, array
from recommender.mechanics.leverage import Leverage

NARROW: Final = 0.028  # m, section width below which ISO 5775-1 adds to the section height
NARROW_RISE: Final = 0.0025  # m


def tyre_diameter(bead_seat: ArrayLike, width: ArrayLike) -> Array:
    """Overall diameter, m: bead seat + 2 x section height (ISO 5775-1, from a paraphrase).

    Section height = section width, plus 2.5 mm below 28 mm of width.
    """
    width = array(width)
    height = width + np.where(width < NARROW, NARROW_RISE, 0.0)
    return array(bead_seat) + 2 * height


def growth(leverage: Leverage, stroke: ArrayLike, shift: ArrayLike, x0: ArrayLike) -> Array:
    """How much farther the wheel moves than when the gap was measured, m: z(s - d) - z(x0).

    `shift` d = shock length less nominal length; `x0` = nominal length less the eye-to-eye length
    during the measurement. Negative: the wheel now stops short of where it was.
    """
    return leverage.travel(array(stroke) - array(shift)) - leverage.travel(x0)


def tyre_gap(
    gap0: ArrayLike, closing: ArrayLike, growth: ArrayLike, diameter_difference: ArrayLike
) -> Array:
    """Gap left at full compression, m: gap0 - closing x growth - half the diameter difference.

    `closing` (0-1) is the part of the wheel's movement that goes toward the frame. Where nobody
    measured it, it is the interval [0, 1]: call with both ends.
    """
    return array(gap0) - array(closing) * array(growth) - array(diameter_difference) / 2


def bottom_bracket_rise(leverage: Leverage, shift: ArrayLike) -> Array:
    """Rise of the bottom bracket at full extension, m: about half the rear drop, -z(-d) / 2.

    Positive (up) for a shock longer than nominal; half, since the bracket sits about midway
    between the axles: an estimate.
    """
    return -leverage.travel(-array(shift)) / 2
