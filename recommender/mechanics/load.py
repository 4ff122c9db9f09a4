"""From masses to the force the shock must carry. Friction is left out."""

from recommender.facts.units import GRAVITY
from recommender.mechanics.array import Array, ArrayLike, array


def rear_sprung_mass(
    rider_kg: ArrayLike, rear_share: ArrayLike, bike_rear_sprung_kg: ArrayLike
) -> Array:
    """Sprung mass on the rear wheel, kg: share of the rider with kit + the bike's own part.

    Customary share 0.60 (0.50-0.65 by posture), bike 5 kg, 8-10 with a motor; all from memory.
    """
    return array(rear_share) * array(rider_kg) + array(bike_rear_sprung_kg)


def wheel_force(mass: ArrayLike) -> Array:
    """Static vertical force at the rear wheel, N."""
    return array(mass) * GRAVITY


def shock_force(wheel_force: ArrayLike, ratio: ArrayLike) -> Array:
    """Force along the shock, N, by virtual work: F_w dz = F_s dx."""
    return array(wheel_force) * array(ratio)
