"""Leverage at three levels of knowledge: identities, continuation, reading error, refusals."""

import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator

from recommender.facts.units import LBF_PER_INCH
from recommender.mechanics import coil, springing
from recommender.mechanics.leverage import Leverage

LINEAR = Leverage.linear(2.86, 2.34, 0.050)
ROWS = np.linspace(0.0, 0.050, 11)
BENT = 2.9 * ROWS - 8.0 * ROWS**2 + 40.0 * ROWS**3  # LR 2.9 -> 2.4, not linear
steady = settings(deadline=None)
ratios = st.floats(1.2, 4.5)
strokes = st.floats(0.030, 0.090)


def curves() -> list[Leverage]:
    return [Leverage.constant(0.130, 0.050), LINEAR, Leverage.table(ROWS, BENT)]


def test_each_level_says_what_it_rests_on() -> None:
    assert [curve.level for curve in curves()] == ["constant", "linear", "table"]
    assert all(curve.stroke_m == 0.050 for curve in curves())


@steady
@given(ratios, ratios, strokes, st.floats(-20.0, 120.0))
def test_integral_of_the_ratio_is_the_travel(a: float, b: float, stroke: float, x: float) -> None:
    frame = Leverage.linear(a, b, stroke)
    area, _ = quad(lambda u: float(frame.ratio(u / 1000)), 0.0, round(x, 6))
    assert float(frame.travel(round(x, 6) / 1000)) == pytest.approx(area / 1000, abs=1e-12)


@pytest.mark.parametrize("curve", curves(), ids=lambda curve: curve.level)
@pytest.mark.parametrize("x", [-0.010, -0.001, 0.002, 0.0249, 0.048, 0.0505, 0.060])
def test_slope_is_the_ratio_s_derivative(curve: Leverage, x: float) -> None:
    step = 1e-6
    rise = float(curve.ratio(x + step) - curve.ratio(x - step)) / (2 * step)
    assert float(curve.slope(x)) == pytest.approx(rise, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("curve", curves(), ids=lambda curve: curve.level)
def test_outside_the_stroke_the_ratio_goes_on_linearly(curve: Leverage) -> None:
    for edge, way in ((0.0, -1.0), (0.050, 1.0)):
        x = edge + way * np.linspace(0.0, 0.010, 5)
        line = curve.ratio(edge) + curve.slope(edge) * (x - edge)
        np.testing.assert_allclose(curve.ratio(x), line, rtol=1e-13)
        np.testing.assert_allclose(curve.slope(x), curve.slope(edge), rtol=1e-13)
        area = curve.ratio(edge) * (x - edge) + curve.slope(edge) * (x - edge) ** 2 / 2
        np.testing.assert_allclose(curve.travel(x), curve.travel(edge) + area, atol=1e-16)


@steady
@given(ratios, ratios, strokes, st.floats(0.6, 1.4))
def test_a_linear_frame_and_its_table_agree(a: float, b: float, stroke: float, at: float) -> None:
    frame = Leverage.linear(a, b, stroke)
    x = np.linspace(0.0, stroke, 21)
    table = Leverage.table(x, frame.travel(x))
    assert table.residual_m < 1e-12
    assert float(table.ratio(at * stroke)) == pytest.approx(float(frame.ratio(at * stroke)), 1e-7)
    # PCHIP's end slopes are three-point estimates: exact for a parabola only inside.
    assert float(table.travel(x[10])) == pytest.approx(float(frame.travel(x[10])), rel=1e-13)


def test_table_travel_is_the_interpolant_and_keeps_every_reading() -> None:
    table = Leverage.table(ROWS, BENT)
    between = np.linspace(0.0, 0.050, 201)
    reference = PchipInterpolator(ROWS, BENT)
    np.testing.assert_allclose(table.travel(between), reference(between), rtol=1e-14)
    np.testing.assert_allclose(table.travel(ROWS), BENT, rtol=1e-14)


def test_table_ratio_is_a_least_squares_cubic_through_the_origin() -> None:
    noisy = BENT + np.r_[0.0, np.tile([0.0003, -0.0003], 5)]
    table = Leverage.table(ROWS, noisy)
    powers = ROWS[:, None] ** np.arange(1, 4)
    a, b, c = np.linalg.solve(powers.T @ powers, powers.T @ noisy)
    np.testing.assert_allclose(table.ratio(ROWS), a + 2 * b * ROWS + 3 * c * ROWS**2, rtol=1e-7)
    np.testing.assert_allclose(table.slope(ROWS), 2 * b + 6 * c * ROWS, rtol=1e-6)
    residual = np.max(np.abs(powers @ (a, b, c) - noisy))
    assert table.residual_m == pytest.approx(residual, rel=1e-7)


def test_the_origin_may_be_left_out() -> None:
    assert Leverage.table(ROWS[1:], BENT[1:]) == Leverage.table(ROWS, BENT)


def wheel_rate(ratio: float, slope: float, x: float) -> float:
    rate = 550 * LBF_PER_INCH
    return float(springing.wheel_rate(rate, rate * x, ratio, slope)) / 1000


def test_the_fit_bears_reading_errors_that_an_interpolant_does_not() -> None:
    # True wheel rate 13.87 N/mm, readings every 5 mm off by up to 0.5 mm. The project's figures:
    # fit 13.6-14.2, differentiated interpolant 6.4-21.1; the spread depends on the errors drawn.
    x = float(coil.sag(550 * LBF_PER_INCH, 0.0, 519.75, LINEAR, 0.0, 0.050))
    true = LINEAR.travel(ROWS)
    draw = np.random.default_rng(7)
    fitted, differentiated = [], []
    for _ in range(100):
        z = true + np.r_[0.0, draw.uniform(-0.0005, 0.0005, 10)]
        table = Leverage.table(ROWS, z)
        assert table.residual_m <= 0.0005 * (1 + 1e-6)
        fitted.append(wheel_rate(float(table.ratio(x)), float(table.slope(x)), x))
        naive = PchipInterpolator(ROWS, z)
        differentiated.append(wheel_rate(float(naive(x, 1)), float(naive(x, 2)), x))
    assert max(abs(k - 13.87) for k in fitted) < 0.6
    assert np.std(fitted) < 0.3
    assert np.std(differentiated) > 2.0


@steady
@given(st.lists(st.floats(-0.0005, 0.0005), min_size=10, max_size=10))
def test_true_readings_are_never_refused(errors: list[float]) -> None:
    # The true curve is a cubic within the stated error of every reading, so some fit must exist.
    z = BENT + np.r_[0.0, errors]
    table = Leverage.table(ROWS, z, 0.0005)
    assert table.residual_m <= 0.0005 * (1 + 1e-6)
    assert np.all(table.ratio(np.linspace(0.0, 0.050, 101)) > 0)


def test_a_curve_no_cubic_follows_gets_a_finer_one() -> None:
    x = np.linspace(0.0, 0.060, 25)
    z = 2.6 * x + 0.006 * np.sin(2 * np.pi * x / 0.060)
    table = Leverage.table(x, z)
    assert len(table.coefficients) > 4
    assert table.residual_m <= 0.0005
    assert float(table.ratio(0.030)) == pytest.approx(2.6 - 0.006 * 2 * np.pi / 0.060, rel=0.02)


def test_a_mistaken_reading_is_named() -> None:
    z = BENT.copy()
    z[6] += 0.004
    with pytest.raises(ValueError, match=r"question the table.*0\.5 mm.*shock 30\.00 mm"):
        Leverage.table(ROWS, z)
    assert Leverage.table(ROWS, z, reading_error_m=0.005).residual_m > 0.001


def test_a_fit_that_turns_back_is_no_leverage_curve() -> None:
    # All but flat at the end: the cubic stays within 5 mm of the readings, but falls there.
    x = np.linspace(0.0, 0.050, 11)
    z = np.minimum(0.100 * np.sin(x / 0.050 * 2.0), 0.100) + 0.0001 * x / 0.050
    z = np.maximum.accumulate(z) + 1e-5 * np.arange(11)
    a = np.linalg.lstsq(x[:, None] ** np.arange(1, 4), z, rcond=None)[0]
    assert a[0] + 2 * a[1] * 0.05 + 3 * a[2] * 0.05**2 < 0
    with pytest.raises(ValueError, match="every smooth curve near the readings falls"):
        Leverage.table(x, z, reading_error_m=0.005)


@pytest.mark.parametrize(
    ("x", "z", "message"),
    [
        ([0, 0.01, 0.02], [0, 0.03, 0.06], "3 rows with the origin, at least 4"),
        ([0, 0.01, 0.01, 0.03], [0, 0.03, 0.05, 0.08], r"row 3 \(shock 10 mm, wheel 50 mm\)"),
        ([0.01, 0.02, 0.03], [0.03, 0.02, 0.08], r"row 2 \(shock 20 mm, wheel 20 mm\)"),
        ([0, 0.01, 0.02, 0.03], [0.001, 0.03, 0.05, 0.08], "at shock 0 is 1 mm; it must be 0"),
        ([0, 0.01, float("nan"), 0.03], [0, 0.03, 0.05, 0.08], "row 3 is not a pair of finite"),
        ([0, 0.01, 0.02, 0.03], [0, 0.03, 0.05], "4 shock and 3 wheel readings"),
        ([], [], "0 rows"),
    ],
)
def test_bad_tables_are_refused(x: list[float], z: list[float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        Leverage.table(x, z)


@pytest.mark.parametrize("bad", [0.0, -0.05, float("nan"), float("inf")])
def test_bad_figures_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match=r"stroke is .*above 0"):
        Leverage.constant(0.130, bad)
    with pytest.raises(ValueError, match="end ratio is"):
        Leverage.linear(2.8, bad, 0.05)
    with pytest.raises(ValueError, match="factor is"):
        LINEAR.scaled(bad)


@pytest.mark.parametrize("curve", curves(), ids=lambda curve: curve.level)
def test_scaled_multiplies_travel_ratio_and_slope(curve: Leverage) -> None:
    x = np.linspace(-0.01, 0.06, 15)
    factor = 1 + 0.0005 / float(curve.travel(0.050))
    larger = curve.scaled(factor)
    assert float(larger.travel(0.050) - curve.travel(0.050)) == pytest.approx(0.0005)
    for name in ("travel", "ratio", "slope"):
        expected = getattr(curve, name)(x) * factor
        np.testing.assert_allclose(getattr(larger, name)(x), expected, rtol=1e-12, atol=1e-15)


@pytest.mark.parametrize("curve", curves(), ids=lambda curve: curve.level)
def test_curves_are_values(curve: Leverage) -> None:
    again = pickle.loads(pickle.dumps(curve))
    assert again == curve
    assert hash(again) == hash(curve)
    assert float(again.travel(0.033)) == float(curve.travel(0.033))


@steady
@given(st.lists(st.floats(-2.0, 2.0), min_size=3, max_size=6), st.floats(-0.2, 1.2))
def test_least_curvature_is_a_lower_bound(terms: list[float], u: float) -> None:
    frame = Leverage("table", 0.05, (0.0, 0.1, *(0.01 * term for term in terms)))
    step = 1e-5
    bend = float(frame.slope(u * 0.05 + step) - frame.slope(u * 0.05 - step)) / (2 * step)
    assert frame.least_curvature() <= bend + 1e-6 * (1 + abs(bend))
