"""The damper: whether the class's range reaches the damping this frame and rider need."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from recommender.facts.units import UNITS
from recommender.mechanics import damping
from recommender.mechanics.array import Array
from recommender.rules.mounting import verdict
from recommender.rules.registry import INAPPLICABLE, figure, rule

MM = UNITS["mm"][1]
N_PER_MM = UNITS["n_per_mm"][1]


@dataclass(frozen=True)
class ClassRanges:
    """Coefficients (N s/m) that each class covers, by class code; columns of the class table."""

    rebound_low: tuple[float, ...]
    rebound_high: tuple[float, ...]
    compression_low: tuple[float, ...]
    compression_high: tuple[float, ...]

    def of(self, side: str, codes: Any) -> Array:
        """That side's coefficient for each class code."""
        return np.take(np.asarray(getattr(self, side)), np.asarray(codes, dtype=np.intp))


def _measured(told: Any, of_class: Any) -> Any:
    """What was measured, else the class's."""
    return np.where(np.isnan(told), of_class, told)


@figure("n_s_per_m")
def rebound_low_n_s_per_m(
    tune_rebound_class: Any, tune_rebound_low_n_s_per_m: Any, classes: Any
) -> Any:
    """Low end of the rebound adjuster: as measured, else the class's."""
    return _measured(tune_rebound_low_n_s_per_m, classes.of("rebound_low", tune_rebound_class))


@figure("n_s_per_m")
def rebound_high_n_s_per_m(
    tune_rebound_class: Any, tune_rebound_high_n_s_per_m: Any, classes: Any
) -> Any:
    return _measured(tune_rebound_high_n_s_per_m, classes.of("rebound_high", tune_rebound_class))


@figure("n_s_per_m")
def compression_low_n_s_per_m(
    tune_compression_class: Any, tune_compression_low_n_s_per_m: Any, classes: Any
) -> Any:
    table = classes.of("compression_low", tune_compression_class)
    return _measured(tune_compression_low_n_s_per_m, table)


@figure("n_s_per_m")
def compression_high_n_s_per_m(
    tune_compression_class: Any, tune_compression_high_n_s_per_m: Any, classes: Any
) -> Any:
    table = classes.of("compression_high", tune_compression_class)
    return _measured(tune_compression_high_n_s_per_m, table)


@figure("n_s_per_m")
def critical_n_s_per_m(
    wheel_rate_n_per_mm: Any,
    sprung_mass_kg: Any,
    sag_mm: Any,
    length_difference_mm: Any,
    bike_leverage: Any,
) -> Any:
    """Coefficient at the shock for critical damping at the wheel."""
    ratio = bike_leverage.ratio((sag_mm - length_difference_mm) * MM)
    return damping.needed_coefficient(1.0, wheel_rate_n_per_mm * N_PER_MM, sprung_mass_kg, ratio)


@figure("n_s_per_m")
def needed_rebound_n_s_per_m(critical_n_s_per_m: Any, rider_rebound_ratio: Any) -> Any:
    return critical_n_s_per_m * rider_rebound_ratio


@figure("n_s_per_m")
def needed_compression_n_s_per_m(critical_n_s_per_m: Any, rider_compression_ratio: Any) -> Any:
    return critical_n_s_per_m * rider_compression_ratio


def _within(needed: Any, low: Any, high: Any, made: Any) -> Any:
    silent = made == 1
    return (
        np.where(silent, INAPPLICABLE, needed - low),
        np.where(silent, INAPPLICABLE, high - needed),
    )


@rule(
    "rebound range", "limit", "n_s_per_m", standing="mem",
    says="the rider needs {needed_rebound_n_s_per_m} N s/m of rebound, {short} outside what the "
    "tune covers ({rebound_low_n_s_per_m} to {rebound_high_n_s_per_m})",
    fix="a revalve whose rebound covers {needed_rebound_n_s_per_m} N s/m",
    steady=("needed_rebound_n_s_per_m",),
)  # fmt: skip
def rebound_range(
    needed_rebound_n_s_per_m: Any,
    rebound_low_n_s_per_m: Any,
    rebound_high_n_s_per_m: Any,
    tune_made: Any,
) -> Any:
    return _within(
        needed_rebound_n_s_per_m, rebound_low_n_s_per_m, rebound_high_n_s_per_m, tune_made
    )


@rule(
    "compression range", "limit", "n_s_per_m", standing="mem",
    says="the rider needs {needed_compression_n_s_per_m} N s/m of compression damping, {short} "
    "outside what the tune covers ({compression_low_n_s_per_m} to {compression_high_n_s_per_m})",
    fix="a revalve whose compression covers {needed_compression_n_s_per_m} N s/m",
    steady=("needed_compression_n_s_per_m",),
)  # fmt: skip
def compression_range(
    needed_compression_n_s_per_m: Any,
    compression_low_n_s_per_m: Any,
    compression_high_n_s_per_m: Any,
    tune_made: Any,
) -> Any:
    return _within(
        needed_compression_n_s_per_m, compression_low_n_s_per_m, compression_high_n_s_per_m,
        tune_made,
    )  # fmt: skip


@rule(
    "tune on offer", "offer", "", standing="catalogue", categorical=True,
    says="no workshop in the catalogue offers the revalve this needs",
)  # fmt: skip
def tune_on_offer(tune_made: Any) -> Any:
    return verdict(tune_made == 0)
