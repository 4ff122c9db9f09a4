"""What reaches the wheel and the frame: rates, damping, sag both ways, tyre gap, bracket height."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from recommender.facts.bike import Tyre
from recommender.facts.fields import numbers
from recommender.mechanics import air, clearance, coil, damping, load, sag, springing
from recommender.mechanics.leverage import Leverage

LINEAR = Leverage.linear(2.86, 2.34, 0.050)
X = np.linspace(0.0, 0.050, 11)
TABLE = Leverage.table(X, LINEAR.travel(X))
AIR = air.AirSpring(1700e-6, 150e-6, 1200e-6, 30e-6, 0.004)
steady = settings(deadline=None)
shifts = st.floats(-0.004, 0.004)


@steady
@given(st.floats(1.5, 4.0), st.floats(1.5, 4.0), st.floats(3e4, 2e5), st.floats(0.01, 0.05))
def test_work_at_the_wheel_is_work_at_the_shock(a: float, b: float, rate: float, x: float) -> None:
    # Integral of F_w dz = k x^2 / 2 [D].
    frame = Leverage.linear(a, b, 0.05)
    work, _ = quad(lambda u: rate * u / float(frame.ratio(u)) * float(frame.ratio(u)), 0.0, x)
    by_wheel = np.trapezoid(
        rate * (u := np.linspace(0, x, 20_001)) / frame.ratio(u), frame.travel(u)
    )
    assert float(springing.coil_energy(rate, 0.0, x)) == pytest.approx(work, rel=1e-12)
    assert float(by_wheel) == pytest.approx(rate * x**2 / 2, rel=1e-6)


@steady
@given(st.floats(1.5, 4.0), st.floats(1.5, 4.0), st.floats(3e4, 2e5), st.floats(0.005, 0.045))
def test_wheel_rate_is_the_wheel_force_by_wheel_travel(
    a: float, b: float, rate: float, x: float
) -> None:
    frame = Leverage.linear(a, b, 0.05)
    near = np.array([x - 1e-6, x + 1e-6])
    by_wheel = coil.force(rate, 0.002, near) / frame.ratio(near)
    expected = float((np.diff(by_wheel) / np.diff(frame.travel(near)))[0])
    force = coil.force(rate, 0.002, x)
    ours = float(springing.wheel_rate(rate, force, frame.ratio(x), frame.slope(x)))
    assert ours == pytest.approx(expected, rel=1e-5, abs=1.0)


@steady
@given(st.floats(0.05, 0.6), st.floats(5e3, 3e4), st.floats(30, 90), st.floats(1.8, 3.5))
def test_needed_coefficient_gives_that_damping_ratio(
    zeta: float, rate: float, mass: float, ratio: float
) -> None:
    c = damping.needed_coefficient(zeta, rate, mass, ratio)
    wheel = springing.wheel_damping(c, ratio)  # c_w = c / LR^2 [D]
    assert float(springing.damping_ratio(wheel, rate, mass)) == pytest.approx(zeta, rel=1e-12)


def test_no_wheel_rate_asks_for_no_damping() -> None:
    assert damping.needed_coefficient(0.3, -500.0, 53.0, 2.7) == 0.0
    assert np.isnan(springing.natural_frequency(-500.0, 53.0))


@pytest.mark.parametrize("frame", [LINEAR, TABLE], ids=lambda frame: frame.level)
@steady
@given(x=st.floats(0.0, 0.05), shift=shifts)
def test_sag_there_and_back(frame: Leverage, x: float, shift: float) -> None:
    wheel = sag.wheel_sag(frame, x, shift)
    assert float(sag.shaft_sag(frame, wheel, shift, 0.05)) == pytest.approx(x, abs=1e-12)


def test_sag_beyond_the_stroke_and_unknown() -> None:
    found = sag.shaft_sag(LINEAR, [0.2, np.nan, 0.0], [0.0, 0.0, 0.0], 0.05)
    np.testing.assert_array_equal(np.isinf(found), [True, False, False])
    np.testing.assert_array_equal(np.isnan(found), [False, True, False])
    assert found[2] == pytest.approx(0.0, abs=1e-15)
    assert np.isnan(sag.shaft_sag(LINEAR, 0.03, np.nan, 0.05))


def test_travel_of_a_shock_of_another_length() -> None:
    # z(s - d) - z(-d) by hand for d = 2 mm: LR(x) = 2.86 - 10.4 x, x from -2 to 48 mm:
    # 50 mm x LR(23 mm) = 50 x 2.6208.
    assert float(sag.travel(LINEAR, 0.050, 0.002)) == pytest.approx(0.13104, rel=1e-12)
    assert float(sag.travel(LINEAR, 0.050, 0.0)) == pytest.approx(0.130, rel=1e-12)


@steady
@given(shifts)
def test_a_longer_shock_lifts_the_bracket(shift: float) -> None:
    rise = float(clearance.bottom_bracket_rise(LINEAR, shift))
    assert rise * shift >= 0
    assert rise == pytest.approx(2.86 * shift / 2, abs=2e-4)


@steady
@given(st.floats(0.0, 0.03), st.floats(0.0, 1.0), st.floats(0.04, 0.06), shifts)
def test_the_gap_lies_between_the_ends_of_an_unmeasured_closing(
    gap0: float, closing: float, stroke: float, shift: float
) -> None:
    growth = clearance.growth(LINEAR, stroke, shift, 0.05)
    gap = clearance.tyre_gap(gap0, closing, growth, 0.004)
    ends = clearance.tyre_gap(gap0, [0.0, 1.0], growth, 0.004)
    assert ends.min() - 1e-15 <= gap <= ends.max() + 1e-15
    # Growing movement costs room, shrinking movement gives it back.
    assert (ends[1] <= ends[0]) == (float(growth) >= 0)


def test_gap_counts_half_the_diameter_difference() -> None:
    assert float(clearance.tyre_gap(0.012, 0.5, 0.004, 0.006)) == pytest.approx(0.007)


def test_one_millimetre_short_equals_one_millimetre_more_stroke() -> None:
    # Both bottom the linkage at the same point, the least bottomed length.
    short = clearance.growth(LINEAR, 0.050, -0.001, 0.05)
    longer = clearance.growth(LINEAR, 0.051, 0.0, 0.05)
    assert float(short) == pytest.approx(float(longer), rel=1e-12)


COLUMNS = {
    "rear_sprung_mass": lambda m, x: load.rear_sprung_mass(m, 0.6, 5.0),
    "wheel_force": lambda m, x: load.wheel_force(m),
    "travel": lambda m, x: TABLE.travel(x),
    "ratio": lambda m, x: TABLE.ratio(x),
    "slope": lambda m, x: TABLE.slope(x),
    "shock_force": lambda m, x: load.shock_force(m, LINEAR.ratio(x)),
    "rate_for_sag": lambda m, x: coil.rate_for_sag(m, x, 0.001),
    "coil_sag": lambda m, x: coil.sag(4e6 * x, 0.001, 8 * m, TABLE, 0.001, 0.05),
    "fill_pressure": lambda m, x: air.fill_pressure(20 * m, x, AIR),
    "air_sag": lambda m, x: air.sag(1e4 * m, 6 * m, LINEAR, AIR, 0.001, 0.05),
    "riding_force": lambda m, x: air.riding_force(1e4 * m, 0.015, x, AIR),
    "riding_rate": lambda m, x: air.riding_rate(1e4 * m, 0.015, x, AIR),
    "riding_energy": lambda m, x: air.riding_energy(1e4 * m, x, 0.05, AIR),
    "reserve": lambda m, x: springing.reserve_height(120.0, m, x),
    "wheel_rate": lambda m, x: springing.wheel_rate(1e3 * m, 20 * m, 2 + x, -10.0),
    "needed_coefficient": lambda m, x: damping.needed_coefficient(0.3, 150 * m, m, 2 + x),
    "shaft_sag": lambda m, x: sag.shaft_sag(TABLE, 2.5 * x, 0.001, 0.05),
    "tyre_gap": lambda m, x: clearance.tyre_gap(0.01, 0.5, x, 0.002),
    "tyre_diameter": lambda m, x: clearance.tyre_diameter(0.622, x),
}


@pytest.mark.parametrize("name", COLUMNS)
def test_a_column_gives_what_its_rows_give(name: str) -> None:
    function = COLUMNS[name]
    mass = np.linspace(45.0, 130.0, 23)[:, None]
    x = np.linspace(0.002, 0.048, 17)
    whole = np.broadcast_to(function(mass, x), (23, 17))
    rows = [[float(function(float(m), float(u))) for u in x] for m in mass[:, 0]]
    np.testing.assert_allclose(whole, rows, rtol=1e-11)
    assert whole.dtype == np.float64


def test_a_wider_tyre_is_larger_over_all_widths_that_a_bike_file_takes() -> None:
    """Below 28 mm ISO 5775-1 adds to the height, so that there a wider tyre may be smaller."""
    bound = numbers(Tyre)["width_mm"]
    widths = np.linspace(bound.low, bound.high, 2000) / 1000
    assert (np.diff(clearance.tyre_diameter(0.622, widths)) > 0).all()
    assert clearance.tyre_diameter(0.622, 0.0279) > clearance.tyre_diameter(0.622, 0.028)
