"""Room around the body; 3 mm of air from memory. Turned about its axis, up and down, left and right
change places; end for end the thirds change, and left and right."""

import math

import pytest

from tests.rules.one import COIL, margin

TIGHT = {"bike_room_head_up_mm": 32.0}
BULGE = {"shock_body_head_up_mm": 38.0}


def test_least_air_counts() -> None:
    assert margin("room for the body") == 7.0
    assert margin("room for the body", **TIGHT) == -1.0
    assert margin("room for the body", **BULGE) == -1.0


def test_turned_about_its_axis() -> None:
    high = {"bike_room_head_down_mm": 60.0, **BULGE}
    assert margin("room for the body", **high) == -1.0
    assert margin("room for the body", clocking_turned=1, **high) == 7.0
    left = {"shock_body_middle_left_mm": 50.0, "bike_room_middle_right_mm": 60.0}
    assert margin("room for the body", **left) == -13.0
    assert margin("room for the body", clocking_turned=1, **left) == 7.0


@pytest.mark.parametrize(
    ("place", "third", "side"),
    [
        ("head_up", "shaft", "up"),
        ("head_left", "shaft", "right"),
        ("middle_left", "middle", "right"),
        ("shaft_down", "head", "down"),
    ],
)
def test_end_for_end(place: str, third: str, side: str) -> None:
    """A bulge of 50 mm lies where the frame has 60."""
    facts = {f"shock_body_{place}_mm": 50.0, f"bike_room_{third}_{side}_mm": 60.0}
    assert margin("room for the body", shock_reversed=1, **facts) == 7.0


def test_coil_needs_room_over_its_own_thirds() -> None:
    coil = {"shock_spring_kind": COIL, "spring_outer_diameter_mm": 62.0}
    assert margin("room for the coil", **coil) == 40.0 - 31.0 - 3.0
    assert margin("room for the coil", bike_room_shaft_down_mm=33.0, **coil) == -1.0
    assert margin("room for the coil", bike_room_head_down_mm=33.0, **coil) == 6.0
    flipped = {"shock_reversed": 1, **coil}
    assert margin("room for the coil", bike_room_head_down_mm=33.0, **flipped) == -1.0
    assert margin("room for the coil", bike_room_shaft_down_mm=33.0, **flipped) == 6.0


def test_coil_rule_says_nothing_of_air() -> None:
    assert margin("room for the coil", spring_outer_diameter_mm=90.0) == math.inf
    made = {"shock_spring_kind": COIL, "spring_made": 1, "spring_outer_diameter_mm": 90.0}
    assert margin("room for the coil", **made) == math.inf
