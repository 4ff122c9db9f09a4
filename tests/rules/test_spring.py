"""Springs. Figures of the worked example (D, closed form of the stated model), 40 mm at a third =
13.3 mm of sag common practice; spring play, tolerance of rates and spacers from memory."""

import math

import pytest

from tests.rules.one import AIR, COIL, margin, sides, value

LBF_PER_IN = 0.1751268
C = {"shock_spring_kind": COIL, "spring_is_coil": 1}


def test_sag_of_a_stroke_of_40() -> None:
    third = {"stroke_mm": 40.0, "wish_sag_target_percent": 100 / 3}
    assert value("target_sag_mm", **third) == pytest.approx(13.3, abs=0.05)
    assert value("sag_mm", **third) == pytest.approx(13.333, abs=1e-3)


@pytest.mark.parametrize(("mass", "psi"), [(60, 130.5), (80, 171.1), (100, 211.7), (120, 252.3)])
def test_fill_pressure(mass: float, psi: float) -> None:
    assert value("fill_psi", rider_mass_with_kit_kg=mass) == pytest.approx(psi, abs=0.05)


@pytest.mark.parametrize(("spacers", "psi"), [(1, 166.7), (2, 161.8)])
def test_spacers_lower_the_fill(spacers: int, psi: float) -> None:
    assert value("fill_psi", spring_spacers=spacers) == pytest.approx(psi, abs=0.05)


def test_pressure_window_is_about_sag_allowed() -> None:
    """At 30 % alone the shock takes 171.1 psi; the window asks both ends of the sag."""
    only = {"sound_sag_low_percent": 30.0, "sound_sag_high_percent": 30.0}
    facts = {"shock_pressure_min_psi": 180.0, "shock_pressure_max_psi": 170.0}
    assert sides("pressure window", **only, **facts) == pytest.approx((-1.1, -8.9), abs=0.05)
    most, least = value("pressure_at_most_sag_psi"), value("pressure_at_least_sag_psi")
    assert most < 171.1 < least
    assert margin("pressure window", shock_pressure_max_psi=float(most)) == pytest.approx(0.0)
    assert margin("pressure window", shock_pressure_min_psi=float(least)) == pytest.approx(0.0)
    assert margin("pressure window", shock_pressure_max_psi=float(most) - 2) == pytest.approx(-2)


def test_pressure_is_clipped_and_the_sag_follows() -> None:
    full = value("sag_mm", shock_pressure_max_psi=150.0)
    assert value("fill_psi", shock_pressure_max_psi=150.0) == 150.0
    assert 15.0 < full < 25.0
    assert value("sag_mm") == pytest.approx(15.0)


def test_spacer_count() -> None:
    assert margin("spacer count", spring_spacers=2.0) == 0.0
    assert margin("spacer count", spring_spacers=3.0) == -1.0
    assert margin("spacer count", spring_spacers=3.0, shock_spring_kind=COIL) == math.inf


@pytest.mark.parametrize(("lbf", "mm", "percent"), [(550, 14.61, 29.2), (525, 15.27, 30.5)])
def test_sag_on_a_coil(lbf: float, mm: float, percent: float) -> None:
    coil = {**C, "spring_rate_n_per_mm": lbf * LBF_PER_IN}
    assert value("sag_mm", **coil) == pytest.approx(mm, abs=0.005)
    assert value("sag_percent", **coil) == pytest.approx(percent, abs=0.05)
    assert sides("sag", **coil) == pytest.approx((percent - 25, 35 - percent), abs=0.05)


def test_coil_rate_that_is_needed() -> None:
    rate = float(value("needed_rate_n_per_mm", **C))
    assert rate == pytest.approx(93.69, abs=0.005)
    assert rate / LBF_PER_IN == pytest.approx(535.0, abs=0.05)
    made = {**C, "spring_made": 1, "spring_rate_n_per_mm": 0.0}
    assert value("sag_mm", **made) == pytest.approx(15.0)


def test_too_soft_a_coil_stands_on_its_end() -> None:
    soft = {**C, "spring_rate_n_per_mm": 20.0}
    assert value("sag_percent", **soft) == 100.0
    assert margin("sag", **soft) == -65.0


def test_wheel_sag_and_rate() -> None:
    assert value("wheel_sag_mm") == pytest.approx(41.73, abs=0.005)
    assert value("wheel_rate_n_per_mm", **C) == pytest.approx(13.87, abs=0.005)
    assert value("wheel_rate_n_per_mm") == pytest.approx(12.30, abs=0.005)


def test_wheel_sag_as_a_share_of_the_travel() -> None:
    """2.86 x 15 - 0.0052 x 15^2 = 41.73 mm of 130 mm."""
    assert value("wheel_sag_percent") == pytest.approx(100 * 41.73 / 130, abs=0.005)


@pytest.mark.parametrize("length", [210.0, 211.5])
def test_a_coil_off_its_rate_sags_as_one_of_that_rate(length: float) -> None:
    """Also on a shock that is longer than the frame's, which meets the leverage earlier."""
    rate = 550 * LBF_PER_IN
    for name, share in (("sag_if_soft_mm", 0.95), ("sag_if_stiff_mm", 1.05)):
        there = value("sag_mm", **C, shock_length_mm=length, spring_rate_n_per_mm=rate * share)
        assert value(name, **C, shock_length_mm=length) == pytest.approx(there, abs=1e-6)
    assert math.isnan(value("sag_if_soft_mm"))


def test_reserve() -> None:
    assert value("reserve_mm", **C) / 1000 == pytest.approx(0.102, abs=0.0005)
    got = [float(value("reserve_mm", spring_spacers=n)) / 1000 for n in (0, 1, 2)]
    assert got == pytest.approx([0.101, 0.112, 0.129], abs=0.0005)
    assert margin("wish: reserve", wish_reserve_mm=90.0, **C) == pytest.approx(12.0, abs=0.5)


def test_the_coil_binds() -> None:
    """55 mm of usable travel, stroke 52.5 with a turn and two thirds of 1.5 mm: 2.5 mm."""
    facts = {**C, "stroke_mm": 52.5, "shock_preload_turns_min": 5 / 3}
    assert margin("spring travel", **facts) == pytest.approx(0.0)
    assert margin("spring travel", **{**facts, "stroke_mm": 55.0}) == pytest.approx(-2.5)
    assert margin("spring travel", **{**facts, "shock_spring_kind": AIR}) == math.inf


def test_coil_on_its_seat_and_collar() -> None:
    assert sides("spring diameter", **C) == pytest.approx((0.4, 0.2))
    assert margin("spring diameter", spring_inner_diameter_mm=35.9, **C) == pytest.approx(-0.1)
    assert sides("spring length", **C) == pytest.approx((20.0, 20.0))
    assert margin("spring length", spring_free_length_mm=155.0, **C) == -5.0
    own = {**C, "spring_fits": 1, "spring_free_length_mm": 0.0, "spring_inner_diameter_mm": 0.0}
    assert margin("spring length", **own) == margin("spring diameter", **own) == math.inf


def test_spring_suits_the_shock() -> None:
    assert margin("spring suits the shock") == 1
    assert margin("spring suits the shock", **C) == 1
    assert margin("spring suits the shock", spring_is_coil=1) == -1
    assert margin("spring suits the shock", shock_spring_kind=COIL) == -1


@pytest.mark.parametrize(
    ("name", "share"), [("sag_mm", 1.0), ("sag_if_soft_mm", 0.95), ("sag_if_stiff_mm", 1.05)]
)
def test_sag_on_a_coil_with_preload(name: str, share: float) -> None:
    """By hand: rate x (sag + 2) = 53 kg x g x (2.86 - 0.0104 (sag - 1)), the shock 1 mm longer. A
    rate of a fifth leaves the shock at its end."""
    rate = 96.32 * share
    load = 53 * 9.80665
    by_hand = (load * (2.86 + 0.0104) - 2 * rate) / (rate + 0.0104 * load)
    longer = {**C, "preload_mm": 2.0, "shock_length_mm": 211.0}
    assert value(name, **longer, spring_rate_n_per_mm=96.32) == pytest.approx(by_hand, rel=1e-6)
    assert value(name, **longer, spring_rate_n_per_mm=19.0) == 50.0
    assert math.isnan(value("sag_if_soft_mm"))


def test_the_rate_that_is_needed_with_preload() -> None:
    """At 15 mm of sag the ratio is 2.704."""
    found = value("needed_rate_n_per_mm", **C, preload_mm=2.0)
    assert found == pytest.approx(53 * 9.80665 * 2.704 / 17, rel=1e-6)
    made = value("rate_n_per_mm", **C, preload_mm=2.0, spring_made=1)
    assert made == found


def test_longer_shock_meets_another_leverage() -> None:
    """5 mm longer: at 15 mm of sag the linkage stands at 10 mm, where the ratio is 2.756."""
    psi = value("fill_psi", shock_length_mm=215.0)
    assert (psi + 14.696) / (171.1 + 14.696) == pytest.approx(2.756 / 2.704, rel=2e-3)
