"""Figures of comfort at plain numbers, worked by hand."""

from typing import Any

import pytest

from tests.rules.one import AIR, COIL, FIRM, LIGHT, MEDIUM, NO, YES, value

RANGE = {"rebound_low_n_s_per_m": 2000.0, "rebound_high_n_s_per_m": 4000.0,
         "compression_low_n_s_per_m": 1000.0, "compression_high_n_s_per_m": 1800.0}  # fmt: skip
HAS = ("shock_rebound_adjuster", "shock_low_speed_compression_adjuster",
       "shock_high_speed_compression_adjuster", "shock_lockout_lever")  # fmt: skip
AIMS = ("aim_adjuster_rebound", "aim_adjuster_low_speed", "aim_adjuster_high_speed",
        "aim_adjuster_lockout")  # fmt: skip
WORKED: list[tuple[str, dict[str, Any], float]] = [
    ("pressure_headroom", {"fill_psi": 175.0}, 1.0),  # the middle of 50 to 300
    ("pressure_headroom", {"fill_psi": 50.0}, 0.0),
    ("pressure_headroom", {"fill_psi": 112.5}, 0.5),
    ("pressure_headroom", {"fill_psi": 275.0}, 0.2),
    ("pressure_headroom", {"fill_psi": 320.0}, 0.0),
    ("pressure_headroom", {"fill_psi": 175.0, "shock_pressure_min_psi": 175.0,
                           "shock_pressure_max_psi": 175.0}, 0.0),
    ("pressure_headroom", {"fill_psi": 320.0, "shock_spring_kind": COIL}, 1.0),
    ("rebound_off_middle", {"needed_rebound_n_s_per_m": 3000.0}, 0.0),
    ("rebound_off_middle", {"needed_rebound_n_s_per_m": 2000.0}, 1.0),
    ("rebound_off_middle", {"needed_rebound_n_s_per_m": 3500.0}, 0.5),
    ("rebound_off_middle", {"needed_rebound_n_s_per_m": 5000.0}, 2.0),
    ("rebound_off_middle", {"needed_rebound_n_s_per_m": 5000.0, "tune_made": 1}, 0.0),
    ("compression_off_middle", {"needed_compression_n_s_per_m": 1200.0}, 0.5),
    ("compression_off_middle", {"needed_compression_n_s_per_m": 1800.0}, 1.0),
    ("tyre_gap_spare_mm", {"tyre_gap_mm": 9.5, "bike_tyre_minimum_gap_mm": 6.0}, 3.5),
    ("body_air_spare_mm", {"body_air_mm": 7.0, "bike_room_minimum_air_mm": 3.0}, 4.0),
    ("head_play_mm", {"head_width_over_gap_mm": -0.3, "head_meets_lugs": True}, 0.3),
    ("shaft_play_mm", {"shaft_width_over_gap_mm": 0.1, "shaft_meets_lugs": True}, 0.1),
    ("head_play_mm", {"head_width_over_gap_mm": -0.3, "head_meets_lugs": False}, 0.0),
    ("head_play_mm", {"head_width_over_gap_mm": -0.3, "head_meets_lugs": True,
                      "head_kit_made": 1}, 0.0),
    ("spring_kind_met", {"shock_spring_kind": AIR, "aim_spring_kind": AIR}, 1.0),
    ("spring_kind_met", {"shock_spring_kind": COIL, "aim_spring_kind": AIR}, 0.0),
    ("tune_met", {"aim_tune_class": MEDIUM}, 1.0),
    ("tune_met", {"aim_tune_class": MEDIUM, "tune_rebound_class": FIRM}, 0.5),
    ("tune_met", {"aim_tune_class": MEDIUM, "tune_compression_class": LIGHT}, 0.5),
    ("tune_met", {"aim_tune_class": FIRM}, 0.0),
    ("tune_met", {"aim_tune_class": FIRM, "tune_made": 1}, 1.0),
    ("lockout_met", {"aim_lockout": 2}, 1.0),
    ("lockout_met", {"aim_lockout": 1}, 0.0),
    ("lockout_met", {"aim_lockout": 1, "tune_made": 1}, 1.0),
    ("remote_met", {"aim_remote": NO}, 1.0),
    ("remote_met", {"aim_remote": YES}, 0.0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "facts", "expected"), WORKED, ids=str)
def test_worked(name: str, facts: dict[str, Any], expected: float) -> None:
    assert float(value(name, **RANGE | facts)) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("wanted", "has", "share"),
    [("1000", "1000", 1.0), ("1000", "0111", 0.0), ("1111", "1110", 0.75), ("0101", "0001", 0.5),
     ("0011", "1111", 1.0), ("0000", "1111", 0.0)],
)  # fmt: skip
def test_share_of_the_adjusters_aimed_at(wanted: str, has: str, share: float) -> None:
    facts = dict(zip(HAS, map(int, has), strict=True)) | dict(
        zip(AIMS, map(int, wanted), strict=True)
    )
    assert float(value("adjusters_met", **facts)) == share
