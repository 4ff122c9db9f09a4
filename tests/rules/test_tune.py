"""Damping. 2951 and 5902 N s/m for a ratio of 0.25 and 0.50: the project's worked example (D,
closed form of the stated model); damping ratios and class ranges are from memory."""

import math

import pytest

from tests.rules.one import FIRM, LIGHT, MEDIUM, margin, sides, value


def test_needed_rebound_of_the_worked_example() -> None:
    assert value("needed_rebound_n_s_per_m") == pytest.approx(2951, abs=1)
    assert value("needed_rebound_n_s_per_m", rider_rebound_ratio=0.5) == pytest.approx(5902, abs=2)
    assert value("needed_compression_n_s_per_m") == pytest.approx(2951 / 2, abs=1)


def test_classes_by_the_table() -> None:
    assert sides("rebound range") == pytest.approx((2951 - 2400, 5100 - 2951), abs=1)
    assert margin("rebound range", tune_rebound_class=FIRM) == pytest.approx(2951 - 3600, abs=1)
    assert margin("compression range", tune_compression_class=LIGHT) == (
        pytest.approx(1200 - 1475.5, abs=1)
    )


def test_measured_coefficients_come_first() -> None:
    facts = {"tune_rebound_class": FIRM, "tune_rebound_low_n_s_per_m": 2900.0}
    assert sides("rebound range", **facts) == pytest.approx((51, 7500 - 2951), abs=1)


def test_light_rider_too_slow_even_fully_open() -> None:
    """Less rebound than the low end fails."""
    light = {"rider_mass_with_kit_kg": 40.0, "tune_rebound_class": FIRM}
    low, high = sides("rebound range", **light)
    assert low < 0 < high


def test_made_to_specification_lacks_only_an_offer() -> None:
    made = {"tune_made": 1, "tune_rebound_class": LIGHT, "wish_tune_class": FIRM, "wish_lockout": 0}
    for rule in ("rebound range", "compression range"):
        assert margin(rule, **made) == math.inf
    assert margin("wish: tune", **made) == margin("wish: lockout", **made) == 1
    assert margin("tune on offer", **made) == -1


def test_tune_and_lockout_wished_for() -> None:
    assert margin("wish: tune", wish_tune_class=MEDIUM) == 1
    assert margin("wish: tune", wish_tune_class=MEDIUM, tune_rebound_class=LIGHT) == -1
    assert margin("wish: lockout", wish_lockout=2) == 1
    assert margin("wish: lockout", wish_lockout=0) == -1
