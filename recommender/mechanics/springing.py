"""What the wheel feels of the spring: rate, frequency, and the reserve before bottoming out."""

import numpy as np

from recommender.facts.units import GRAVITY
from recommender.mechanics.array import Array, ArrayLike, array


def coil_energy(rate: ArrayLike, preload: ArrayLike, stroke: ArrayLike) -> Array:
    """Energy a coil takes up over the stroke, J: integral of k (x + preload)."""
    stroke = array(stroke)
    return array(rate) * stroke * (stroke / 2 + array(preload))


def reserve_height(energy: ArrayLike, mass: ArrayLike, travel: ArrayLike) -> Array:
    """Bottom-out reserve, m: E / (m g) - travel.

    The fall, suspension extended, that the spring alone takes without reaching its end; damper,
    friction and bump stop are left out. For comparison; no promise about drops.
    """
    return array(energy) / (array(mass) * GRAVITY) - array(travel)


def wheel_rate(
    shock_rate: ArrayLike, shock_force: ArrayLike, ratio: ArrayLike, slope: ArrayLike
) -> Array:
    """Rate at the wheel, N/m: F_s' / LR^2 - F_s LR' / LR^3, the derivative of F_s / LR by z."""
    ratio = array(ratio)
    return array(shock_rate) / ratio**2 - array(shock_force) * array(slope) / ratio**3


def wheel_damping(coefficient: ArrayLike, ratio: ArrayLike) -> Array:
    """Damping coefficient at the wheel, N s/m: c / LR^2."""
    return array(coefficient) / array(ratio) ** 2


def natural_frequency(rate: ArrayLike, mass: ArrayLike) -> Array:
    """Undamped natural frequency, **rad/s**; NaN for a negative rate."""
    with np.errstate(invalid="ignore"):
        frequency: Array = np.sqrt(array(rate) / array(mass))
    return frequency


def damping_ratio(coefficient: ArrayLike, rate: ArrayLike, mass: ArrayLike) -> Array:
    """Damping over critical damping, c / (2 sqrt(k m)); NaN for a negative rate."""
    with np.errstate(invalid="ignore"):
        critical: Array = 2 * np.sqrt(array(rate) * array(mass))
    return array(coefficient) / critical


def damped_frequency(coefficient: ArrayLike, rate: ArrayLike, mass: ArrayLike) -> Array:
    """Frequency of the decaying oscillation, rad/s; 0 where damping is critical or more."""
    ratio = damping_ratio(coefficient, rate, mass)
    decay: Array = np.sqrt(np.maximum(1 - ratio**2, 0.0))
    return natural_frequency(rate, mass) * decay
