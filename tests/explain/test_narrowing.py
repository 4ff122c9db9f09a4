"""A market with a fact narrowed to a value is the market of a question that states the value."""

import random
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import settings

from recommender.explain.narrowing import cells_narrowed, narrowed, one_of_each, value_at
from recommender.explain.part_values import PARTS
from recommender.explain.unknowns import (
    Unknown,
    cell_unknowns,
    live_rules,
    loose_cells,
    option_table,
    pulls_both_ways,
    question_unknowns,
    shock_unknowns,
)
from recommender.facts import words
from recommender.facts.fields import choice_of
from recommender.facts.parts import Shock
from recommender.search.judging import judge
from tests.catalogue import build
from tests.explain.markets import asked, opened
from tests.search.random_market import CELLS, Case, base, twisted

# Blank, these say something of their own, so a value given later is not the same question.
_BLANK_SPEAKS = ("stroke_mm", "volume_spacers_max", "volume_spacer_price", "rider_mass_limit_kg")
SEEDS = max(2, settings().max_examples // 30)
_COLUMNS = [
    (cell, how) for cell in CELLS["shocks"] for how in ("blank", "measured")
    if how == "measured" or cell not in _BLANK_SPEAKS
]  # fmt: skip
_BIKE = (
    "head.gap_mm", "head.bolt_mm", "shaft.gap_mm", "tyre.gap_mm", "tyre.closing",
    "tyre.side_room_mm", "room.head_up_mm", "room.middle_down_mm", "eyelet_axis", "allows.coil",
    "allows.remote", "head.carbon_lugs",
)  # fmt: skip


def put(case: Case, name: str, row: int, cell: str, value: Any) -> Case:
    """The case with that cell at that value."""
    if name == "bike":
        *path, last = cell.split(".")
        bike = {**case.bike}
        inner = bike
        for step in path:
            inner[step] = {**inner[step]}
            inner = inner[step]
        inner[last] = value
        return replace(case, bike=bike)
    rows = [dict(one) for one in case.tables[name]]
    rows[row][cell] = value
    return replace(case, tables={**case.tables, name: rows})


def same_states(case: Case, unknown: Unknown, name: str, cell: str, accepted: Any) -> int:
    """Compares the states at several values; how many values were compared."""
    loose = opened(case)
    if loose is None:
        return 0
    market, done = loose.market, 0
    fractions = (0.37, 1.0) if unknown.number else [piece[0] for piece in unknown.pieces]
    for at in fractions:
        value = value_at(market, unknown, at, 0)
        stated = opened(put(case, name, 0, cell, accepted[int(value)] if accepted else value))
        if stated is None:
            continue
        rows = np.arange(1 if name == "shocks" else len(market.shocks))
        mine = judge(narrowed(market, unknown, (at, at)), loose.wishes, rows).state
        fresh = judge(stated.market, stated.wishes, rows).state
        assert mine[rows].tolist() == fresh[rows].tolist(), (cell, at, value)
        done += 1
    return done


@pytest.mark.parametrize(("cell", "how"), _COLUMNS)
def test_a_column_of_the_shocks(cell: str, how: str) -> None:
    compared = 0
    for seed in range(SEEDS):
        case = base(random.Random(seed))
        case.bike.pop("present_shock", None)
        case = twisted(case, "shocks", cell, 0, how, 2.0)
        loose = opened(case)
        if loose is None:
            continue
        found = shock_unknowns(loose.market, live_rules(loose.wishes))
        unknown = next((one for one in found if one.fact == cell), None)
        if unknown is None or not loose_cells(loose.market, cell)[0]:
            continue
        choice = choice_of(Shock.model_fields[cell])
        compared += same_states(case, unknown, "shocks", cell, choice and choice.values)
    if cell in ("length_mm", "head_eye_width_mm", "chamber_cm3"):
        assert compared


@pytest.mark.parametrize("cell", _BIKE)
@pytest.mark.parametrize("how", ["blank", "measured"])
def test_a_fact_of_the_bike(cell: str, how: str) -> None:
    accepted = {
        "eyelet_axis": words.AXES, "allows.coil": words.YES_NO, "allows.remote": words.YES_NO,
        "head.carbon_lugs": words.YES_NO,
    }.get(cell)  # fmt: skip
    compared = 0
    for seed in range(SEEDS):
        case = base(random.Random(100 + seed))
        case.bike.pop("present_shock", None)
        case = twisted(case, "bike", cell, 0, how, 2.0)
        loose = opened(case)
        if loose is None:
            continue
        found = question_unknowns(loose.market, live_rules(loose.wishes))
        name = "bike_" + cell.replace(".", "_")
        unknown = next((one for one in found if one.fact == name), None)
        if unknown is not None:
            compared += same_states(case, unknown, "bike", cell, accepted)
    assert compared or how == "measured"


def test_a_price() -> None:
    case = asked(shocks=[build.shock(price="850 +/- 100")])
    unknown = next(
        one for one in shock_unknowns(case.market, live_rules(case.wishes)) if one.fact == "price"
    )
    assert value_at(case.market, unknown, 0.5, 0) == 850
    states = [
        judge(narrowed(case.market, unknown, (at, at)), case.wishes).state[0] for at in (0.0, 1.0)
    ]
    assert states == [0, 2]


def test_a_curve_is_narrowed_along_itself() -> None:
    case = asked({"leverage": {"stroke_mm": 50, "ratio_start": None, "ratio_end": None,
                               "travel_mm": "130 +/- 10"}})  # fmt: skip
    unknown = next(
        one for one in question_unknowns(case.market, live_rules(case.wishes))
        if one.fact == "bike_leverage"
    )  # fmt: skip
    assert unknown.whole
    assert value_at(case.market, unknown, 0.25) == pytest.approx(125)
    (curve,) = narrowed(case.market, unknown, (0.25, 0.25)).scalars["bike_leverage"].corners
    assert float(curve.travel(0.05)) == pytest.approx(0.125)
    assert float(curve.ratio(0.01)) == pytest.approx(2.5)
    low, high = narrowed(case.market, unknown, (0.25, 1.0)).scalars["bike_leverage"].corners
    assert [float(one.travel(0.05)) for one in (low, high)] == pytest.approx([0.125, 0.14])


def test_which_facts_pull_both_ways() -> None:
    case = asked(
        {"room": {"head_up_mm": "60 +/- 1"}, "head": {"gap_mm": "22 +/- 1"}},
        {"mass_with_kit_kg": "80 +/- 10"},
    )
    live = live_rules(case.wishes)
    found = {one.fact: pulls_both_ways(one, live) for one in question_unknowns(case.market, live)}
    assert found["bike_room_head_up_mm"] is False
    assert found["bike_head_gap_mm"] is True
    assert found["rider_mass_with_kit_kg"] is True


def test_narrowing_leaves_the_market_as_it_was() -> None:
    case = asked(shocks=[build.shock(length_mm=None)])
    market = case.market
    before = judge(market, case.wishes).state.tolist()
    unknown = next(
        one for one in shock_unknowns(market, live_rules(case.wishes)) if one.fact == "length_mm"
    )
    judge(narrowed(market, unknown, (0.0, 0.0)), case.wishes)
    assert judge(market, case.wishes).state.tolist() == before
    assert np.isclose(market.shocks.number("length_mm").low[0], 100)


def test_a_part_s_cell_is_narrowed_in_its_own_table_alone() -> None:
    case = asked(
        {"present_shock": {"part_number": "AIR-1", "condition": "good"}},
        shocks=[build.shock("AIR-1"), build.coil_shock("COIL")],
        kits=[build.kit(), build.kit("ODD", width_mm="22 +/- 1")],
        springs=[build.spring(), build.spring("ODD", rate_n_per_mm="90 +/- 10")],
        services=[build.service(), build.service("ODD", rebound_class=None)],
    )
    market, live = case.market, live_rules(case.wishes)
    wanted = {"kits": ("width_mm", 22.5), "springs": ("rate_n_per_mm", 95.0)}
    for place in PARTS:
        row = option_table(market, place).labels.index("ODD")
        cells = cell_unknowns(market, live, place, row)
        fact = wanted[place][0] if place in wanted else "rebound_class"
        unknown = next(one for one in cells if one.fact == fact)
        at = (0.75, 0.75) if unknown.number else unknown.pieces[2]
        made = narrowed(market, unknown, at)
        for other in PARTS:
            before, after = option_table(market, other), option_table(made, other)
            if other != place:
                assert after is before
                continue
            assert set(after.facts) == set(before.facts)
            changed = {
                name for name in after.facts
                if any((a != b)[~((a != a) & (b != b))].any() for a, b in zip(
                    after.facts[name].corners, before.facts[name].corners, strict=True))
            }  # fmt: skip
            assert changed == {fact}
            ends = {float(corner[row]) for corner in after.facts[fact].corners}
            expected = wanted[place][1] if place in wanted else 2.0
            assert sorted(ends) == pytest.approx([expected])


def test_a_class_of_the_fitted_shock_is_known_of_its_service_too() -> None:
    """Its tune is there twice: as it is, and after a service that leaves it unchanged."""
    case = asked(
        {"present_shock": {"part_number": "AIR-1", "condition": "good"}},
        shocks=[build.shock("AIR-1", rebound_class=None), build.shock("AIR-2")],
    )
    market, live = case.market, live_rules(case.wishes)
    unknown = next(one for one in shock_unknowns(market, live) if one.fact == "rebound_class")
    fact = narrowed(market, unknown, unknown.pieces[1]).tunes.facts["rebound_class"]
    told = [{float(corner[k]) for corner in fact.corners} for k in range(len(market.tunes.labels))]
    kept = market.tunes.labels.index("serviced, tune unchanged")
    assert market.present is not None
    assert told[0] == told[market.present] == told[kept] == {1.0}
    bare = asked(shocks=[build.shock("AIR-1", rebound_class=None), build.shock("AIR-2")])
    unknown = next(
        one for one in shock_unknowns(bare.market, live) if one.fact == "rebound_class"
    )
    assert unknown.pieces
    fact = narrowed(bare.market, unknown, unknown.pieces[1]).tunes.facts["rebound_class"]
    assert {float(corner[0]) for corner in fact.corners} == {1.0}


def test_a_shock_s_tune_narrowed_leaves_services_and_other_shocks_as_they_are() -> None:
    shocks = [build.shock(name, compression_class=None) for name in "AB"]
    case = asked(shocks=shocks, services=[build.service(compression_class=None)])
    at = np.zeros(2)
    for mine in ([True, False], [False, True]):
        market = cells_narrowed(case.market, "compression_class", np.array(mine), at, at)
        loose = market.tunes.facts["compression_class"].loose
        assert loose is not None
        told = dict(zip(market.tunes.labels, loose.tolist(), strict=True))
        assert loose[:2].tolist() == [not one for one in mine]
        assert told["REV-1"]


def test_the_fitted_shock_is_looked_at_alone_and_others_some_at_once() -> None:
    plain = asked(shocks=[build.shock("A"), build.shock("B")]).market
    fitted = replace(plain, present=1)
    shocks = np.array([1, 0, 1, 0, 0])
    lots = [lot.tolist() for lot in one_of_each(fitted, shocks, 2)]
    assert lots == [[0], [2], [1, 3], [4]]
    assert plain.present is None
    assert [lot.tolist() for lot in one_of_each(plain, shocks, 3)] == [[0, 1, 2], [3, 4]]
