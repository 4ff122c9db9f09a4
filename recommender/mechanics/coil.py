"""Coil springs. Rates in N/m, lengths in m, forces in N. Preload is a length."""

import numpy as np

from recommender.mechanics.array import Array, ArrayLike, array
from recommender.mechanics.leverage import Leverage
from recommender.mechanics.roots import least_root


def rate_for_sag(force: ArrayLike, sag: ArrayLike, preload: ArrayLike) -> Array:
    """The rate that carries `force` at that shaft sag; +inf where sag + preload is not above 0."""
    reach = array(sag) + array(preload)
    rate = array(force) / np.where(reach <= 0, 1.0, reach)
    return np.where(reach <= 0, np.inf, rate)[()]


def force(rate: ArrayLike, preload: ArrayLike, x: ArrayLike) -> Array:
    """Spring force at compression x: k (x + preload)."""
    return array(rate) * (array(x) + array(preload))


def sag(
    rate: ArrayLike,
    preload: ArrayLike,
    wheel_force: ArrayLike,
    leverage: Leverage,
    shift: ArrayLike,
    limit: ArrayLike,
) -> Array:
    """Shaft sag: the least root x in [0, limit] of k (x + preload) = F_w LR(x - shift).

    A curve whose ratio rises fast can have several roots; loaded slowly from full extension the
    suspension rests at the least, and that one is returned (see `roots.least_root`: it is never
    passed). 0 where the preload alone carries the load. **+inf** where the spring never carries it
    within `limit`, so `isfinite` tells, and `minimum(sag, limit)` is where the shock then stands.

    `shift` = length of the shock less the frame's nominal length. Cost: about five evaluations of
    the leverage; one where its ratio is constant or linear.
    """
    dip = -leverage.least_curvature()

    def taylor(
        x: Array, rate: Array, preload: Array, wheel_force: Array, shift: Array
    ) -> tuple[Array, Array, Array, Array]:
        value = rate * (x + preload) - wheel_force * leverage.ratio(x - shift)
        slope = rate - wheel_force * leverage.slope(x - shift)
        return value, slope, wheel_force * dip, np.full_like(x, np.inf)

    return least_root(taylor, limit, rate, preload, wheel_force, shift)


def helical_rate(
    wire: ArrayLike, mean_diameter: ArrayLike, active_coils: ArrayLike, shear_modulus: ArrayLike
) -> Array:
    """Rate of a round-wire helical spring, G d^4 / (8 D^3 N_a); modulus in Pa (EN 13906-1)."""
    return (
        array(shear_modulus)
        * array(wire) ** 4
        / (8 * array(mean_diameter) ** 3 * array(active_coils))
    )


def solid_length(wire: ArrayLike, total_coils: ArrayLike) -> Array:
    """Length with all coils touching, ends ground: d N_t."""
    return array(wire) * array(total_coils)
