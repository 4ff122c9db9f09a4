"""Wishes: one quantity against one limit each."""

import math

import pytest

from tests.rules.one import AIR, COIL, NO, YES, margin, sides

ADJUSTERS = ("rebound", "low_speed", "high_speed", "lockout")


def test_days_are_counted_part_by_part_with_a_day_to_fit() -> None:
    assert margin("wish: days: tune", wish_days=9.0) == 0.0
    assert margin("wish: days: tune", wish_days=7.0) == -2.0
    assert margin("wish: days: head kit", wish_days=7.0) == 3.0
    assert margin("wish: days: tune", wish_days=0.0, tune_days=0.0) == math.inf


def test_work_on_the_shock_begins_when_the_shock_has_come() -> None:
    """Bought in 5 days and revalved in 8 it is fitted on day 14; a new stroke takes 2 meanwhile."""
    assert margin("wish: days: tune", wish_days=14.0, shock_days=5.0, tune_days=8.0) == 0.0
    assert margin("wish: days: stroke", wish_days=14.0, shock_days=5.0, stroke_days=2.0) == 6.0
    assert margin("wish: days: shock", wish_days=14.0, shock_days=5.0) == 8.0
    assert margin("wish: days: tune", wish_days=0.0, shock_days=5.0, tune_days=0.0) == math.inf


def test_a_spring_comes_beside_the_shock_and_is_then_fitted() -> None:
    late = {"wish_days": 10.0, "shock_days": 2.0, "spring_days": 6.0}
    assert margin("wish: days: spring", **late) == 3.0
    assert margin("wish: days: spring", **late, spring_work_days=1.0) == 2.0
    assert margin("wish: days: spring", **(late | {"shock_days": 8.0}), spring_work_days=1.0) == 0.0


def test_no_workshop() -> None:
    assert margin("wish: no workshop: tune", wish_no_workshop=1.0) == -1
    assert margin("wish: no workshop: head kit", wish_no_workshop=1.0) == 1
    assert margin("wish: no workshop: tune", wish_no_workshop=0.0) == 1


def test_budget_and_mass_are_what_is_left() -> None:
    assert margin("wish: budget", total_price=612.5, wish_budget=600.0) == -12.5
    assert margin("wish: mass", total_mass_g=480.0, wish_mass_g=500.0) == 20.0


def test_spring_kind_and_remote() -> None:
    assert margin("wish: spring kind", wish_spring_kind=AIR) == 1
    assert margin("wish: spring kind", wish_spring_kind=COIL) == -1
    assert margin("wish: remote", wish_remote=1.0, shock_remote_lockout=YES) == 1
    assert margin("wish: remote", wish_remote=0.0, shock_remote_lockout=YES) == -1


@pytest.mark.parametrize("missing", range(4))
def test_every_adjuster_wished_for_must_be_there(missing: int) -> None:
    names = ("rebound_adjuster", "low_speed_compression_adjuster",
             "high_speed_compression_adjuster", "lockout_lever")  # fmt: skip
    has = {f"shock_{name}": YES if k != missing else NO for k, name in enumerate(names)}
    wished = {f"wish_adjuster_{name}": 1.0 for name in ADJUSTERS}
    assert sides("wish: adjusters", **has, **wished) == tuple(
        -1.0 if k == missing else 1.0 for k in range(4)
    )
    spared = wished | {f"wish_adjuster_{ADJUSTERS[missing]}": 0.0}
    assert margin("wish: adjusters", **has, **spared) == 1
