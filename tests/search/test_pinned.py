"""Verdicts that were once wrong, each on the smallest catalogue that shows it."""

from typing import Any

import numpy as np
import pytest

from recommender.facts.tables import JOBS
from recommender.rules.market import open_market
from recommender.rules.registry import RULES
from recommender.search.corners import Corners
from recommender.search.judging import judge
from recommender.search.margins import margin
from recommender.search.owners import owners, with_kits
from recommender.search.verdicts import STATES, Verdicts
from tests.catalogue import build
from tests.search import tables
from tests.search.families import family
from tests.search.random_parts import TUNE_CLASSES

BIKE: dict[str, Any] = {
    "mount": "eyelet", "eyelet_axis": "parallel",
    "head": {"gap_mm": 22, "bolt_mm": 8, "carbon_lugs": "no"},
    "shaft": {"gap_mm": 22, "bolt_mm": 8, "carbon_lugs": "no"},
    "sizes": [{"length_mm": 210, "stroke_ceiling_mm": 55}],
    "leverage": {"stroke_mm": 50, "ratio_start": 2.86, "ratio_end": 2.34},
    "tyre": {
        "bead_seat_mm": 622, "width_mm": 58, "measured_width_mm": 58, "gap_mm": 30, "closing": 1,
        "gap_eye_to_eye_mm": 160, "side_room_mm": 8,
    },
    "room": {f"{t}_{s}_mm": 50 for t in ("head", "middle", "shaft")
             for s in ("up", "down", "left", "right")} | {"measured": "whole travel"},
    "allows": {"coil": "yes", "remote": "yes", "end_for_end": "no"},
}  # fmt: skip
RIDER = {"mass_with_kit_kg": 80, "mass_kg": 75, "bike_mass_kg": 15}


def usual(**changed: Any) -> Any:
    """A catalogue of one part each that fit one another, but for the tables given."""
    jobs = [{"job": job, "place": "workshop", "price": 25, "currency": "EUR"} for job in JOBS]
    parts: dict[str, Any] = {
        "shocks": [build.shock("A", stroke_settings_mm="")], "kits": [build.kit("K")],
        "services": [], "springs": [], "tune_classes": TUNE_CLASSES, "tastes": build.TASTES,
        "jobs": jobs, "suppliers": build.SUPPLIERS,
    }  # fmt: skip
    return tables.catalogue(**parts | changed)


def verdicts(catalogue: Any, bike: Any = None, **musts: Any) -> Verdicts:
    wishes = {name: {"must": must} for name, must in musts.items()}
    question = tables.question(BIKE | (bike or {}), RIDER, wishes)
    return judge(open_market(question, catalogue), question.wishes)


def state(catalogue: Any, bike: Any = None, **musts: Any) -> str:
    return STATES[int(verdicts(catalogue, bike, **musts).state[0])]


def air(**facts: Any) -> list[dict[str, Any]]:
    return [build.shock("A", **{"stroke_settings_mm": "", **facts})]


def test_the_usual_question_fits() -> None:
    assert state(usual()) == "fits"


def test_a_part_that_pairs_with_itself_is_needed_at_both_ends() -> None:
    wide = {"shaft": {**BIKE["shaft"], "gap_mm": 30}}
    kits = [build.kit("K", pairs_with="K"), build.kit("L", width_mm=30)]
    assert state(usual(kits=kits[:1])) == "fits"
    assert state(usual(kits=kits), wide) == "ruled out"
    assert frozenset({"sold as a pair"}) in family(verdicts(usual(kits=kits), wide), 0, True)


def test_a_partner_may_come_from_nobody_named() -> None:
    wide = {"shaft": {**BIKE["shaft"], "gap_mm": 30}}
    kits = [build.kit("K", pairs_with="L"), build.kit("L", width_mm=30, supplier="")]
    assert state(usual(kits=kits), wide) == "fits"


def test_a_dearer_part_may_fill_an_order_up() -> None:
    """Kits of 20 at a supplier who takes no order below 60: a revalve of 90 from him fills it, a
    cheaper one from another does not."""
    suppliers = [{"supplier": "Barn Lane Parts", "order_minimum": 60, "currency": "EUR"}]
    services = [
        build.service("CHEAP", price=50, supplier="", rebound_class="medium",
                      compression_class="medium"),
        build.service("DEAR", price=90, rebound_class="medium", compression_class="medium"),
    ]  # fmt: skip
    parts = {"shocks": air(supplier="", compression_class="light", rebound_class="firm"),
             "kits": [build.kit("K")], "suppliers": suppliers}  # fmt: skip
    assert state(usual(**parts, services=services[:1])) == "ruled out"
    assert state(usual(**parts, services=services)) == "fits"


@pytest.mark.parametrize("length", ["unknown", "210 +/- 2", "211 +/- 3"])
def test_a_loose_length_may_be_the_approved_one(length: str) -> None:
    """Its ends are both off, but a value between them is not."""
    assert state(usual(shocks=air(length_mm=length))) == "open"


def test_a_loose_length_may_miss_both_sizes() -> None:
    """Its ends are both approved, but the middle is not."""
    sizes = [{"length_mm": length, "stroke_ceiling_mm": 55} for length in (205, 215)]
    found = verdicts(usual(shocks=air(length_mm="210 +/- 5")), {"sizes": sizes})
    assert all("length" in one for one in family(found, 0, True))


def test_an_approved_size_measured_with_a_tolerance() -> None:
    size = {"length_mm": "210 +/- 2", "stroke_ceiling_mm": "52 +/- 3"}
    assert state(usual(), {"sizes": [size]}) == "open"
    size = {"length_mm": "210 +/- 0.5", "stroke_ceiling_mm": "53 +/- 3"}
    assert state(usual(), {"sizes": [size], "tyre": {**BIKE["tyre"], "gap_mm": 40}}) == "fits"


@pytest.mark.parametrize("chamber", ["negative_chamber_cm3", "chamber_cm3", "equalise_at_mm"])
def test_a_blank_chamber_says_nothing_of_damping(chamber: str) -> None:
    """The needed damping rises and falls again along a chamber's volume, so the ends of what it may
    be bound nothing."""
    catalogue = usual(shocks=air(**{chamber: "unknown"}))
    question = tables.question(BIKE, RIDER)
    market = open_market(question, catalogue)
    frames = with_kits(market, owners(market, np.arange(1))).frames
    got = margin(Corners(frames), RULES["rebound range"])
    made = got.low == np.inf
    assert made.any()
    assert np.isinf(got.low[~made]).all()
    assert (got.high[~made] == np.inf).all()
    assert state(catalogue) == "open"


def test_a_blank_count_of_spacers_rules_nothing_out() -> None:
    """Two spacers give the reserve wished for; how many the shock takes is not told."""
    assert state(usual(shocks=air(volume_spacers_max=0)), reserve_mm=125) == "ruled out"
    assert state(usual(shocks=air(volume_spacers_max=2)), reserve_mm=125) == "fits"
    assert state(usual(shocks=air(volume_spacers_max="unknown")), reserve_mm=125) == "open"


def test_a_listed_stroke_within_the_measured_one_is_no_job() -> None:
    """100 + 25 to fit + two kits of 20 = 165; changing the stroke would add 25."""
    shocks = air(stroke_mm="50 +/- 0.5", stroke_settings_mm="50")
    assert state(usual(shocks=shocks), budget=165) == "fits"
    both = air(stroke_mm="50 +/- 3", stroke_settings_mm="50;52.5")
    assert state(usual(shocks=both), budget=165) == "open"
    assert state(usual(shocks=both), budget=190) == "fits"


def test_a_blank_bushing_may_need_a_press() -> None:
    kits = [build.kit("K", bushing=None)]
    assert state(usual(kits=kits), budget=165) == "open"
    assert state(usual(kits=kits), budget=215) == "fits"


def test_unknown_spacers_in_the_fitted_shock_may_be_right_already() -> None:
    now = {"part_number": "A", "condition": "good",
           "head_sleeve": {"width_mm": 22, "bore_mm": 8, "diameter_mm": 12.7, "condition": "good"},
           "shaft_sleeve": {"width_mm": 22, "bore_mm": 8, "diameter_mm": 12.7,
                            "condition": "good"}}  # fmt: skip
    for spacers, expected in ((0, "fits"), (1, "ruled out"), ("unknown", "open")):
        shocks = air(volume_spacers_max=0)
        bike = {"present_shock": {**now, "volume_spacers": spacers}}
        found = verdicts(usual(shocks=shocks), bike, budget=0)
        assert STATES[int(found.state[1])] == expected


def test_one_rule_on_several_parts_counts_once() -> None:
    """Both kits must be pressed in: beside one broken wish there is no smaller set."""
    kits = [build.kit("K", bushing="pressed metal-backed")]
    jobs = [
        {"job": job, "place": "workshop" if job in ("press bushing", "change stroke") else "home",
         "price": 25, "currency": "EUR"} for job in JOBS
    ]  # fmt: skip
    shocks = air(stroke_mm=60, stroke_settings_mm="50", length_mm=210)
    found = verdicts(usual(kits=kits, jobs=jobs, shocks=shocks), no_workshop=True)
    assert found.rules.names(int(found.broken[0])) == ("wish: no workshop",)


def test_both_ends_of_the_ratio_are_loose_on_their_own() -> None:
    """The more the ratio falls the higher the wheel rate: its corner is high start with low end."""
    loose = {"stroke_mm": 50, "ratio_start": "2.86 +/- 0.1", "ratio_end": "2.34 +/- 0.1"}
    falls = {"stroke_mm": 50, "ratio_start": 2.96, "ratio_end": 2.24}
    got = [
        margin(
            Corners(with_kits(market, owners(market, np.arange(1))).frames), RULES["rebound range"]
        )
        for leverage in (loose, falls)
        for market in [open_market(tables.question(BIKE | {"leverage": leverage}, RIDER), usual())]
    ]
    inside = np.isfinite(got[1].low)
    assert (got[0].low[inside] <= got[1].low[inside] + 1e-9).all()
    assert (got[0].high[inside] >= got[1].high[inside] - 1e-9).all()


@pytest.mark.parametrize(
    ("axis", "low", "high"),
    [
        ("parallel", [25, 50, 25], [25, 50, 25]), ("crosswise", [50, 25, 25], [50, 25, 25]),
        (None, [25, 25, 25], [50, 50, 25]),
    ],
)  # fmt: skip
def test_turning_the_shaft_eye_is_paid_for_where_it_may_be_needed(
    axis: str | None, low: list[float], high: list[float]
) -> None:
    """Fitting is 25, turning 25 more. A's eye is parallel and B's crosswise, both turnable; C's is
    not."""
    turnable = {"eyelet_turnable": "yes", "stroke_settings_mm": ""}
    shocks = [
        build.shock("A", **turnable), build.shock("B", eyelet_axis="crosswise", **turnable),
        build.shock("C", stroke_settings_mm=""),
    ]  # fmt: skip
    question = tables.question(BIKE | {"eyelet_axis": axis}, RIDER, {})
    made = owners(open_market(question, usual(shocks=shocks)), np.arange(3))
    fact = made.frames.owner_facts["shock_labour"]
    assert fact.low.tolist() == low
    assert fact.high.tolist() == high
