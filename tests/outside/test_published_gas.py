"""Gas laws against textbooks, and the ideal gas against real air (CoolProp)."""

import pytest
from CoolProp.CoolProp import PropsSI

from recommender.facts.units import ATMOSPHERE, BAR
from recommender.mechanics import air

ROOM = 293.15  # K


@pytest.mark.parametrize(("n", "kilojoule"), [(1.5, "17.6"), (1.0, "20.79"), (0.0, "30")])
def test_moran_and_shapiro_example_2_1(n: float, kilojoule: str) -> None:
    # Moran & Shapiro, Fundamentals of Engineering Thermodynamics, Ex. 2.1 [B]: 3 bar, 0.1 to
    # 0.2 m3 along p V^n = constant.
    digits = len(kilojoule.partition(".")[2])
    work = float(air.polytropic_work(3 * BAR, 0.1, 0.2, n)) / 1000
    assert f"{work:.{digits}f}" == kilojoule


def test_cengel_and_boles_example_4_3() -> None:
    # Cengel & Boles, Thermodynamics, Ex. 4-3 [B]: air, 100 kPa, 0.4 to 0.1 m3, isothermal.
    work = float(air.polytropic_work(100e3, 0.4, 0.1, 1.0))
    assert round(work / 1000, 1) == -55.5


def test_diesel_compression() -> None:
    # Young & Freedman, University Physics, example on adiabatic compression in a diesel engine
    # [C]: 1.00 L of air at 1.01e5 Pa compressed 15.0 to 1, gamma 1.40: 44.8e5 Pa, -494 J.
    end = float(air.polytropic_pressure(1.01e5, 15.0, 1.40))
    work = float(air.polytropic_work(1.01e5, 1e-3, 1e-3 / 15, 1.40))
    assert round(end / 1e5, 1) == 44.8
    assert work == pytest.approx(-494, abs=1.0)


def test_pressure_of_a_warmed_tyre() -> None:
    # OpenStax College Physics, bicycle tyre example [C]: 7.00e5 Pa absolute at 18.0 C,
    # 7.41e5 Pa at 35.0 C.
    warm = air.pressure_at_temperature(7.00e5 - ATMOSPHERE, 291.15, 308.15)
    assert round((float(warm) + ATMOSPHERE) / 1e5, 2) == 7.41


def test_absolute_not_gauge() -> None:
    # 15 bar gauge, ratio 3, n 1.4 [D]: 73.537 bar gauge; done on gauge figures it would be 69.833.
    end = air.polytropic_pressure(15 * BAR + ATMOSPHERE, 3.0, 1.4) - ATMOSPHERE
    wrong = air.polytropic_pressure(15 * BAR, 3.0, 1.4)
    assert round(float(end) / BAR, 3) == 73.537
    assert round(float(wrong) / BAR, 3) == 69.833
    # The spring itself: one chamber, slow fill at extension, ridden to a third of its volume.
    spring = air.AirSpring(1.0, 3.0, 0.0, 0.0, 0.0)
    force = float(air.riding_force(15 * BAR, 0.0, 2.0, spring, 1.4))
    assert round(force / BAR, 3) == 73.537


@pytest.mark.parametrize(
    ("bar", "ratio", "real_bar", "error"),
    [
        (15, 2, 40.4916, -2.24),
        (15, 3, 73.1538, -4.54),
        (15, 4, 112.1436, -6.85),
        (25, 2, 68.7287, -4.01),
        (25, 3, 126.7911, -8.20),
        (25, 4, 198.8096, -12.42),
    ],
)
def test_error_of_the_ideal_gas_against_real_air(
    bar: float, ratio: float, real_bar: float, error: float
) -> None:
    # CoolProp air, 20 C, isentropic [D]; n = 1.4 on absolute pressures understates by `error` %.
    density = PropsSI("D", "P", bar * BAR, "T", ROOM, "Air")
    entropy = PropsSI("S", "P", bar * BAR, "T", ROOM, "Air")
    real = PropsSI("P", "D", density * ratio, "S", entropy, "Air")
    ideal = float(air.polytropic_pressure(bar * BAR, ratio, 1.4))
    assert real / BAR == pytest.approx(real_bar, abs=5e-4)
    assert round(100 * (ideal / real - 1), 2) == pytest.approx(error, abs=0.006)


def test_thin_air_is_an_ideal_gas() -> None:
    # The limit: at 0.01 bar CoolProp's isentropic end pressure is n = 1.4's within 0.5 % [D].
    density = PropsSI("D", "P", 1e3, "T", ROOM, "Air")
    entropy = PropsSI("S", "P", 1e3, "T", ROOM, "Air")
    real = PropsSI("P", "D", density * 3, "S", entropy, "Air")
    assert float(air.polytropic_pressure(1e3, 3.0, 1.4)) == pytest.approx(real, rel=0.005)


def test_slow_sag_setting_hardly_feels_the_real_gas() -> None:
    # Isothermal, from 15 bar at 20 C to three quarters of the volume, CoolProp [D]: under 0.5 %.
    density = PropsSI("D", "P", 15 * BAR, "T", ROOM, "Air")
    real = PropsSI("P", "D", density / 0.75, "T", ROOM, "Air")
    spring = air.AirSpring(1.0, 1.0, 0.0, 0.0, 0.0)
    force = air.slow_force(15 * BAR - ATMOSPHERE, 0.25, spring)
    assert float(force) + ATMOSPHERE == pytest.approx(real, rel=0.005)


def test_temperature_against_real_air() -> None:
    # Constant volume, 15 bar absolute, 20 to 30 C, CoolProp [D]: the ideal gas within 0.3 %.
    density = PropsSI("D", "P", 15 * BAR, "T", ROOM, "Air")
    real = PropsSI("P", "D", density, "T", ROOM + 10, "Air")
    ours = air.pressure_at_temperature(15 * BAR - ATMOSPHERE, ROOM, ROOM + 10)
    assert float(ours) + ATMOSPHERE == pytest.approx(real, rel=0.003)
    assert real / (15 * BAR) - 1 == pytest.approx(0.035, abs=0.002)


def test_energy_against_the_textbook_work() -> None:
    # Moran & Shapiro's Ex. 2.1 [B] backwards: one chamber on the n = 1.5 line that gave 17.6 kJ,
    # pressed from 0.2 to 0.1 m3, takes those 17.6 kJ from the shaft and the atmosphere together.
    start = 3 * BAR * 0.5**1.5
    spring = air.AirSpring(1.0, 0.2, 0.0, 0.0, 0.0)
    energy = float(air.riding_energy(start - ATMOSPHERE, 0.0, 0.1, spring, 1.5))
    assert round((energy + ATMOSPHERE * 0.1) / 1000, 1) == 17.6
