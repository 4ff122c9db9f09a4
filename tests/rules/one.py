"""One rule or figure at plain numbers, with facts that suit one another unless said otherwise.

The usual facts are the project's worked example: ratio 2.86 -> 2.34 over 50 mm, a rider of 80 kg
with kit, rear share 0.60, 5 kg of bike, 30 % sag; an air shock 210 x 50 or a coil of 550 lbf/in.
"""

from typing import Any

import numpy as np

from recommender.facts import words
from recommender.mechanics.leverage import Leverage
from recommender.rules.registry import FIGURES, RULES
from recommender.rules.room import BODY, ROOMS
from recommender.rules.size import ApprovedSizes
from recommender.rules.tune import ClassRanges

NAN = float("nan")
EYELET, TRUNNION = 0, 1
PARALLEL, CROSSWISE = 0, 1
AIR, COIL = 0, 1
NO, YES = 0, 1
BUSHING, BEARING = 0, 1
SLEEVE, AXLE, BOLTS = 0, 1, 2
BARE, POLYMER = 0, 1
LIGHT, MEDIUM, FIRM = 0, 1, 2
assert words.KIT_KINDS == ("sleeve", "bearing axle", "trunnion bolts")
assert words.BUSHINGS[:2] == ("none", "push-fit polymer")

USUAL: dict[str, Any] = {
    "bike_mount": EYELET, "bike_eyelet_axis": PARALLEL,
    "bike_sizes": ApprovedSizes((210.0,), (55.0,)),
    "bike_nominal_length_mm": 210.0, "bike_length_tolerance_mm": 1.0, "bike_linkage_stop_mm": 60.0,
    "bike_leverage": Leverage.linear(2.86, 2.34, 0.050), "bike_gap_compression_mm": 50.0,
    "bike_tyre_gap_mm": 14.0, "bike_tyre_closing": 1.0, "bike_tyre_bead_seat_mm": 622.0,
    "bike_tyre_width_mm": 60.0, "bike_tyre_measured_width_mm": 60.0,
    "bike_tyre_minimum_gap_mm": 6.0, "bike_tyre_side_room_mm": 8.0,
    "bike_tyre_minimum_side_room_mm": 4.0, "bike_room_minimum_air_mm": 3.0,
    "bike_allows_air": YES, "bike_allows_coil": YES, "bike_allows_end_for_end": NO,
    "bike_allows_remote": NO, "bike_limits_rider_mass_kg": 110.0, "bike_limits_rider_mass_basis": 1,
    "bike_head_trunnion_width_mm": 54.0, "bike_rear_sprung_mass_kg": 5.0,
    "rider_mass_kg": 74.0, "rider_mass_with_kit_kg": 80.0, "rider_bike_mass_kg": 15.0,
    "rider_rear_share": 0.60, "rider_rebound_ratio": 0.25, "rider_compression_ratio": 0.125,
    "shock_length_mm": 210.0, "stroke_mm": 50.0, "shock_reversed": 0, "shock_spring_kind": AIR,
    "shock_head_mount": EYELET, "shock_head_eye": BUSHING, "shock_shaft_eye": BUSHING,
    "shock_eyelet_axis": PARALLEL, "shock_eyelet_turnable": NO, "shock_end_for_end": NO,
    "shock_remote_lockout": NO, "shock_rider_mass_limit_kg": 120.0,
    "shock_rider_mass_limit_basis": 1,
    "shock_head_gap_mm": 22.0, "shock_head_bolt_mm": 8.0, "shock_head_carbon_lugs": NO,
    "shock_head_grip_mm": 30.0, "shock_head_eye_width_mm": 12.7, "shock_head_eye_bore_mm": 15.0,
    "shock_head_sleeve_diameter_mm": 12.7, "shock_trunnion_width_mm": 54.0,
    "shock_trunnion_thread": 2, "shock_trunnion_thread_depth_mm": 10.0,
    "head_kit_kind": SLEEVE, "head_kit_width_mm": 22.0, "head_kit_bore_mm": 8.0,
    "head_kit_sleeve_diameter_mm": 12.7, "head_kit_bushing": POLYMER,
    "head_kit_bushing_diameter_mm": 15.0, "head_kit_thread": 2, "head_kit_protrusion_mm": 8.0,
    "head_kit_worn": 0, "head_kit_made": 0, "head_kit_days": 3.0, "head_kit_workshop": 0,
    "shock_piston_area_mm2": 1700.0, "shock_chamber_cm3": 150.0,
    "shock_negative_area_mm2": 1200.0, "shock_negative_chamber_cm3": 30.0,
    "shock_equalise_at_mm": 4.0, "shock_volume_spacer_cm3": 10.0, "spring_spacers": 0.0,
    "shock_volume_spacers_max": 2.0, "shock_pressure_min_psi": 50.0,
    "shock_pressure_max_psi": 300.0, "shock_collar_pitch_mm": 1.5, "shock_preload_turns_min": 0.0,
    "shock_spring_seat_mm": 36.0, "shock_spring_length_min_mm": 110.0,
    "shock_spring_length_max_mm": 150.0, "spring_is_coil": 0, "spring_made": 0, "spring_fits": 0,
    "spring_rate_n_per_mm": 550 * 0.1751268, "spring_usable_travel_mm": 55.0,
    "spring_inner_diameter_mm": 36.4, "spring_outer_diameter_mm": 60.0,
    "spring_free_length_mm": 130.0, "spring_days": 4.0,
    "wish_sag_target_percent": 30.0, "wish_sag_low_percent": 25.0, "wish_sag_high_percent": 35.0,
    "sound_sag_low_percent": 25.0, "sound_sag_high_percent": 35.0, "clocking_turned": 0,
    "tune_rebound_class": MEDIUM, "tune_compression_class": MEDIUM, "tune_lockout_class": 2,
    "tune_rebound_low_n_s_per_m": NAN, "tune_rebound_high_n_s_per_m": NAN,
    "tune_compression_low_n_s_per_m": NAN, "tune_compression_high_n_s_per_m": NAN, "tune_made": 0,
    "tune_leaves_broken": 0, "tune_days": 8.0,
    "tune_workshop": 1, "shock_days": 0.0, "stroke_days": 0.0, "spring_work_days": 0.0,
    "classes": ClassRanges((1500, 2400, 3600), (3600, 5100, 7500), (500, 800, 1200),
                           (1200, 1700, 2500)),
} | dict.fromkeys(ROOMS, 40.0) | dict.fromkeys(BODY, 30.0)  # fmt: skip


def value(name: str, **facts: Any) -> Any:
    """A fact or figure."""
    known = USUAL | facts
    if name in known:
        return known[name]
    if name not in FIGURES and name.startswith(("shaft_kit_", "shock_shaft_")):
        return known[name.replace("shaft", "head", 1)]
    if name not in FIGURES:
        raise KeyError(f"{name} is no figure, and USUAL in tests/rules/one.py has no value of it")
    return FIGURES[name].formula(*(value(read, **facts) for read in FIGURES[name].reads))


def sides(rule: str, **facts: Any) -> tuple[float, ...]:
    """Both sides of a band, or the one margin."""
    with np.errstate(all="ignore"):
        got = RULES[rule].margin(*(value(read, **facts) for read in RULES[rule].reads))
    return tuple(float(side) for side in (got if isinstance(got, tuple) else (got,)))


def margin(rule: str, **facts: Any) -> float:
    """The lesser side of a margin."""
    return min(sides(rule, **facts))
