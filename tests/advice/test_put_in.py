"""Once a bundle is on the bike and written back, the bike's file tells just that bundle."""

from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.advice.named import looked_up
from recommender.advice.put_in import put
from recommender.answer.answer import Case
from recommender.answer.records import BundleRecord, PutIn
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts.problems import BadInput
from recommender.rules.fitted import fitted_shock
from recommender.rules.market import FITTED
from tests.catalogue import build
from tests.search import random_market, tables


def _then(case: random_market.Case, parts: PutIn) -> Case:
    """The case once the parts are on the bike."""
    question, catalogue = case.open()
    bike = deepcopy(case.bike)
    put(bike, parts, looked_up(parts, question, catalogue), question.bike)
    after, _ = replace(case, bike=bike).open()
    return Case(after, catalogue)


def _told(one: BundleRecord) -> tuple[Any, ...]:
    figures = {span.name: span.text for span in one.figures}
    return one.turned, one.clocked, one.size, one.mass_g, figures


@settings(max_examples=60)
@given(random_market.cases(loose=0), st.integers(0, 30))
def test_what_was_put_in_is_what_is_then_kept(case: random_market.Case, which: int) -> None:
    before = Case(*case.open())
    for place, bundles in enumerate(before.order):
        made = before.record(place, which % len(bundles))
        now = case.bike.get("present_shock", {})
        renewed = made.shock == now.get("part_number") and now["condition"] != "broken"
        if made.state != "fits" or made.put_in == PutIn() or renewed:
            continue
        after = _then(case, made.put_in)
        place_then = after.place(FITTED)
        kept = [
            after.record(place_then, k) for k in range(len(after.order[place_then]))
        ]
        kept = [one for one in kept if _told(one) == _told(made)]
        assert kept, made.put_in
        least = min(kept, key=lambda one: one.price)
        assert (least.price, least.state) == (0, "fits"), least.parts


def _open(**bike: Any) -> tuple[Question, Catalogue]:
    shocks = [
        build.shock("AIR", volume_spacers_max=2), build.coil_shock("COIL", stroke_settings_mm=""),
        build.shock("TRUNNION", head_mount="trunnion", head_eye=None, head_eye_width_mm=None,
                    head_eye_bore_mm=None, head_sleeve_diameter_mm=None),
        build.shock("TURNS", eyelet_turnable="yes"),
    ]  # fmt: skip
    catalogue = tables.catalogue(
        shocks=shocks,
        kits=[
            build.kit("K"), build.kit("K15", sleeve_diameter_mm=15, bushing_diameter_mm=18),
            build.kit("HEAVY", mass_g=90),
            build.kit("B", kind="trunnion bolts", bushing="none", thread="m10x1",
                      protrusion_mm=8),
        ],
        services=[build.service("R"), build.service("OTHER", damper="D2"),
                  build.service("BLANK", compression_class=None, rebound_class="firm")],
        springs=[build.spring("C")], tune_classes=[], tastes=[], jobs=[], suppliers=[],
    )  # fmt: skip
    return tables.question(bike, {}, {}), catalogue


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        (PutIn(shock="AIRR"), "--shock"),
        (PutIn(shock="AIR", head_kit="k"), "nearest: K"),
        (PutIn(shock="AIR", head_kit="from head"), "from-head"),
        (PutIn(shock="AIR", spacers=3), "at most 2"),
        (PutIn(shock="COIL", spacers=1), "a coil shock takes none"),
        (PutIn(shock="AIR", spring="C"), "takes no coil"),
        (PutIn(shock="AIR", service="OTHER"), "is for dampers 'D2'"),
        (PutIn(shock="AIR", stroke_mm=48), "accepted: 47.5, 50"),
        (PutIn(shock="COIL", stroke_mm=48), "accepted: 50"),
        (PutIn(shock="AIR", head_kit="B"), "takes no trunnion bolts"),
        (PutIn(shock="TRUNNION", head_kit="K"), "takes trunnion bolts"),
        (PutIn(spacers=1), "tells of no known shock"),
        (PutIn(shock="COIL", spring="C", spacers=1), "a coil shock takes none"),
        (PutIn(shock="COIL", spring="kept"), "tells of no coil"),
        (PutIn(shock="TURNS", eye_turned=True), "bike.eyelet_axis: is wanted"),
        (PutIn(shock="AIR", eye_turned=True), "does not let its shaft eye be turned"),
        (PutIn(shock="AIR", head_kit="from-head", shaft_kit="from-head"), "at both ends"),
        (PutIn(shock="TRUNNION", head_kit="from-head"), "takes trunnion bolts"),
    ],
)
def test_what_cannot_be_on_the_shock_is_refused(parts: PutIn, says: str) -> None:
    with pytest.raises(BadInput) as bad:
        looked_up(parts, *_open())
    assert says in str(bad.value)


def test_hardware_of_a_shock_that_is_gone_cannot_be_reused_again() -> None:
    bike = {"present_shock": {"part_number": "AIR", "head_sleeve": {"width_mm": 30}}}
    with pytest.raises(BadInput, match="is on the bike already"):
        looked_up(PutIn(shock="AIR", shaft_kit="from-head"), *_open(**bike))


def test_settings_that_are_no_list_of_strokes_are_told() -> None:
    own = {"part_number": "AIR", "facts": {"stroke_settings_mm": "50, 52"}}
    with pytest.raises(BadInput, match=r"stroke_settings_mm: .* is no stroke in mm"):
        looked_up(PutIn(stroke_mm=52), *_open(present_shock=own))


def test_bolts_of_a_trunnion_frame_go_into_no_eye() -> None:
    with pytest.raises(BadInput, match="takes no trunnion bolts"):
        looked_up(PutIn(shock="AIR", head_kit="from-head"), *_open(mount="trunnion"))


def test_every_part_that_is_not_known_is_told_together() -> None:
    with pytest.raises(BadInput) as bad:
        looked_up(PutIn(shock="X", head_kit="X", spring="X", service="X"), *_open())
    assert len(bad.value.problems) == 4


def test_another_one_of_the_same_number_is_fitted_for_a_broken_one() -> None:
    bike = {"present_shock": {"part_number": "AIR", "condition": "broken", "volume_spacers": 2}}
    got, _ = _after(PutIn(shock="AIR"), bike)
    assert got["present_shock"] == {"part_number": "AIR", "condition": "good"}
    bike["present_shock"]["condition"] = "service due"
    got, _ = _after(PutIn(shock="AIR"), bike)
    assert got["present_shock"]["volume_spacers"] == 2


def _after(parts: PutIn, bike: dict[str, Any]) -> tuple[dict[str, Any], list[str]]:
    question, catalogue = _open(**bike)
    document = deepcopy(bike)
    told = put(document, parts, looked_up(parts, question, catalogue), question.bike)
    return document, told


def test_bolts_of_a_trunnion_head_are_the_frame_s() -> None:
    got, told = _after(PutIn(shock="TRUNNION", head_kit="B"), {"mount": "trunnion"})
    assert got["head"] == {"trunnion_thread": "m10x1", "bolt_protrusion_mm": 8}
    assert got["present_shock"]["head_sleeve"] == {"mass_g": 25}
    assert "bike.head.bolt_protrusion_mm = 8" in told


def test_a_revalve_makes_the_shock_s_facts_its_own() -> None:
    bike = {"present_shock": {"part_number": "AIR", "condition": "service due", "sag_mm": 14}}
    got, told = _after(PutIn(service="R"), bike)
    now = got["present_shock"]
    assert now["condition"] == "good"
    assert now["own_tune"] == "yes"
    assert now["facts"] == dict.fromkeys(
        ("compression_class", "rebound_class", "lockout_class"), "light"
    )
    assert now["sag_mm"] == 14
    shock = fitted_shock(*_open(**got))
    assert shock is not None
    assert (shock.compression_class, shock.chamber_cm3.low) == ("light", 150)
    assert "bike.present_shock.facts.rebound_class = light" in told


def test_what_was_measured_of_the_damper_goes_with_a_revalve() -> None:
    facts = {name: cell for name, cell in build.shock("MINE").items() if cell is not None}
    for name in ("price", "currency", "supplier", "delivery_days"):
        del facts[name]
    own = {"facts": facts | {"rebound_low_n_s_per_m": 900, "rebound_high_n_s_per_m": 2000}}
    got, _ = _after(PutIn(service="R"), {"present_shock": own})
    assert "rebound_low_n_s_per_m" not in got["present_shock"]["facts"]


def test_a_shock_told_by_its_facts_alone_is_the_same_one_by_its_number() -> None:
    bike = {"present_shock": {"facts": {"part_number": "AIR"}, "volume_spacers": 2}}
    got, _ = _after(PutIn(shock="AIR", spacers=1), bike)
    assert got["present_shock"]["volume_spacers"] == 1
    assert got["present_shock"]["facts"] == {"part_number": "AIR"}


def test_a_bushing_of_its_own_leaves_the_sleeve_that_it_takes() -> None:
    bike = {"present_shock": {"part_number": "AIR"}}
    got, _ = _after(PutIn(shaft_kit="K15"), bike)
    assert got["present_shock"]["facts"] == {"shaft_sleeve_diameter_mm": 15}
    got, _ = _after(PutIn(shaft_kit="K"), bike)
    assert "facts" not in got["present_shock"]


def test_sag_measured_with_other_spacers_goes() -> None:
    bike = {"present_shock": {"part_number": "AIR", "sag_mm": 14, "volume_spacers": 0}}
    got, told = _after(PutIn(spacers=2), bike)
    assert got["present_shock"] == {"part_number": "AIR", "volume_spacers": 2}
    assert any("sag_mm: taken out" in one for one in told)


def test_a_turned_eye_lies_as_the_frame_wants_it() -> None:
    for _ in range(2):
        got, _ = _after(PutIn(shock="TURNS", eye_turned=True), {"eyelet_axis": "crosswise"})
        assert got["present_shock"]["facts"] == {"eyelet_axis": "crosswise"}


def test_what_a_revalve_leaves_unknown_is_unknown() -> None:
    """Not what the catalogue tells of the tune it came with."""
    got, _ = _after(PutIn(service="BLANK"), {"present_shock": {"part_number": "AIR"}})
    shock = fitted_shock(*_open(**got))
    assert shock is not None
    assert (shock.compression_class, shock.rebound_class) == (None, "firm")


def test_what_is_blank_in_a_shock_s_facts_stands_as_the_catalogue_tells() -> None:
    own = {"part_number": "AIR", "facts": {"mass_g": "?", "head_mount": None, "length_mm": 211}}
    shock = fitted_shock(*_open(present_shock=own))
    assert shock is not None
    assert (shock.mass_g.low, shock.head_mount, shock.length_mm.low) == (420, "eyelet", 211)


@pytest.mark.parametrize(
    ("parts", "sag"),
    [(PutIn(spacers=2), 14), (PutIn(spacers=1), None), (PutIn(shock="AIR", spacers=2), 14)],
)
def test_a_sag_stays_while_the_spring_does(parts: PutIn, sag: float | None) -> None:
    now = {"part_number": "AIR", "volume_spacers": 2, "sag_mm": 14}
    got, told = _after(parts, {"present_shock": now})
    assert got["present_shock"].get("sag_mm") == sag
    assert any("sag_mm: taken out" in one for one in told) == (sag is None)


def test_a_mass_that_a_file_cannot_hold_is_left_out() -> None:
    got, _ = _after(PutIn(shock="AIR", head_kit="HEAVY"), {})
    assert "mass_g" not in got["present_shock"]["head_sleeve"]


def test_hardware_that_goes_on_keeps_its_wear() -> None:
    sleeve = {"width_mm": 30, "bore_mm": 8, "diameter_mm": 12.7, "condition": "worn"}
    bike = {"present_shock": {"part_number": "AIR", "head_sleeve": sleeve}}
    got, _ = _after(PutIn(shock="COIL", shaft_kit="from-head"), bike)
    assert got["present_shock"] == {
        "part_number": "COIL", "condition": "good", "shaft_sleeve": sleeve,
    }  # fmt: skip
