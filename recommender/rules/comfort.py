"""Figures that no limit is set on, but that tell a comfortable fit from a bare one."""

from typing import Any

import numpy as np

from recommender.rules.mounting import YES
from recommender.rules.registry import figure
from recommender.rules.spring import by_kind


@figure("ratio")
def pressure_headroom(
    shock_spring_kind: Any, fill_psi: Any, shock_pressure_min_psi: Any, shock_pressure_max_psi: Any
) -> Any:
    """Distance of the fill pressure from its nearer limit over half the window: 0 at a limit, 1 in
    the middle; 1 for a coil, which has no window."""

    def of_air() -> Any:
        half = np.maximum((shock_pressure_max_psi - shock_pressure_min_psi) / 2, 1e-9)
        nearer = np.minimum(shock_pressure_max_psi - fill_psi, fill_psi - shock_pressure_min_psi)
        return np.clip(nearer / half, 0.0, 1.0)

    return by_kind(shock_spring_kind, of_air, lambda: np.ones(np.shape(fill_psi)))


def _place(needed: Any, low: Any, high: Any, made: Any) -> Any:
    """Distance from the middle of the range over half of it: 0 in the middle, 1 at an end."""
    half = np.maximum((high - low) / 2, 1e-9)
    off = np.abs(needed - (high + low) / 2) / half
    return np.where(made == 1, 0.0, off)


@figure("ratio")
def rebound_off_middle(
    needed_rebound_n_s_per_m: Any,
    rebound_low_n_s_per_m: Any,
    rebound_high_n_s_per_m: Any,
    tune_made: Any,
) -> Any:
    return _place(
        needed_rebound_n_s_per_m, rebound_low_n_s_per_m, rebound_high_n_s_per_m, tune_made
    )


@figure("ratio")
def compression_off_middle(
    needed_compression_n_s_per_m: Any,
    compression_low_n_s_per_m: Any,
    compression_high_n_s_per_m: Any,
    tune_made: Any,
) -> Any:
    return _place(
        needed_compression_n_s_per_m, compression_low_n_s_per_m, compression_high_n_s_per_m,
        tune_made,
    )  # fmt: skip


@figure("mm")
def tyre_gap_spare_mm(tyre_gap_mm: Any, bike_tyre_minimum_gap_mm: Any) -> Any:
    return tyre_gap_mm - bike_tyre_minimum_gap_mm


@figure("mm")
def body_air_spare_mm(body_air_mm: Any, bike_room_minimum_air_mm: Any) -> Any:
    return body_air_mm - bike_room_minimum_air_mm


@figure("mm", each="end")
def end_play_mm(end_width_over_gap_mm: Any, end_meets_lugs: Any, end_kit_made: Any) -> Any:
    """How far the sleeve's width is off the gap; 0 where there is no sleeve to compare."""
    return np.where(end_meets_lugs & (end_kit_made == 0), np.abs(end_width_over_gap_mm), 0.0)


@figure("ratio")
def adjusters_met(
    shock_rebound_adjuster: Any,
    shock_low_speed_compression_adjuster: Any,
    shock_high_speed_compression_adjuster: Any,
    shock_lockout_lever: Any,
    aim_adjuster_rebound: Any,
    aim_adjuster_low_speed: Any,
    aim_adjuster_high_speed: Any,
    aim_adjuster_lockout: Any,
) -> Any:
    """Share of the adjusters aimed at that the shock has."""
    wanted = (
        aim_adjuster_rebound, aim_adjuster_low_speed, aim_adjuster_high_speed, aim_adjuster_lockout,
    )  # fmt: skip
    has = (
        shock_rebound_adjuster,
        shock_low_speed_compression_adjuster,
        shock_high_speed_compression_adjuster,
        shock_lockout_lever,
    )
    met = sum((np.asarray(one) == YES) * want for one, want in zip(has, wanted, strict=True))
    return met / max(1.0, sum(wanted))


@figure("ratio")
def spring_kind_met(shock_spring_kind: Any, aim_spring_kind: Any) -> Any:
    return np.where(shock_spring_kind == aim_spring_kind, 1.0, 0.0)


@figure("ratio")
def tune_met(
    tune_compression_class: Any, tune_rebound_class: Any, aim_tune_class: Any, tune_made: Any
) -> Any:
    """Half for each side of the damper that has the class aimed at."""
    met = (tune_compression_class == aim_tune_class) * 0.5
    met = met + (tune_rebound_class == aim_tune_class) * 0.5
    return np.where(tune_made == 1, 1.0, met)


@figure("ratio")
def lockout_met(tune_lockout_class: Any, aim_lockout: Any, tune_made: Any) -> Any:
    return np.where((tune_lockout_class == aim_lockout) | (tune_made == 1), 1.0, 0.0)


@figure("ratio")
def remote_met(shock_remote_lockout: Any, aim_remote: Any) -> Any:
    return np.where(shock_remote_lockout == aim_remote, 1.0, 0.0)
