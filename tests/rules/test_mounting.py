"""Mount, axis, way round, kinds allowed and mass limits; masses never mixed between bases."""

import pytest

from tests.rules.one import COIL, CROSSWISE, NO, PARALLEL, TRUNNION, YES, margin


def test_head_meets_its_own_mount() -> None:
    assert margin("mount style") == 1
    assert margin("mount style", shock_head_mount=TRUNNION) == -1
    assert margin("mount style", shock_head_mount=TRUNNION, bike_mount=TRUNNION) == 1


def test_a_trunnion_frame_keeps_the_head() -> None:
    both = {"shock_head_mount": TRUNNION, "bike_mount": TRUNNION}
    assert margin("mount style", shock_reversed=1, **both) == -1
    assert margin("mount style", shock_reversed=1) == 1


@pytest.mark.parametrize(
    ("axis", "turnable", "wanted", "expected"),
    [
        (PARALLEL, NO, PARALLEL, 1),
        (CROSSWISE, NO, CROSSWISE, 1),
        (PARALLEL, NO, CROSSWISE, -1),
        (PARALLEL, YES, CROSSWISE, 1),
        (CROSSWISE, YES, PARALLEL, 1),
    ],
)
def test_eyelet_axis(axis: int, turnable: int, wanted: int, expected: int) -> None:
    facts = {"shock_eyelet_axis": axis, "shock_eyelet_turnable": turnable}
    assert margin("eyelet axis", bike_eyelet_axis=wanted, **facts) == expected


def test_end_for_end_needs_both_manuals() -> None:
    assert margin("end for end") == 1
    turned = {"shock_reversed": 1}
    assert margin("end for end", shock_end_for_end=YES, **turned) == -1
    assert margin("end for end", bike_allows_end_for_end=YES, **turned) == -1
    both = {"shock_end_for_end": YES, "bike_allows_end_for_end": YES}
    assert margin("end for end", **both, **turned) == 1


def test_kinds_the_frame_allows() -> None:
    assert margin("spring kind allowed", bike_allows_coil=NO) == 1
    assert margin("spring kind allowed", shock_spring_kind=COIL, bike_allows_coil=NO) == -1
    assert margin("remote routing", shock_remote_lockout=YES) == -1
    assert margin("remote routing", shock_remote_lockout=YES, bike_allows_remote=YES) == 1


@pytest.mark.parametrize(("basis", "expected"), [(0, 36.0), (1, 30.0), (2, 15.0)])
def test_mass_on_the_limits_own_basis(basis: int, expected: float) -> None:
    """110 kg: body 74, with kit 80, whole system 95 kg."""
    assert margin("frame's mass limit", bike_limits_rider_mass_basis=basis) == expected


@pytest.mark.parametrize(("basis", "expected"), [(0, 6.0), (1, 0.0), (2, -15.0)])
def test_a_shock_makers_limit_has_a_basis_of_its_own(basis: int, expected: float) -> None:
    """80 kg, whatever the frame's is stated on: body 74, with kit 80, whole system 95 kg."""
    facts = {"shock_rider_mass_limit_kg": 80.0, "bike_limits_rider_mass_basis": 1}
    got = margin("shock's mass limit", **facts, shock_rider_mass_limit_basis=basis)
    assert got == expected


def test_shock_maker_counts_kit() -> None:
    assert margin("shock's mass limit", shock_rider_mass_limit_kg=80.0) == 0
    assert margin("shock's mass limit", shock_rider_mass_limit_kg=75.0) == -5


def test_broken_shock_needs_a_service() -> None:
    assert margin("working order", tune_leaves_broken=1) == -1
    assert margin("working order") == float("inf")
