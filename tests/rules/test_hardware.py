"""Hardware at the ends. Tolerances from memory: width -0.5 (carbon -0.3) to +0.1, bore 0 to 0.2."""

import math

import pytest

from tests.rules.one import (
    AXLE,
    BARE,
    BEARING,
    BOLTS,
    COIL,
    TRUNNION,
    YES,
    margin,
    sides,
)

ENDS = ("head", "shaft")


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize(
    ("width", "carbon", "expected"),
    [
        (22.0, 0, 0.1), (22.1, 0, 0.0), (22.2, 0, -0.1), (21.5, 0, 0.0), (21.4, 0, -0.1),
        (21.7, YES, 0.0), (21.6, YES, -0.1), (22.1, YES, 0.0), (20.0, 0, -1.5), (20.0, YES, -1.7),
    ],
)  # fmt: skip
def test_sleeve_in_a_gap_of_22(end: str, width: float, carbon: int, expected: float) -> None:
    facts = {f"{end}_kit_width_mm": width, f"shock_{end}_carbon_lugs": carbon}
    assert margin(f"{end} hardware width", **facts) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("gap", "expected"), [(20.0, 0.1), (20.4, 0.1), (20.5, 0.0), (19.9, 0.0), (22.0, -1.5)]
)
def test_sleeve_of_20_in_gaps(gap: float, expected: float) -> None:
    facts = {"head_kit_width_mm": 20.0, "shock_head_gap_mm": gap}
    assert margin("head hardware width", **facts) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("bore", "expected"),
    [(8.0, 0.0), (8.1, 0.1), (8.2, 0.0), (7.9, -0.1), (8.3, -0.1), (10.0, -1.8)],
)
def test_bore_on_a_bolt_of_8(bore: float, expected: float) -> None:
    assert margin("head hardware bore", head_kit_bore_mm=bore) == pytest.approx(expected)


def test_bolt_reaches_across() -> None:
    assert margin("head bolt length", shock_head_grip_mm=25.0) == 3.0
    assert margin("head bolt length", shock_head_grip_mm=21.0) == -1.0


def test_eye_no_wider_than_sleeve_and_gap() -> None:
    assert margin("head eye against sleeve", shock_head_eye_width_mm=22.0) == 0.0
    assert margin("head eye against sleeve", shock_head_eye_width_mm=24.0) == -2.0
    assert margin("head eye against gap", shock_head_eye_width_mm=24.0) == pytest.approx(-1.9)


def test_bushing_suits_the_bore_of_the_eye() -> None:
    assert sides("head bushing in the eye") == pytest.approx((0.1, 0.1))
    assert margin("head bushing in the eye", head_kit_bushing_diameter_mm=15.2) == (
        pytest.approx(-0.1)
    )
    bare = {"head_kit_bushing": BARE, "head_kit_bushing_diameter_mm": 16.0}
    assert margin("head bushing in the eye", **bare) == math.inf


def test_bare_sleeve_suits_the_bushing_there() -> None:
    """12.7 mm on nearly all shocks (common practice); a kit with its own bushing is a pair."""
    assert margin("head sleeve diameter", head_kit_sleeve_diameter_mm=12.0) == math.inf
    bare = {"head_kit_bushing": BARE}
    assert margin("head sleeve diameter", **bare) == pytest.approx(0.05)
    assert margin("head sleeve diameter", head_kit_sleeve_diameter_mm=12.0, **bare) == (
        pytest.approx(-0.65)
    )


def test_a_bearing_eye_takes_an_axle_only() -> None:
    bearing = {"shock_head_eye": BEARING}
    assert margin("head hardware kind", **bearing) == -1
    assert margin("head hardware kind", head_kit_kind=AXLE, **bearing) == 1
    assert margin("head hardware kind", head_kit_kind=AXLE) == -1


def test_trunnion_head() -> None:
    facts = {"shock_head_mount": TRUNNION, "bike_mount": TRUNNION, "head_kit_kind": BOLTS}
    assert margin("head hardware kind", **facts) == 1
    assert margin("head hardware width", **facts) == math.inf
    assert margin("shaft hardware width", **facts) == pytest.approx(0.1)
    assert margin("trunnion width", **facts) == pytest.approx(0.1)
    assert margin("trunnion width", shock_trunnion_width_mm=54.3, **facts) == pytest.approx(-0.2)
    assert margin("trunnion thread", **facts) == 1
    assert margin("trunnion thread", head_kit_thread=4, **facts) == -1


@pytest.mark.parametrize(
    ("enters", "expected"), [(6.0, 0.0), (8.0, 2.0), (10.0, 0.0), (12.0, -2.0)]
)
def test_trunnion_bolts_enter_far_enough(enters: float, expected: float) -> None:
    facts = {"shock_head_mount": TRUNNION, "bike_mount": TRUNNION, "head_kit_kind": BOLTS}
    assert margin("trunnion bolt depth", head_kit_protrusion_mm=enters, **facts) == expected


def test_trunnion_rules_say_nothing_of_an_eyelet() -> None:
    for rule in ("trunnion width", "trunnion thread", "trunnion bolt depth"):
        assert margin(rule, shock_spring_kind=COIL) == math.inf


@pytest.mark.parametrize("end", ENDS)
def test_made_to_specification_lacks_only_an_offer(end: str) -> None:
    made = {f"{end}_kit_{name}": 0.0 for name in ("width_mm", "bore_mm", "bushing")}
    made |= {f"{end}_kit_made": 1, f"{end}_kit_kind": BOLTS}
    for rule in ("hardware kind", "hardware width", "hardware bore", "bolt length",
                 "eye against sleeve", "bushing in the eye", "sleeve diameter"):  # fmt: skip
        assert margin(f"{end} {rule}", **made) == math.inf
    assert margin(f"{end} hardware on offer", **made) == -1
    assert margin(f"{end} hardware on offer") == 1


def test_reused_sleeve_must_be_unworn() -> None:
    assert margin("head unworn sleeve", head_kit_worn=1) == -1
    assert margin("head unworn sleeve") == 1
