"""Air springs: inverses, identities, energy against quadrature, and the odd data."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from recommender.facts.units import ATMOSPHERE
from recommender.mechanics import air
from recommender.mechanics.leverage import Leverage

LINEAR = Leverage.linear(2.86, 2.34, 0.050)
BENT = Leverage.table(
    np.linspace(0, 0.050, 11), np.array([0, 17, 32, 45, 57, 69, 82, 95, 107, 118, 128]) / 1e3
)
EXAMPLE = air.AirSpring(1700e-6, 150e-6, 1200e-6, 30e-6, 0.004)
steady = settings(deadline=None)
forces = st.floats(200.0, 5000.0)
sags = st.floats(0.006, 0.025)
exponents = st.floats(1.0, 1.5)
fills = st.floats(4e5, 25e5)


@st.composite
def springs(draw: st.DrawFn) -> air.AirSpring:
    area = draw(st.floats(1.0e-3, 2.5e-3))
    return air.AirSpring(
        area=area,
        volume=draw(st.floats(1.6, 4.0)) * area * 0.05,
        negative_area=draw(st.floats(0.0, 0.9)) * area,
        negative_volume=draw(st.floats(5e-6, 60e-6)),
        equalise_at=draw(st.floats(0.0, 0.008)),
    )


@steady
@given(springs(), forces, sags)
def test_filling_for_a_force_gives_that_force(
    spring: air.AirSpring, force: float, x: float
) -> None:
    p0 = air.fill_pressure(force, x, spring)
    if np.isfinite(p0):
        assert float(air.slow_force(p0, x, spring)) == pytest.approx(force, rel=1e-9)
        # The fast curve passes through the same point.
        assert float(air.riding_force(p0, x, x, spring)) == pytest.approx(force, rel=1e-9)


@steady
@given(springs(), forces, st.floats(1.01, 2.0), sags)
def test_a_heavier_rider_needs_more_pressure(
    spring: air.AirSpring, force: float, more: float, x: float
) -> None:
    light, heavy = air.fill_pressure([force, force * more], x, spring)
    assert light < heavy or np.isinf(light)


@steady
@given(springs(), fills, st.floats(0.0, 0.045))
def test_both_forces_rise_with_compression(spring: air.AirSpring, p0: float, x: float) -> None:
    near = np.array([x, x + 0.001])
    assert np.diff(air.slow_force(p0, near, spring)) > 0
    assert np.diff(air.riding_force(p0, 0.015, near, spring)) > 0


@steady
@given(springs(), fills, sags, st.floats(0.0, 0.045), exponents)
def test_the_rate_is_the_force_s_derivative(
    spring: air.AirSpring, p0: float, at: float, x: float, n: float
) -> None:
    step = 1e-6
    low, high = air.riding_force(p0, at, [x - step, x + step], spring, n)
    rate = float(air.riding_rate(p0, at, x, spring, n))
    assert rate == pytest.approx(float(high - low) / (2 * step), rel=1e-5)


@steady
@given(fills, exponents, st.floats(1e-3, 3e-3), st.floats(1e-4, 4e-4))
def test_rate_at_full_extension_of_one_chamber(
    p0: float, n: float, area: float, volume: float
) -> None:
    # n p_abs A^2 / V0: closed form [D].
    alone = air.AirSpring(area, volume, 0.0, 0.0, 0.0)
    rate = float(air.riding_rate(p0, 0.0, 0.0, alone, n))
    assert rate == pytest.approx(n * (p0 + ATMOSPHERE) * area**2 / volume, rel=1e-12)


@steady
@given(springs(), fills, sags, st.floats(0.03, 0.05), exponents)
def test_energy_is_the_integral_of_the_outward_force(
    spring: air.AirSpring, p0: float, at: float, stroke: float, n: float
) -> None:
    def force(x: float) -> float:
        return float(air.riding_force(p0, at, x, spring, n))

    start = 0.0
    if force(0.0) < 0:
        start = brentq(force, 0.0, stroke, xtol=1e-15) if force(stroke) > 0 else stroke
    work, _ = quad(force, start, stroke, epsabs=1e-12, epsrel=1e-12)
    energy = float(air.riding_energy(p0, at, stroke, spring, n))
    assert energy == pytest.approx(work, rel=1e-9, abs=1e-9)


def test_work_beside_the_isothermal_exponent_is_smooth() -> None:
    works = air.polytropic_work(15e5, 150e-6, 60e-6, [1 - 1e-9, 1.0, 1 + 1e-9])
    np.testing.assert_allclose(works, 15e5 * 150e-6 * np.log(0.4), rtol=1e-8)


@steady
@given(springs(), fills, st.floats(250.0, 1200.0), st.floats(-0.003, 0.003), st.booleans())
def test_sag_at_a_given_fill_is_the_least_root(
    spring: air.AirSpring, p0: float, load: float, shift: float, bent: bool
) -> None:
    frame = BENT if bent else LINEAR
    root = float(air.sag(p0, load, frame, spring, shift, 0.050))
    scan = np.linspace(0.0, 0.050, 5001)
    value = air.slow_force(p0, scan, spring) - load * frame.ratio(scan - shift)
    assert np.all(value[scan < root - 1e-9] < 1e-6)
    if 0 < root < np.inf:
        held = float(air.slow_force(p0, root, spring))
        assert held == pytest.approx(load * float(frame.ratio(root - shift)), rel=1e-8)
    if root == 0:
        assert value[0] >= 0


@pytest.mark.parametrize(
    ("terms", "negative_area"),
    [
        # LR = 0.6 + 3 (3 u^2 - 2 u^3): up to three balances.
        ((0.0, 0.03, 0.0, 0.15, -0.075), 1000e-6),
        # LR = 1 + 2 u (1 - u), one chamber: the load outruns the spring and is caught again.
        ((0.0, 0.05, 0.05, -0.10 / 3), 0.0),
    ],
)
def test_sag_of_a_soft_chamber_on_a_rising_ratio(
    terms: tuple[float, ...], negative_area: float
) -> None:
    frame = Leverage("table", 0.05, terms)
    soft = air.AirSpring(1000e-6, 400e-6, negative_area, 10e-6, 0.0)
    scan = np.linspace(0.0, 0.05, 100_001)
    rooted = 0
    for load in np.linspace(50.0, 680.0, 64):
        value = air.slow_force(6e5, scan, soft) - load * frame.ratio(scan)
        crossings = scan[1:][np.diff(np.sign(value)) != 0]
        first = crossings[0] if crossings.size else np.inf
        first = 0.0 if value[0] >= 0 else first
        rooted += 0 < first < np.inf
        found = float(air.sag(6e5, load, frame, soft, 0.0, 0.05))
        assert found == first or found == pytest.approx(first, abs=1e-6)
    assert rooted > 5


@steady
@given(st.floats(2.0, 24.0))
def test_sag_close_to_the_end_of_the_volume(times: float) -> None:
    # One chamber, 52 cm3 of which 50 are swept: A (p V0 / (V0 - A x) - p_atm) = load, by hand.
    area, volume, p0 = 1e-3, 52e-6, 10e5
    alone, direct = air.AirSpring(area, volume, 0.0, 0.0, 0.0), Leverage.constant(0.05, 0.05)
    load = times * area * p0
    x = (volume - (p0 + ATMOSPHERE) * volume / (load / area + ATMOSPHERE)) / area
    assert float(air.sag(p0, load, direct, alone, 0.0, 0.05)) == pytest.approx(x, rel=1e-9)


@steady
@given(springs(), st.floats(250.0, 1200.0), sags)
def test_fill_and_sag_are_inverse(spring: air.AirSpring, load: float, x: float) -> None:
    p0 = air.fill_pressure(load * LINEAR.ratio(x), x, spring)
    if np.isfinite(p0) and p0 > -ATMOSPHERE:
        # The force rises and the load falls with x, so the root is the only one.
        assert float(air.sag(p0, load, LINEAR, spring, 0.0, 0.05)) == pytest.approx(x, rel=1e-7)


def test_no_pressure_helps_where_the_negative_chamber_outweighs() -> None:
    greedy = air.AirSpring(1000e-6, 150e-6, 2000e-6, 300e-6, 0.004)
    assert air.fill_pressure(1000.0, 0.010, greedy) == np.inf


def test_spacers_that_leave_no_volume_never_pass_as_a_pressure() -> None:
    full = air.AirSpring(1700e-6, 20e-6, 1200e-6, 30e-6, 0.004)
    assert full.positive_volume_at(0.015) == 0.0
    assert air.fill_pressure(1400.0, 0.015, full) == np.inf
    assert air.slow_force(1e6, 0.015, full) == np.inf
    tight = air.AirSpring(1700e-6, 80e-6, 1200e-6, 30e-6, 0.004)
    assert air.riding_energy(1e6, 0.015, 0.050, tight) == np.inf


def test_unknown_stays_unknown() -> None:
    p0 = air.fill_pressure([1400.0, np.nan], 0.015, EXAMPLE)
    assert np.isfinite(p0[0])
    assert np.isnan(p0[1])
    assert np.isnan(air.fill_pressure(1400.0, np.nan, EXAMPLE))
    assert np.isnan(air.riding_energy(np.nan, 0.015, 0.05, EXAMPLE))
    assert np.isnan(air.sag(np.nan, 500.0, LINEAR, EXAMPLE, 0.0, 0.05))


@steady
@given(fills, st.floats(263.0, 313.0), st.floats(263.0, 313.0))
def test_temperature_there_and_back(p0: float, cold: float, warm: float) -> None:
    there = air.pressure_at_temperature(p0, cold, warm)
    back = float(air.pressure_at_temperature(there, warm, cold))
    assert back == pytest.approx(p0, rel=1e-12)
    assert (float(there) > p0) == (warm > cold) or warm == pytest.approx(cold)
