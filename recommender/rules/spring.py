"""Spring and sag: pressure window, coil rate, sag, and the reserve at the end.

Figures are for one shock, stroke setting and spring setting; a bundle's pressure and preload
follow from it. Where the ratio between kinds matters only one kind is computed at a time.
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from recommender.facts.units import UNITS
from recommender.mechanics import air, coil, load, sag, springing
from recommender.mechanics.air import AirSpring
from recommender.mechanics.array import Array
from recommender.rules.mounting import AIR
from recommender.rules.registry import INAPPLICABLE, figure, rule

MM = UNITS["mm"][1]
PSI = UNITS["psi"][1]
N_PER_MM = UNITS["n_per_mm"][1]
MM2 = UNITS["mm2"][1]
CM3 = UNITS["cm3"][1]

_CHAMBERS = (
    "shock_piston_area_mm2",
    "shock_chamber_cm3",
    "shock_negative_area_mm2",
    "shock_negative_chamber_cm3",
    "shock_equalise_at_mm",
    "shock_volume_spacer_cm3",
    "spring_spacers",
)
PLACE = ("shock_spring_kind", "stroke_mm", "length_difference_mm", "bike_leverage")


def by_kind(kind: Any, of_air: Callable[[], Any], of_coil: Callable[[], Any]) -> Any:
    """The air or the coil value, row by row; a kind that no row has is not computed."""
    is_air = np.asarray(kind) == AIR
    if np.all(is_air):
        return of_air()
    if not np.any(is_air):
        return of_coil()
    return np.where(is_air, of_air(), of_coil())


def chambers(
    area_mm2: Any, chamber_cm3: Any, negative_area_mm2: Any, negative_cm3: Any,
    equalise_mm: Any, spacer_cm3: Any, spacers: Any,
) -> AirSpring:  # fmt: skip
    """The air spring with that many volume spacers in its positive chamber."""
    fitted = np.where(spacers > 0, spacers * spacer_cm3, 0.0)
    return AirSpring(
        area_mm2 * MM2, (chamber_cm3 - fitted) * CM3, negative_area_mm2 * MM2,
        negative_cm3 * CM3, equalise_mm * MM,
    )  # fmt: skip


@figure("kg")
def sprung_mass_kg(
    rider_mass_with_kit_kg: Any, rider_rear_share: Any, bike_rear_sprung_mass_kg: Any
) -> Any:
    return load.rear_sprung_mass(rider_mass_with_kit_kg, rider_rear_share, bike_rear_sprung_mass_kg)


@figure("mm")
def target_sag_mm(stroke_mm: Any, wish_sag_target_percent: Any) -> Any:
    """Shaft sag aimed at: a fraction of the stroke."""
    return stroke_mm * wish_sag_target_percent / 100


def load_at(mass: Any, leverage: Any, x_mm: Any, shift_mm: Any) -> Array:
    """Force at the shock, N, when it is compressed by x."""
    return load.shock_force(load.wheel_force(mass), leverage.ratio((x_mm - shift_mm) * MM))


def _fill(mass: Any, leverage: Any, x_mm: Any, shift_mm: Any, spring: AirSpring) -> Array:
    """Gauge psi that puts the sag at x."""
    return air.fill_pressure(load_at(mass, leverage, x_mm, shift_mm), x_mm * MM, spring) / PSI


def _sag_at_percent(
    kind: Any, stroke: Any, shift: Any, leverage: Any, mass: Any, percent: Any, *gas: Any
) -> Any:
    def of_air() -> Any:
        return _fill(mass, leverage, stroke * percent / 100, shift, chambers(*gas))

    return by_kind(kind, of_air, lambda: np.full(np.shape(stroke), np.nan))


@figure("psi", reads=(*PLACE, "sprung_mass_kg", "sound_sag_high_percent", *_CHAMBERS))
def pressure_at_most_sag_psi(*facts: Any) -> Any:
    """Fill pressure at the highest sag that is sound: the least the shock must be able to hold."""
    return _sag_at_percent(*facts)


@figure("psi", reads=(*PLACE, "sprung_mass_kg", "sound_sag_low_percent", *_CHAMBERS))
def pressure_at_least_sag_psi(*facts: Any) -> Any:
    """Fill pressure at the lowest sag that is sound."""
    return _sag_at_percent(*facts)


@figure("psi", reads=(*PLACE, "sprung_mass_kg", "wish_sag_high_percent", *_CHAMBERS))
def pressure_at_most_wished_sag_psi(*facts: Any) -> Any:
    """Fill pressure at the highest sag wished for."""
    return _sag_at_percent(*facts)


@figure("psi", reads=(*PLACE, "sprung_mass_kg", "wish_sag_low_percent", *_CHAMBERS))
def pressure_at_least_wished_sag_psi(*facts: Any) -> Any:
    """Fill pressure at the lowest sag wished for."""
    return _sag_at_percent(*facts)


@rule(
    "pressure window", "limit", "psi", standing="shock maker", springs="air",
    says="the most sag that is sound takes {pressure_at_most_sag_psi} psi and the least takes "
    "{pressure_at_least_sag_psi} psi, but the shock holds {shock_pressure_min_psi} to "
    "{shock_pressure_max_psi} psi: {short} psi are missing",
)  # fmt: skip
def pressure_window(
    shock_spring_kind: Any,
    pressure_at_most_sag_psi: Any,
    pressure_at_least_sag_psi: Any,
    shock_pressure_min_psi: Any,
    shock_pressure_max_psi: Any,
) -> Any:
    is_air = shock_spring_kind == AIR
    return (
        np.where(is_air, shock_pressure_max_psi - pressure_at_most_sag_psi, INAPPLICABLE),
        np.where(is_air, pressure_at_least_sag_psi - shock_pressure_min_psi, INAPPLICABLE),
    )


@rule(
    "wish: sag", "wish", "psi", standing="rider", springs="air", wish="sag_percent",
    says="the {wish_sag_low_percent} to {wish_sag_high_percent} % of sag wished for takes "
    "{pressure_at_most_wished_sag_psi} to {pressure_at_least_wished_sag_psi} psi, but the shock "
    "holds {shock_pressure_min_psi} to {shock_pressure_max_psi} psi",
)  # fmt: skip
def wished_sag(
    shock_spring_kind: Any,
    pressure_at_most_wished_sag_psi: Any,
    pressure_at_least_wished_sag_psi: Any,
    shock_pressure_min_psi: Any,
    shock_pressure_max_psi: Any,
) -> Any:
    return pressure_window(
        shock_spring_kind, pressure_at_most_wished_sag_psi, pressure_at_least_wished_sag_psi,
        shock_pressure_min_psi, shock_pressure_max_psi,
    )  # fmt: skip


@rule(
    "spacer count", "limit", "count", standing="shock maker", springs="air",
    says="{spring_spacers} volume spacers are {short} more than the shock takes",
    rises=("shock_volume_spacers_max",), falls=("spring_spacers",),
)  # fmt: skip
def spacer_count(shock_spring_kind: Any, spring_spacers: Any, shock_volume_spacers_max: Any) -> Any:
    return np.where(
        shock_spring_kind == AIR, shock_volume_spacers_max - spring_spacers, INAPPLICABLE
    )


@figure(
    "psi",
    reads=(
        *PLACE, "sprung_mass_kg", "target_sag_mm", "shock_pressure_min_psi",
        "shock_pressure_max_psi", *_CHAMBERS,
    ),
)  # fmt: skip
def fill_psi(
    kind: Any, stroke: Any, shift: Any, leverage: Any, mass: Any, target: Any,
    least: Any, most: Any, *gas: Any,
) -> Any:  # fmt: skip
    """Fill pressure for the target sag, clipped to what the shock may hold; NaN for a coil."""

    def of_air() -> Any:
        return np.clip(_fill(mass, leverage, target, shift, chambers(*gas)), least, most)

    return by_kind(kind, of_air, lambda: np.full(np.shape(target), np.nan))


@figure("mm")
def preload_mm(shock_collar_pitch_mm: Any, shock_preload_turns_min: Any) -> Any:
    """Least preload the maker allows, as a length."""
    return shock_collar_pitch_mm * shock_preload_turns_min


@figure(
    "mm",
    reads=(
        *PLACE, "sprung_mass_kg", "target_sag_mm", "fill_psi", "rate_n_per_mm", "preload_mm",
        *_CHAMBERS,
    ),
)  # fmt: skip
def sag_mm(
    kind: Any, stroke: Any, shift: Any, leverage: Any, mass: Any, target: Any, fill: Any,
    rate: Any, preload: Any, *gas: Any,
) -> Any:  # fmt: skip
    """Shaft sag that results, mm; the whole stroke where the spring does not carry the rider."""
    force = load.wheel_force(mass)

    def of_air() -> Any:
        wide = np.broadcast_arrays(*(np.asarray(v, float) for v in (
            fill, force, shift, stroke, target, *gas)))  # fmt: skip
        fill_, force_, shift_, stroke_, out, *gas_ = (v.ravel() for v in wide)
        wanted = _fill(mass, leverage, target, shift, chambers(*gas))
        off = np.flatnonzero(np.abs(np.broadcast_to(wanted, wide[0].shape).ravel() - fill_) > 1e-9)
        out = out.copy()
        if off.size:
            got = air.sag(
                fill_[off] * PSI, force_[off], leverage, chambers(*(g[off] for g in gas_)),
                shift_[off] * MM, stroke_[off] * MM,
            )  # fmt: skip
            out[off] = np.minimum(got / MM, stroke_[off])
        return out.reshape(wide[0].shape)

    def of_coil() -> Any:
        got = coil.sag(rate * N_PER_MM, preload * MM, force, leverage, shift * MM, stroke * MM)
        return np.minimum(got / MM, stroke)

    return by_kind(kind, of_air, of_coil)


@figure("percent")
def sag_percent(sag_mm: Any, stroke_mm: Any) -> Any:
    """Shaft sag as a share of the stroke."""
    return 100 * sag_mm / stroke_mm


@figure("mm")
def wheel_sag_mm(sag_mm: Any, length_difference_mm: Any, bike_leverage: Any) -> Any:
    return sag.wheel_sag(bike_leverage, sag_mm * MM, length_difference_mm * MM) / MM


@figure(
    "n_per_mm",
    reads=(
        "shock_spring_kind", "length_difference_mm", "bike_leverage", "sprung_mass_kg",
        "fill_psi", "sag_mm", "rate_n_per_mm", *_CHAMBERS,
    ),
    turns=dict.fromkeys(_CHAMBERS[:-1], 2.0) | {"shock_piston_area_mm2": 1.25},
)  # fmt: skip
def wheel_rate_n_per_mm(
    kind: Any, shift: Any, leverage: Any, mass: Any, fill: Any, sag_: Any, rate: Any, *gas: Any
) -> Any:
    """Rate at the wheel at sag; for air that of the riding curve."""
    x = sag_ * MM

    def of_air() -> Any:
        return air.riding_rate(fill * PSI, x, x, chambers(*gas))

    shock_rate = by_kind(kind, of_air, lambda: rate * N_PER_MM)
    at = x - shift * MM
    ratio = leverage.ratio(at)
    force = load.shock_force(load.wheel_force(mass), ratio)
    return springing.wheel_rate(shock_rate, force, ratio, leverage.slope(at)) / N_PER_MM


@figure(
    "mm",
    reads=(
        "shock_spring_kind", "stroke_mm", "travel_mm", "sprung_mass_kg", "fill_psi", "sag_mm",
        "rate_n_per_mm", "preload_mm", *_CHAMBERS,
    ),
)  # fmt: skip
def reserve_mm(
    kind: Any, stroke: Any, travel: Any, mass: Any, fill: Any, sag_: Any, rate: Any, preload: Any,
    *gas: Any,
) -> Any:  # fmt: skip
    """Bottom-out reserve: the fall the spring alone takes; a figure to compare, no promise."""

    def of_air() -> Any:
        return air.riding_energy(fill * PSI, sag_ * MM, stroke * MM, chambers(*gas))

    def of_coil() -> Any:
        return springing.coil_energy(rate * N_PER_MM, preload * MM, stroke * MM)

    energy = by_kind(kind, of_air, of_coil)
    return springing.reserve_height(energy, mass, travel * MM) / MM


@figure("percent")
def wheel_sag_percent(wheel_sag_mm: Any, travel_mm: Any) -> Any:
    """Wheel sag as a share of the travel; not the shaft's share on a progressive frame."""
    return 100 * wheel_sag_mm / travel_mm


@figure("mm")
def travel_mm(stroke_mm: Any, length_difference_mm: Any, bike_leverage: Any) -> Any:
    """Wheel travel of the set stroke."""
    return sag.travel(bike_leverage, stroke_mm * MM, length_difference_mm * MM) / MM
