"""Vibration and motion ratio against textbooks."""

import math

import pytest

from recommender.facts.units import GRAVITY, INCH, LBF, LBF_PER_INCH
from recommender.mechanics import coil, springing
from recommender.mechanics.leverage import Leverage

FOOT = 12 * INCH


def test_meriam_and_kraige_8_1() -> None:
    # Meriam & Kraige, Dynamics, sample problem 8/1 [B]: 25 lb on 160 lb/ft: 1.875 in static,
    # 14.36 rad/s, 2.28 Hz; the book takes g = 32.2 ft/s2.
    rate = 160 * LBF / FOOT
    mass = 25 * LBF / (32.2 * FOOT)
    direct = Leverage.constant(1.0, 1.0)
    static = coil.sag(rate, 0.0, 25 * LBF, direct, 0.0, 1.0)
    frequency = float(springing.natural_frequency(rate, mass))
    assert float(static) / INCH == pytest.approx(1.875, rel=1e-12)
    assert frequency == pytest.approx(14.36, abs=0.005)
    assert round(frequency / (2 * math.pi), 2) == 2.28


def test_meriam_and_kraige_8_2() -> None:
    # Meriam & Kraige, Dynamics, sample problem 8/2 [B]: m 8 kg, c 20 N s/m, k 32 N/m: zeta 0.625,
    # damped 1.561 rad/s.
    assert float(springing.damping_ratio(20.0, 32.0, 8.0)) == pytest.approx(0.625, rel=1e-12)
    assert round(float(springing.damped_frequency(20.0, 32.0, 8.0)), 3) == 1.561


def test_motion_ratio_example() -> None:
    # Automotive Chassis Engineering, 3.9.2, eq. 3.33 [A]: 80 N/mm through a ratio of 2.5 is
    # 12.8 N/mm at the wheel.
    assert float(springing.wheel_rate(80e3, 0.0, 2.5, 0.0)) == pytest.approx(12.8e3, rel=1e-12)


def test_static_deflection_of_one_hertz() -> None:
    # Ride engineers' rule: 1 Hz goes with 9.8 in (249 mm) of static deflection [C]; g / w^2 [D].
    deflection = GRAVITY / (2 * math.pi) ** 2
    frequency = float(springing.natural_frequency(GRAVITY / deflection, 1.0))
    assert round(deflection / INCH, 1) == 9.8
    assert frequency / (2 * math.pi) == pytest.approx(1.0, rel=1e-12)


def test_milliken_form_of_the_wheel_rate() -> None:
    # Milliken & Milliken, Race Car Vehicle Dynamics [C]: K_w = K_s IR^2 + F_s dIR/dz with the
    # installation ratio IR = 1 / LR; its derivative here by differences.
    frame, x, step = Leverage.linear(2.86, 2.34, 0.050), 0.015, 1e-6
    rate = 550 * LBF_PER_INCH
    installation = 1 / float(frame.ratio(x))
    change = (1 / float(frame.ratio(x + step)) - 1 / float(frame.ratio(x - step))) / float(
        frame.travel(x + step) - frame.travel(x - step)
    )
    expected = rate * installation**2 + rate * x * change
    ours = springing.wheel_rate(rate, rate * x, frame.ratio(x), frame.slope(x))
    assert float(ours) == pytest.approx(expected, rel=1e-8)


def test_damping_tastes_lie_in_the_published_band() -> None:
    # 'Approximately 0.02 to 0.5 for vehicle suspensions', Automotive Chassis Engineering,
    # appendix [A]: a 53 kg wheel load on 12.3 N/mm damped by 403.6 N s/m at the wheel (2951 at
    # the shock, ratio 2.704) is 0.25.
    wheel = springing.wheel_damping(2951.0, 2.704)
    ratio = float(springing.damping_ratio(wheel, 12_296.0, 53.0))
    assert 0.02 < ratio < 0.5
    assert ratio == pytest.approx(0.25, abs=5e-5)
