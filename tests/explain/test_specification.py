"""A part made to its specification fits; one a hair outside does not."""

import math
from typing import Any

import pytest

from recommender.explain.accounts import account_of
from recommender.explain.specification import Need, Specification, specifications
from recommender.search.completion import Completion
from recommender.search.verdicts import FITS, RULED_OUT
from tests.catalogue import build
from tests.explain.markets import CLASSES, asked

HAIR = 1e-4


def specified(rule: str, **parts: Any) -> dict[str, Need]:
    """What the part must be that alone is missing for the only shock."""
    case = asked(**parts)
    verdicts = case.judged()
    one = next(c for c in account_of(verdicts, 0).corrections if set(c.rules) == {rule} and c.sure)
    assert one.kind == "shop"
    found = specifications(case.market, case.wishes, 0, one)
    assert len(found) == 1
    return {need.fact: need for need in found[0].needs}


def test_a_sleeve_for_the_head() -> None:
    """Gap 30, bolt 8, eye 12.7: width [29.5, 30.1] (slack 0.5 and excess 0.1, from memory), bore
    [8, 8.2], 12.7 sleeve diameter or a 15 mm bushing."""
    bike = {"head": {"gap_mm": 30}}
    needs = specified("head hardware on offer", bike=bike)
    assert needs["kind"].words == ("sleeve",)
    assert (needs["width_mm"].low, needs["width_mm"].high) == pytest.approx((29.5, 30.1))
    assert (needs["bore_mm"].low, needs["bore_mm"].high) == pytest.approx((8.0, 8.2))
    assert needs["width_mm"].unit == "mm"
    diameter, bushing = needs["sleeve_diameter_mm"], needs["bushing_diameter_mm"]
    assert (diameter.low, diameter.high) == pytest.approx((12.65, 12.75))
    assert (bushing.low, bushing.high) == pytest.approx((14.9, 15.1))
    for fact in ("width_mm", "bore_mm"):
        need = needs[fact]
        good = {"width_mm": 29.8, "bore_mm": 8.1}
        for value, fits in (
            (need.low, True), (need.high, True), (need.low - HAIR, False),
            (need.high + HAIR, False),
        ):  # fmt: skip
            made = build.kit("MADE-UP", **{**good, fact: value})
            case = asked(bike, kits=[build.kit(), made])
            assert (case.states() == [FITS]) is fits, (fact, value)


def test_a_wide_eye_and_a_short_bolt_narrow_the_sleeve() -> None:
    bike = {"head": {"gap_mm": 30, "grip_mm": 29.9}}
    needs = specified(
        "head hardware on offer", bike=bike, shocks=[build.shock(head_eye_width_mm=29.7)]
    )
    assert (needs["width_mm"].low, needs["width_mm"].high) == pytest.approx((29.7, 29.9))


def test_carbon_lugs_take_less_slack() -> None:
    bike = {"head": {"gap_mm": 30, "carbon_lugs": "yes"}}
    needs = specified("head hardware on offer", bike=bike)
    assert needs["width_mm"].low == pytest.approx(29.7)


def test_a_measured_gap_leaves_less() -> None:
    """Whatever is in 30 +/- 0.1: [30.1 - 0.5, 29.9 + 0.1]."""
    needs = specified("head hardware on offer", bike={"head": {"gap_mm": "30 +/- 0.1"}})
    width = needs["width_mm"]
    assert (width.low, width.high, width.sure) == (pytest.approx(29.6), pytest.approx(30.0), True)


def test_a_gap_too_loose_must_be_measured_first() -> None:
    case = asked({"head": {"gap_mm": "30 +/- 1"}})
    one = next(
        c for c in account_of(case.judged(), 0).corrections if c.rules == (
            "head hardware on offer",)
    )  # fmt: skip
    found = specifications(case.market, case.wishes, 0, one)[0]
    need = next(need for need in found.needs if need.fact == "width_mm")
    assert not need.sure
    assert (need.low, need.high) == pytest.approx((28.5, 31.1))
    assert need.measure == ("shock_head_gap_mm",)


def test_trunnion_bolts() -> None:
    """The shock's thread; between 6 mm (from memory) and the thread's depth."""
    bike = {"mount": "trunnion", "head": {"trunnion_width_mm": 54}}
    shock = build.shock(
        head_mount="trunnion", head_eye=None, head_eye_width_mm=None, head_eye_bore_mm=None,
        head_sleeve_diameter_mm=None, trunnion_width_mm=54, trunnion_thread="m10x1",
        trunnion_thread_depth_mm=10,
    )  # fmt: skip
    needs = specified("head hardware on offer", bike=bike, shocks=[shock])
    assert needs["kind"].words == ("trunnion bolts",)
    assert needs["thread"].words == ("m10x1",)
    assert (needs["protrusion_mm"].low, needs["protrusion_mm"].high) == pytest.approx((6, 10))
    assert "width_mm" not in needs


def test_a_spring() -> None:
    """Seat 36 and up to 0.6 over it, collar 110 to 150, stroke 50 with half a turn of 1.5 mm."""
    parts: dict[str, Any] = {
        "shocks": [build.coil_shock(stroke_settings_mm="")],
        "springs": [build.spring(rate_n_per_mm=150)],
    }
    room = {f"{third}_{side}_mm": 34 for third in ("middle", "shaft")
            for side in ("up", "down", "left", "right")}  # fmt: skip
    needs = specified("spring on offer", bike={"room": room}, **parts)
    inner, free = needs["inner_diameter_mm"], needs["free_length_mm"]
    assert (inner.low, inner.high) == pytest.approx((36.0, 36.6))
    assert (free.low, free.high) == pytest.approx((110.0, 150.0))
    assert needs["usable_travel_mm"].low == pytest.approx(50.75)
    assert needs["usable_travel_mm"].high is None
    assert needs["outer_diameter_mm"].high == pytest.approx(2 * (34 - 3))
    rate = needs["rate_n_per_mm"]
    assert rate.unit == "n_per_mm"
    assert rate.low is not None
    assert rate.aim is not None
    assert rate.high is not None
    # trade.md: 535.0 lbf/in = 93.69 N/mm at 80 kg and 30 % without preload; 0.75 mm of it less.
    assert rate.aim == pytest.approx(93.69 * 15 / 15.75, rel=1e-3)
    for value, fits in (
        (rate.low, True), (rate.aim, True), (rate.high, True), (rate.low - HAIR, False),
        (rate.high + HAIR, False),
    ):  # fmt: skip
        springs = [build.spring(rate_n_per_mm=value)]
        assert (asked(**{**parts, "springs": springs}).states() == [FITS]) is fits, value


def test_a_revalve() -> None:
    """trade.md: zeta 0.25 and 0.50 need 2951 and 5902 N s/m; neutral is 0.37 and 0.17 [mem]."""
    shocks = [
        build.shock(
            rebound_class="light", compression_class="light", stroke_settings_mm="",
            volume_spacers_max=0,
        )
    ]  # fmt: skip
    needs = specified("tune on offer", shocks=shocks)
    rebound = needs["needed_rebound_n_s_per_m"]
    assert rebound.aim == pytest.approx(2951 * 0.37 / 0.25, abs=2)
    assert needs["needed_compression_n_s_per_m"].aim == pytest.approx(2951 * 0.17 / 0.25, abs=2)
    aim = rebound.aim or 0.0
    covers = [
        one["tune_class"] for one in CLASSES
        if one["rebound_low_n_s_per_m"] <= aim <= one["rebound_high_n_s_per_m"]
    ]  # fmt: skip
    assert list(needs["rebound_class"].words) == covers
    for rebound_class in ("light", "medium", "firm"):
        for compression in ("light", "medium", "firm"):
            revalve = build.service(rebound_class=rebound_class, compression_class=compression)
            fits = asked(shocks=shocks, services=[revalve]).states() == [FITS]
            told = rebound_class in needs["rebound_class"].words and (
                "compression_class" not in needs
                or compression in needs["compression_class"].words
            )
            assert fits is told


def test_a_coefficient_without_an_end_is_told_as_its_middle_alone(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shocks = [build.shock(rebound_class="light", compression_class="light", stroke_settings_mm="")]
    told = Completion.interval

    def open_above(self: Completion, name: str) -> tuple[float, float]:
        return (1000.0, math.inf) if name.startswith("needed_") else told(self, name)

    monkeypatch.setattr(Completion, "interval", open_above)
    needs = specified("tune on offer", shocks=shocks)
    rebound = needs["needed_rebound_n_s_per_m"]
    assert (rebound.low, rebound.high, rebound.sure) == (None, None, False)
    assert rebound.aim is not None


def test_a_wished_tune_is_both_words() -> None:
    needs = specified(
        "tune on offer", wishes={"tune": {"must": "medium"}},
        shocks=[build.shock(rebound_class="firm", compression_class="medium")],
    )  # fmt: skip
    assert needs["rebound_class"].words == ("medium",)
    assert needs["compression_class"].words == ("medium",)


def test_nothing_is_specified_where_nothing_is_missing() -> None:
    case = asked(wishes={"budget": {"must": 1}})
    one = account_of(case.judged(), 0).corrections[0]
    assert one.rules == ("wish: budget",)
    assert specifications(case.market, case.wishes, 0, one) == ()
    assert case.states() == [RULED_OUT]


def test_both_ends_at_once() -> None:
    case = asked({"head": {"gap_mm": 30}, "shaft": {"gap_mm": 40}})
    one = next(
        c for c in account_of(case.judged(), 0).corrections
        if set(c.rules) == {"head hardware on offer", "shaft hardware on offer"}
    )  # fmt: skip
    found: tuple[Specification, ...] = specifications(case.market, case.wishes, 0, one)
    assert [spec.choice for spec in found] == ["head_kit", "shaft_kit"]
    widths = [next(n for n in spec.needs if n.fact == "width_mm").low for spec in found]
    assert widths == pytest.approx([29.5, 39.5])
