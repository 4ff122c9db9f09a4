"""Coil springs: the least root, its ends, monotony, energy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from recommender.facts.units import LBF_PER_INCH
from recommender.mechanics import coil, springing
from recommender.mechanics.leverage import Leverage

LINEAR = Leverage.linear(2.86, 2.34, 0.050)
steady = settings(deadline=None, max_examples=200)
rates = st.floats(2e4, 2e5)
preloads = st.floats(0.0, 0.005)
loads = st.floats(250.0, 1200.0)
shifts = st.floats(-0.004, 0.004)


@steady
@given(rates, preloads, st.floats(0.005, 0.03))
def test_rate_for_sag_inverts_the_force(rate: float, preload: float, x: float) -> None:
    force = coil.force(rate, preload, x)
    assert float(coil.rate_for_sag(force, x, preload)) == pytest.approx(rate, rel=1e-13)


def test_no_rate_gives_a_sag_of_nothing() -> None:
    np.testing.assert_array_equal(coil.rate_for_sag(1000.0, [0.0, -0.001], 0.0), np.inf)


def balance(
    frame: Leverage, rate: float, preload: float, load: float, shift: float, x: np.ndarray
) -> np.ndarray:
    return rate * (x + preload) - load * frame.ratio(x - shift)


@st.composite
def wavy_frames(draw: st.DrawFn) -> Leverage:
    """Curves with a ratio that may rise and fall several times, always above 0."""
    bends = draw(st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=6))
    terms = np.r_[0.0, 1.0, bends]
    u = np.linspace(0.0, 1.0, 201)
    ratio = np.polynomial.polynomial.polyval(u, np.arange(1, terms.size) * terms[1:])
    lift = max(0.0, 0.3 - float(ratio.min()))
    terms[1] += lift
    terms *= 0.13 / terms.sum() if terms.sum() > 0 else 0.13
    return Leverage("table", 0.05, tuple(map(float, terms)))


@steady
@given(wavy_frames(), st.floats(500.0, 2e5), preloads, loads, shifts)
def test_sag_is_the_least_root(
    frame: Leverage, rate: float, preload: float, load: float, shift: float
) -> None:
    limit = 0.050
    root = float(coil.sag(rate, preload, load, frame, shift, limit))
    scan = np.linspace(0.0, limit, 20_001)
    value = balance(frame, rate, preload, load, shift, scan)
    slack = 1e-9 * load
    assert np.all(value[scan < root - 1e-9] < slack), "a root was passed"
    if np.isfinite(root) and root > 0:
        at_root = balance(frame, rate, preload, load, shift, np.array([root]))[0]
        assert abs(at_root) < slack
    if root == 0:
        assert value[0] >= 0


def test_of_three_roots_the_least_is_taken() -> None:
    # LR = 0.6 + 3 (3 u^2 - 2 u^3), u = x / 50 mm, rises so steeply that a spring balances thrice.
    frame = Leverage("table", 0.05, (0.0, 0.03, 0.0, 0.15, -0.075))
    rate, load = 4.19e4, 500.0
    scan = np.linspace(0.0, 0.05, 200_001)
    signs = np.sign(balance(frame, rate, 0.0, load, 0.0, scan))
    crossings = scan[:-1][np.diff(signs) != 0]
    assert crossings.size == 3
    root = float(coil.sag(rate, 0.0, load, frame, 0.0, 0.05))
    assert root == pytest.approx(crossings[0], abs=5e-7)


@steady
@given(rates, preloads, loads, shifts)
def test_sag_on_a_linear_frame_is_the_closed_form(
    rate: float, preload: float, load: float, shift: float
) -> None:
    slope = float(LINEAR.slope(0.0))
    expected = (load * (2.86 - slope * shift) - rate * preload) / (rate - load * slope)
    root = float(coil.sag(rate, preload, load, LINEAR, shift, 0.050))
    if expected <= 0:
        assert root == 0.0
    elif expected > 0.050 + 1e-9:
        assert root == np.inf
    elif expected < 0.050 - 1e-9:
        assert root == pytest.approx(expected, rel=1e-12, abs=1e-15)


def test_the_ends_of_sag() -> None:
    assert float(coil.sag(9e4, 0.050, 500.0, LINEAR, 0.0, 0.05)) == 0.0
    assert float(coil.sag(1e4, 0.0, 500.0, LINEAR, 0.0, 0.05)) == np.inf
    assert np.isnan(coil.sag(np.nan, 0.0, 500.0, LINEAR, 0.0, 0.05))
    rate = 500.0 * 2.34 / 0.05
    assert float(coil.sag(rate, 0.0, 500.0, LINEAR, 0.0, 0.05)) == pytest.approx(0.05, rel=1e-12)


@steady
@given(rates, st.floats(1.001, 2.0), preloads, loads)
def test_a_stiffer_spring_sags_less_and_a_heavier_rider_more(
    rate: float, more: float, preload: float, load: float
) -> None:
    table = Leverage.table(np.linspace(0, 0.05, 11), LINEAR.travel(np.linspace(0, 0.05, 11)))
    base, stiff, heavy, wound = (
        float(x)
        for x in coil.sag(
            [rate, rate * more, rate, rate],
            [preload, preload, preload, preload + 0.001],
            [load, load, load * more, load],
            table,
            0.0,
            0.05,
        )
    )
    assert stiff <= base <= heavy
    assert wound <= base


@steady
@given(rates, preloads, st.floats(0.03, 0.09))
def test_energy_is_the_integral_of_the_force(rate: float, preload: float, stroke: float) -> None:
    work, _ = quad(lambda x: float(coil.force(rate, preload, x)), 0.0, stroke)
    assert float(springing.coil_energy(rate, preload, stroke)) == pytest.approx(work, rel=1e-12)


def test_a_hundred_thousand_rows_at_once() -> None:
    draw = np.random.default_rng(1)
    rate = draw.uniform(300, 700, 100_000) * LBF_PER_INCH
    load = draw.uniform(300, 900, 100_000)
    x = np.linspace(0, 0.05, 11)
    table = Leverage.table(x, 2.9 * x - 8 * x**2 + 40 * x**3)
    root = coil.sag(rate, 0.0, load, table, 0.0, 0.05)
    inside = np.isfinite(root)
    carried = rate[inside] * root[inside]
    np.testing.assert_allclose(carried, load[inside] * table.ratio(root[inside]), rtol=1e-12)
    assert np.all(rate[~inside] * 0.05 < load[~inside] * table.ratio(0.05))
