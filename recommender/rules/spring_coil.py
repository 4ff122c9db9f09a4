"""The coil of a coil shock: its rate and sag, and whether it suits, reaches or binds."""

from typing import Any

import numpy as np

from recommender.facts.units import UNITS
from recommender.mechanics import coil, load
from recommender.rules.mounting import AIR, COIL, verdict
from recommender.rules.registry import INAPPLICABLE, figure, rule
from recommender.rules.spring import PLACE, by_kind, load_at

MM = UNITS["mm"][1]
N_PER_MM = UNITS["n_per_mm"][1]
SPRING_PLAY = 0.6


@figure("n_per_mm")
def needed_rate_n_per_mm(
    target_sag_mm: Any,
    preload_mm: Any,
    length_difference_mm: Any,
    sprung_mass_kg: Any,
    bike_leverage: Any,
) -> Any:
    """Coil rate that gives the target sag."""
    force = load_at(sprung_mass_kg, bike_leverage, target_sag_mm, length_difference_mm)
    return coil.rate_for_sag(force, target_sag_mm * MM, preload_mm * MM) / N_PER_MM


@figure("n_per_mm")
def rate_n_per_mm(spring_rate_n_per_mm: Any, spring_made: Any, needed_rate_n_per_mm: Any) -> Any:
    """Rate of the coil in the bundle; one made to specification has the rate that is needed."""
    return np.where(spring_made == 1, needed_rate_n_per_mm, spring_rate_n_per_mm)


RATE_TOLERANCE = 0.05
"""A coil's rate may be off by this share. From memory."""


def _sag_at_rate(share: float, *facts: Any) -> Any:
    kind, stroke, shift, leverage, mass, rate, preload = facts
    force = load.wheel_force(mass)

    def of_coil() -> Any:
        got = coil.sag(
            rate * share * N_PER_MM, preload * MM, force, leverage, shift * MM, stroke * MM
        )
        return np.minimum(got / MM, stroke)

    return by_kind(kind, lambda: np.full(np.shape(stroke), np.nan), of_coil)


_COIL_SAG = (*PLACE, "sprung_mass_kg", "rate_n_per_mm", "preload_mm")


@figure("mm", reads=_COIL_SAG)
def sag_if_soft_mm(*facts: Any) -> Any:
    """Sag with a coil as soft as its tolerance allows; NaN for air."""
    return _sag_at_rate(1 - RATE_TOLERANCE, *facts)


@figure("mm", reads=_COIL_SAG)
def sag_if_stiff_mm(*facts: Any) -> Any:
    """Sag with a coil as stiff as its tolerance allows; NaN for air."""
    return _sag_at_rate(1 + RATE_TOLERANCE, *facts)


@rule(
    "sag", "wish", "percent", standing="cp", springs="coil",
    says="with this spring the sag is {sag_percent} % of the stroke, {short} % outside "
    "{wish_sag_low_percent} to {wish_sag_high_percent} %",
    fix="a spring of {needed_rate_n_per_mm} N/mm",
    gives=(("wish_sag_low_percent", -1), ("wish_sag_high_percent", 1)),
)  # fmt: skip
def sag_band(
    shock_spring_kind: Any,
    sag_percent: Any,
    wish_sag_low_percent: Any,
    wish_sag_high_percent: Any,
    spring_made: Any,
) -> Any:
    silent = (shock_spring_kind == AIR) | (spring_made == 1)
    return (
        np.where(silent, INAPPLICABLE, sag_percent - wish_sag_low_percent),
        np.where(silent, INAPPLICABLE, wish_sag_high_percent - sag_percent),
    )


def _where_coil(kind: Any, fits: Any, *margins: Any) -> Any:
    applies = (kind == COIL) & (fits == 0)
    return tuple(np.where(applies, margin, INAPPLICABLE) for margin in margins)


@rule(
    "spring suits the shock", "limit", "", standing="part maker", categorical=True,
    says="a coil cannot go on an air shock, nor volume spacers into a coil shock",
)  # fmt: skip
def spring_suits(shock_spring_kind: Any, spring_is_coil: Any) -> Any:
    return verdict((shock_spring_kind == COIL) == (spring_is_coil == 1))


@rule(
    "spring travel", "limit", "mm", scale=2.5, standing="part maker", springs="coil",
    says="the coil binds: its usable travel of {spring_usable_travel_mm} mm is {short} mm less "
    "than stroke {stroke_mm} mm with preload {preload_mm} mm",
    fix="a spring with more usable travel",
    rises=("spring_usable_travel_mm",), falls=("stroke_mm", "shock_collar_pitch_mm"),
)  # fmt: skip
def spring_travel(
    shock_spring_kind: Any, spring_fits: Any, spring_usable_travel_mm: Any, stroke_mm: Any,
    preload_mm: Any,
) -> Any:  # fmt: skip
    room = spring_usable_travel_mm - stroke_mm - preload_mm
    return _where_coil(shock_spring_kind, spring_fits, room)[0]


@rule(
    "spring diameter", "limit", "mm", scale=0.1, standing="part maker", springs="coil",
    says="the spring's inner diameter of {spring_inner_diameter_mm} mm does not sit on the shock's "
    "{shock_spring_seat_mm} mm seat",
    fix="a spring for a {shock_spring_seat_mm} mm seat",
)  # fmt: skip
def spring_diameter(
    shock_spring_kind: Any, spring_fits: Any, spring_inner_diameter_mm: Any,
    shock_spring_seat_mm: Any,
) -> Any:  # fmt: skip
    play = spring_inner_diameter_mm - shock_spring_seat_mm
    return _where_coil(shock_spring_kind, spring_fits, play, SPRING_PLAY - play)


@rule(
    "spring length", "limit", "mm", scale=5.0, standing="shock maker", springs="coil",
    says="a spring {spring_free_length_mm} mm long is {short} mm outside what the collar reaches "
    "({shock_spring_length_min_mm} to {shock_spring_length_max_mm} mm)",
    fix="a spring {shock_spring_length_min_mm} to {shock_spring_length_max_mm} mm long",
)  # fmt: skip
def spring_length(
    shock_spring_kind: Any, spring_fits: Any, spring_free_length_mm: Any,
    shock_spring_length_min_mm: Any, shock_spring_length_max_mm: Any,
) -> Any:  # fmt: skip
    return _where_coil(
        shock_spring_kind, spring_fits,
        spring_free_length_mm - shock_spring_length_min_mm,
        shock_spring_length_max_mm - spring_free_length_mm,
    )  # fmt: skip


@rule(
    "spring on offer", "offer", "", standing="catalogue", categorical=True, springs="coil",
    says="nobody in the catalogue sells the spring this needs",
)  # fmt: skip
def spring_on_offer(spring_made: Any) -> Any:
    return verdict(spring_made == 0)
