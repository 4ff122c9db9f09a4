"""Which facts are looked along: leaving the others out changes no verdict."""

import random

import numpy as np
import pytest
from hypothesis import settings

from recommender.explain.again import Again
from recommender.explain.part_values import PARTS
from recommender.explain.refine import REFINED, WAITS, look_along, refine
from recommender.explain.unknowns import (
    Unknown,
    live_rules,
    loose_cells,
    pulls_both_ways,
    question_unknowns,
    read_facts,
    shock_unknowns,
)
from recommender.search.verdicts import FITS, OPEN, RULED_OUT
from tests.catalogue import build
from tests.explain.markets import Asked, asked, cells_of_parts, opened
from tests.search import random_market

SEEDS = settings().max_examples // 5
SETTLED = (82, 164, 326, 524, 536, 754, 1298, 1357, 1448)
"""Cases of which some shock is settled along a fact: few are."""
DEAR = [build.kit(f"DEAR-{k}", width_mm=None, price=200) for k in range(8)]
"""Eight kits of which nobody knows the width."""


def clash_of_many_kits(budget: float) -> Asked:
    """The eye asks for a sleeve of 21.9 mm at least, the bolt holds 21.7; only within a large
    budget may one of several take the place of the cheapest."""
    cheap = {"bore_mm": 8, "price": 5}
    kits = [build.kit("BLANK", **{**cheap, "width_mm": None}), build.kit("SHAFT", **cheap), *DEAR]
    return asked(
        {"head": {"grip_mm": 21.7}}, shocks=[build.shock(head_eye_width_mm=21.9)], kits=kits,
        wishes={"budget": {"must": budget}},
    )  # fmt: skip


def either_way_round() -> Asked:
    """The head's sleeve is 22.0 to 22.5 mm wide: up to 22.2 it suits the frame's 22.1, from 22.1 on
    its 22.6 with the shock mounted end for end. The shaft's suits both, and the shaft alone."""
    bike = {"head": {"gap_mm": 22.1}, "shaft": {"gap_mm": 22.6}, "allows": {"end_for_end": "yes"}}
    axle = build.kit("SHAFT", kind="bearing axle", bushing="none", width_mm=22.15)
    kits = [build.kit("HEAD", width_mm="22.25 +/- 0.25"), axle, *DEAR]
    return asked(bike, shocks=[build.shock(end_for_end="yes", shaft_eye="bearing")], kits=kits)


def loose_case(seed: int) -> Asked | None:
    """A random case with many loose cells, those of parts above all."""
    rng = random.Random(seed)
    raw = random_market.base(rng)
    parts = [(name, cell) for name in ("kits", "springs", "services")
             for cell in random_market.CELLS[name]]  # fmt: skip
    others = [("shocks", cell) for cell in random_market.CELLS["shocks"]]
    others += [("bike", cell) for cell in random_market.BIKE_CELLS]
    others += [("rider", cell) for cell in random_market.RIDER_CELLS]
    for _ in range(rng.randrange(4, 14)):
        name, cell = rng.choice(parts if rng.random() < 0.75 else others)
        how, tolerance = rng.choice(("blank", "measured")), rng.choice((0.05, 0.4, 2.0))
        raw = random_market.twisted(raw, name, cell, rng.randrange(8), how, tolerance)
    return opened(raw)


def along_every_fact(case: Asked, shock: int) -> tuple[int, list[Unknown]]:
    """What looking along every fact that is loose for the shock comes to, and the facts that settle
    it: nothing is left out."""
    market, live = case.market, live_rules(case.wishes)
    again = Again(market, case.wishes, live)
    facts = [*question_unknowns(market, live), *cells_of_parts(market, live)]
    facts += [one for one in shock_unknowns(market, live) if loose_cells(market, one.fact)[shock]]
    states = [
        int(look_along(again, one, np.array([shock]))[0]) if pulls_both_ways(one, live) else OPEN
        for one in facts
    ]
    settled = {state for state in states if state != OPEN}
    assert len(settled) < 2, "facts that contradict each other"
    by = [one for one, state in zip(facts, states, strict=True) if state != OPEN]
    return (settled or {OPEN}).pop(), by


def same(seed: int) -> list[str]:
    """Compares all open shocks of a random case; places and ways of those settled."""
    case = loose_case(seed)
    if case is None:
        return []
    verdicts = case.judged()
    got, seen = refine(case.market, case.wishes, verdicts), []
    for shock in np.flatnonzero(verdicts.state == OPEN).tolist():
        want, by = along_every_fact(case, shock)
        wanted = {FITS: WAITS, OPEN: OPEN, RULED_OUT: RULED_OUT}[want]
        assert REFINED[got.state[shock]] == REFINED[wanted], (seed, shock, by)
        seen += [f"{one.place} {want}" for one in by]
    return seen


def test_leaving_facts_out_changes_no_verdict() -> None:
    seen = [one for seed in (*SETTLED, *range(SEEDS)) for one in same(seed)]
    for place in ("question", "shocks", *PARTS):
        assert any(one.startswith(place) for one in seen), place


@pytest.mark.parametrize(
    ("case", "state"),
    [
        (clash_of_many_kits(900), OPEN), (clash_of_many_kits(200), RULED_OUT),
        (clash_of_many_kits(100), RULED_OUT), (either_way_round(), WAITS),
    ],
)  # fmt: skip
def test_a_part_decides_among_many_that_nobody_measured(case: Asked, state: int) -> None:
    found = refine(case.market, case.wishes, case.judged())
    assert found.state.tolist() == [state]
    assert (case.states() == [OPEN]) == (state != RULED_OUT or bool(found.along))
    want, _ = along_every_fact(case, 0)
    assert case.states() != [OPEN] or {FITS: WAITS}.get(want, want) == state


def test_one_that_surely_breaks_a_rule_hides_no_doubt_about_it() -> None:
    """The bore of one kit is too large for sure; of the other nobody knows bore or width. What the
    first breaks is all that the least broken completions show, and yet the width decides."""
    bike = {"head": {"grip_mm": 21.7}}
    cheap = {"price": 5}
    kits = [
        build.kit("WIDE", bore_mm=10, width_mm=21.95, **cheap),
        build.kit("BLANK", width_mm=None, bore_mm=None, **cheap),
        build.kit("SHAFT", kind="bearing axle", bushing="none", **cheap),
    ]
    case = asked(bike, shocks=[build.shock(head_eye_width_mm=21.9, shaft_eye="bearing")], kits=kits)
    want, by = along_every_fact(case, 0)
    assert want == RULED_OUT
    assert [one.fact for one in by] == ["width_mm"]
    assert refine(case.market, case.wishes, case.judged()).state.tolist() == [RULED_OUT]


def test_two_rules_that_clash_are_enough() -> None:
    """At most 70 kg suit the shock, and its least pressure asks for more; beside that only the
    sleeve is in doubt, which has nothing to do with the mass."""
    shock = build.shock(rider_mass_limit_kg=70, pressure_min_psi=190, volume_spacers_max=0)
    kits = [build.kit(width_mm="22 +/- 0.3")]
    case = asked(rider={"mass_with_kit_kg": "75 +/- 10"}, shocks=[shock], kits=kits)
    assert case.states() == [OPEN]
    assert refine(case.market, case.wishes, case.judged()).state.tolist() == [RULED_OUT]


def test_what_a_part_costs_decides_nothing_by_being_found_out() -> None:
    """Only the shock's own price is looked along; a kit's, spring's or revalve's is asked."""
    case = asked(wishes={"budget": {"must": 500}, "mass_g": {"must": 700}, "days": {"must": 9}})
    live = live_rules(case.wishes)
    for place in PARTS:
        assert "price" not in read_facts(case.market, live, place)
