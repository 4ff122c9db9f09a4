"""The damping coefficient a frame and rider ask of the shock."""

import numpy as np

from recommender.mechanics.array import Array, ArrayLike, array


def needed_coefficient(
    zeta: ArrayLike, wheel_rate: ArrayLike, mass: ArrayLike, ratio: ArrayLike
) -> Array:
    """Coefficient at the shock for damping ratio `zeta` at the wheel, N s/m.

    c = 2 zeta sqrt(k_w m_r) LR^2 at sag. Customary zeta: 0.25-0.5 rebound, 0.10-0.25 compression
    (from memory). 0 where the wheel rate is not positive: there is no oscillation to damp.
    """
    critical: Array = 2 * np.sqrt(np.maximum(array(wheel_rate) * array(mass), 0.0))
    return array(zeta) * critical * array(ratio) ** 2
