"""The project's worked example: one frame, a coil and an air shock, every printed figure.

Ratio 2.86 -> 2.34 over 50 mm; rider 80 kg, rear share 0.60, bike part 5 kg, 30 % sag. Standing of
the figures: D, closed form of the stated model; tolerance half the last printed digit. The air
figures are recomputed beside that by scipy's quad and brentq from the bare formulas.
"""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from recommender.facts.units import LBF_PER_INCH, PSI
from recommender.mechanics import air, clearance, coil, damping, load, sag, springing
from recommender.mechanics.leverage import Leverage

FRAME = Leverage.linear(2.86, 2.34, 0.050)
MASS = float(load.rear_sprung_mass(80, 0.60, 5))
WHEEL = float(load.wheel_force(MASS))
AT_SAG = 0.015
AIR = air.AirSpring(1700e-6, 150e-6, 1200e-6, 30e-6, 0.004)


def spaced(cm3: float) -> air.AirSpring:
    return air.AirSpring(1700e-6, (150 - cm3) * 1e-6, 1200e-6, 30e-6, 0.004)


def printed(value: object, digits: int) -> float:
    return round(float(value), digits)  # type: ignore[arg-type]


def test_travel_of_three_strokes() -> None:
    mm = FRAME.travel([0.050, 0.0525, 0.055]) * 1000
    assert [printed(z, 2) for z in mm] == [130.00, 135.82, 141.57]


def test_wheel_sag_is_another_fraction() -> None:
    wheel = float(sag.wheel_sag(FRAME, AT_SAG, 0.0))
    assert printed(wheel * 1000, 2) == 41.73
    assert printed(100 * wheel / float(FRAME.travel(0.050)), 1) == 32.1


def test_load_and_coil_rate() -> None:
    force = load.shock_force(WHEEL, FRAME.ratio(AT_SAG))
    assert printed(WHEEL, 2) == 519.75
    assert printed(FRAME.ratio(AT_SAG), 3) == 2.704
    assert printed(force, 1) == 1405.4
    rate = coil.rate_for_sag(force, AT_SAG, 0.0)
    assert printed(rate / 1000, 2) == 93.69
    assert printed(rate / LBF_PER_INCH, 1) == 535.0


def test_sag_of_actual_rates() -> None:
    rates = np.array([550.0, 525.0]) * LBF_PER_INCH
    mm = coil.sag(rates, 0.0, WHEEL, FRAME, 0.0, 0.050) * 1000
    assert [printed(x, 2) for x in mm] == [14.61, 15.27]
    assert [printed(x / 0.5, 1) for x in mm] == [29.2, 30.5]


def test_fill_pressure_of_four_riders() -> None:
    forces = load.wheel_force(load.rear_sprung_mass([60, 80, 100, 120], 0.60, 5))
    p0 = air.fill_pressure(load.shock_force(forces, FRAME.ratio(AT_SAG)), AT_SAG, AIR)
    assert [printed(p, 1) for p in p0 / PSI] == [130.5, 171.1, 211.7, 252.3]
    assert printed(air.extended_force(p0[1], AIR), 0) == 259


def test_a_negative_chamber_too_large_draws_the_shock_in() -> None:
    large = air.AirSpring(1700e-6, 150e-6, 1500e-6, 30e-6, 0.004)
    p0 = air.fill_pressure(WHEEL * FRAME.ratio(AT_SAG), AT_SAG, large)
    assert printed(p0 / PSI, 1) == 198.3
    assert printed(air.extended_force(p0, large), 0) == -293


def test_coil_reserve() -> None:
    energy = springing.coil_energy(550 * LBF_PER_INCH, 0.0, 0.050)
    assert printed(energy, 1) == 120.4
    assert printed(springing.reserve_height(energy, MASS, 0.130), 3) == 0.102


@pytest.mark.parametrize(
    ("cm3", "psi", "reserve"), [(0, 171.1, 0.101), (10, 166.7, 0.112), (20, 161.8, 0.129)]
)
def test_air_reserve_with_spacers(cm3: float, psi: float, reserve: float) -> None:
    spring = spaced(cm3)
    p0 = air.fill_pressure(WHEEL * FRAME.ratio(AT_SAG), AT_SAG, spring)
    energy = air.riding_energy(p0, AT_SAG, 0.050, spring)
    assert printed(p0 / PSI, 1) == psi
    assert printed(springing.reserve_height(energy, MASS, 0.130), 3) == reserve


def test_air_energy_with_and_without_the_inward_stretch() -> None:
    # The bare integral is 119.8 J; the reserve leaves out the first millimetre or so, where the
    # fast curve pulls inward, which makes it 119.9 J. Both round to the same reserve.
    p0 = air.fill_pressure(WHEEL * FRAME.ratio(AT_SAG), AT_SAG, AIR)
    bare, _ = quad(lambda x: float(air.riding_force(p0, AT_SAG, x, AIR)), 0.0, 0.050)
    kept = float(air.riding_energy(p0, AT_SAG, 0.050, AIR))
    assert printed(bare, 1) == 119.8
    assert printed(kept, 1) == 119.9


def test_wheel_rates() -> None:
    rate = 550 * LBF_PER_INCH
    x = coil.sag(rate, 0.0, WHEEL, FRAME, 0.0, 0.050)
    ratio, slope = FRAME.ratio(x), FRAME.slope(x)
    assert printed(springing.wheel_rate(rate, rate * x, ratio, slope) / 1000, 2) == 13.87
    assert printed(springing.wheel_rate(rate, rate * x, ratio, 0.0) / 1000, 2) == 13.13


def test_air_wheel_rate_and_the_damping_it_asks_for() -> None:
    force, ratio = WHEEL * FRAME.ratio(AT_SAG), FRAME.ratio(AT_SAG)
    p0 = air.fill_pressure(force, AT_SAG, AIR)
    shock_rate = air.riding_rate(p0, AT_SAG, AT_SAG, AIR)
    rate = springing.wheel_rate(shock_rate, force, ratio, FRAME.slope(AT_SAG))
    assert printed(rate / 1000, 2) == 12.30
    needed = damping.needed_coefficient([0.25, 0.50], rate, MASS, ratio)
    assert [printed(c, 0) for c in needed] == [2951, 5902]


def test_tyre_gap_lost_to_a_longer_stroke_or_a_shorter_shock() -> None:
    more = clearance.growth(FRAME, 0.0525, 0.0, 0.050)
    short = clearance.growth(FRAME, 0.050, -0.001, 0.050)
    assert printed(more * 1000, 2) == 5.82
    assert printed(short * 1000, 2) == 2.33


def test_ten_degrees_are_about_three_and_a_half_per_cent() -> None:
    p0 = 12e5
    warm = air.pressure_at_temperature(p0, 283.15, 293.15)
    assert float(warm - p0) / (p0 + 101_325) == pytest.approx(0.035, abs=0.0005)


@pytest.mark.parametrize("cm3", [0, 10, 20])
def test_air_figures_from_the_bare_formulas(cm3: float) -> None:
    area, volume, area_n, volume_n, meet = 1.7e-3, (150 - cm3) * 1e-6, 1.2e-3, 30e-6, 4e-3
    outside, n, spring = 101_325.0, 1.3, spaced(cm3)
    force = WHEEL * (2.86 - 0.52 * 0.3)

    def pressures(p0: float, x: float) -> tuple[float, float]:
        equal = p0 * volume / (volume - area * meet)
        return (
            p0 * volume / (volume - area * x),
            equal * (volume_n + area_n * meet) / (volume_n + area_n * x),
        )

    def net(up: float, down: float) -> float:
        return area * (up - outside) - area_n * (down - outside)

    p0 = brentq(lambda p: net(*pressures(p, AT_SAG)) - force, 1e5, 1e8)
    up, down = pressures(p0, AT_SAG)

    def riding(x: float) -> float:
        squeeze = (volume - area * AT_SAG) / (volume - area * x)
        stretch = (volume_n + area_n * AT_SAG) / (volume_n + area_n * x)
        return net(up * squeeze**n, down * stretch**n)

    gauge = p0 - outside
    assert float(air.fill_pressure(force, AT_SAG, spring)) == pytest.approx(gauge, rel=1e-10)
    for x in (0.0, 0.01, 0.03, 0.05):
        ours = float(air.riding_force(gauge, AT_SAG, x, spring))
        assert ours == pytest.approx(riding(x), rel=1e-10)
        rate = float(air.riding_rate(gauge, AT_SAG, x, spring))
        assert rate == pytest.approx(slope_of(riding, x), rel=1e-6)
    zero = brentq(riding, 0.0, 0.05)
    energy, _ = quad(riding, zero, 0.05)
    ours = float(air.riding_energy(gauge, AT_SAG, 0.05, spring))
    assert ours == pytest.approx(energy, rel=1e-10)


def slope_of(function: Callable[[float], float], x: float) -> float:
    step = 1e-6
    return (function(x + step) - function(x - step)) / (2 * step)
