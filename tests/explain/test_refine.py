"""Open shocks along one unknown fact, against a fine grid of its values."""

import random
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import settings

from recommender.explain.again import Again
from recommender.explain.narrowing import narrowed, value_at
from recommender.explain.refine import REFINED, WAITS, look_along, refine
from recommender.explain.unknowns import (
    Unknown,
    live_rules,
    loose_cells,
    question_unknowns,
    shock_unknowns,
)
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, RULED_OUT
from tests.catalogue import build
from tests.explain.markets import Asked, asked, opened
from tests.search.random_market import base, twisted

GRID = [0.0, 1.0, *np.linspace(0, 1, 17)[1:-1].tolist()]
SEEDS = settings().max_examples


def refined(case: Asked) -> tuple[list[str], dict[int, str]]:
    found = refine(case.market, case.wishes, case.judged())
    return (
        [REFINED[kind] for kind in found.state.tolist()],
        {shock: unknown.fact for shock, unknown in found.along.items()},
    )


def on_a_grid(case: Asked, unknown: Unknown, shock: int) -> Iterator[int]:
    """States for the values of a grid, the ends first, each as if it had been measured."""
    values = GRID if unknown.number else [piece[0] for piece in unknown.pieces]
    market, row = case.market, np.array([shock])
    for at in values:
        yield int(judge(narrowed(market, unknown, (at, at)), case.wishes, row).state[shock])


def test_the_ends_and_the_middle_are_looked_at_first() -> None:
    """Most open shocks are settled, or stay open, by a single value; what lies between follows."""
    seen: list[tuple[float, float]] = []

    class Agreeing(Again):
        def states(self, unknown: Unknown, piece: tuple[float, float], shocks: Any) -> Any:
            seen.append(piece)
            return np.full(len(shocks), FITS)

    case = asked(rider={"mass_with_kit_kg": ""})
    live = live_rules(case.wishes)
    mass = next(one for one in question_unknowns(case.market, live)
                if one.fact == "rider_mass_with_kit_kg")  # fmt: skip
    found = look_along(Agreeing(case.market, case.wishes, live), mass, np.array([0]))
    assert found.tolist() == [FITS]
    assert seen == [(0.0, 0.0), (1.0, 1.0), (0.5, 0.5), (0.0, 0.5), (0.5, 1.0)]


def test_at_most_and_at_least_leave_no_mass() -> None:
    """The shock holds at most 70 kg, its least pressure asks for more: either may pass alone."""
    case = asked(
        rider={"mass_with_kit_kg": ""},
        shocks=[build.shock(rider_mass_limit_kg=70, pressure_min_psi=200, volume_spacers_max=0)],
        wishes={"sag_percent": {"must": [28, 32]}},
    )  # fmt: skip
    assert case.states() == [OPEN]
    assert refined(case) == (["ruled out"], {0: "rider_mass_with_kit_kg"})


def test_at_most_and_at_least_that_overlap_stay_open() -> None:
    case = asked(
        rider={"mass_with_kit_kg": ""},
        shocks=[build.shock(rider_mass_limit_kg=130, pressure_min_psi=200, volume_spacers_max=0)],
    )  # fmt: skip
    assert refined(case) == (["open"], {})


@pytest.mark.parametrize(
    ("width", "state"),
    [(22.6, "fits, the choice waits for a measurement"), (22.65, "open"), (22.5, REFINED[WAITS])],
)
def test_the_kit_waits_for_the_gap(width: float, state: str) -> None:
    """A sleeve suits gaps from 0.1 less to 0.5 more than its width. Of 22.0 and 22.6 the stretches
    just touch, at 22.5; of 22.0 and 22.65 they leave a hole."""
    bike = {"head": {"gap_mm": "22.5 +/- 0.4", "grip_mm": 40}}
    case = asked(bike, kits=[build.kit("A"), build.kit("B", width_mm=width)])
    assert case.states() == [OPEN]
    assert refined(case)[0] == [state]


def test_the_kit_waits_for_a_word() -> None:
    """Nobody knows whether the eye has a bushing or a bearing; a kit is there for either."""
    kits = [
        build.kit("SLEEVE"),
        build.kit("AXLE", kind="bearing axle", bushing="none"),
    ]
    case = asked(shocks=[build.shock(head_eye=None)], kits=kits)
    assert case.states() == [OPEN]
    assert refined(case) == ([REFINED[WAITS]], {0: "head_eye"})
    assert refined(asked(shocks=[build.shock(head_eye=None)]))[0] == ["open"]


def test_a_part_whose_own_facts_clash() -> None:
    """The only sleeve's width is blank: the eye asks for 21.9 at least, the bolt holds 21.7."""
    bike = {"head": {"grip_mm": 21.7}}
    shocks = [build.shock(head_eye_width_mm=21.9)]
    kits = [build.kit("BLANK", width_mm=None), build.kit("SHAFT", bore_mm=8, width_mm=22)]
    case = asked(bike, shocks=shocks, kits=kits)
    assert case.states() == [OPEN]
    assert refined(case) == (["ruled out"], {0: "width_mm"})
    ok = asked(bike, shocks=[build.shock(head_eye_width_mm=21.6)], kits=kits)
    assert refined(ok)[0] == ["open"]


def test_two_unknowns_stay_open() -> None:
    """What would take both facts together to see is left open: sound, and said."""
    case = asked(
        rider={"mass_with_kit_kg": ""},
        shocks=[
            build.shock(rider_mass_limit_kg=70, pressure_min_psi=None, volume_spacers_max=0)
        ],
    )  # fmt: skip
    assert refined(case) == (["open"], {})


def single(seed: int) -> tuple[Asked, Unknown, int] | None:
    """A random case with one loose cell, and the unknown that it is for an open shock."""
    rng = random.Random(seed)
    case = base(rng)
    name, cell = rng.choice(CELLS)
    case = twisted(case, name, cell, 0, rng.choice(("blank", "measured")), rng.choice((0.4, 3.0)))
    made = opened(case)
    if made is None:
        return None
    verdicts = made.judged()
    live = live_rules(made.wishes)
    loose = [one for one in question_unknowns(made.market, live) if one.whole]
    for shock in np.flatnonzero(verdicts.state == OPEN).tolist():
        own = [
            one for one in shock_unknowns(made.market, live)
            if loose_cells(made.market, one.fact)[shock]
        ]  # fmt: skip
        named = [one for one in (*loose, *own) if one.fact.endswith(cell.split(".")[-1])]
        if len(named) == 1:
            return made, named[0], shock
    return None


CELLS = (
    ("bike", "head.gap_mm"), ("bike", "shaft.gap_mm"), ("bike", "head.bolt_mm"),
    ("rider", "mass_with_kit_kg"), ("bike", "tyre.gap_mm"), ("shocks", "length_mm"),
    ("shocks", "head_eye_width_mm"), ("shocks", "pressure_max_psi"), ("shocks", "chamber_cm3"),
    ("shocks", "stroke_mm"), ("shocks", "spring_seat_mm"), ("shocks", "head_eye"),
    ("shocks", "head_mount"), ("shocks", "spring_kind"), ("shocks", "eyelet_axis"),
    ("shocks", "rebound_class"), ("bike", "eyelet_axis"), ("bike", "allows.coil"),
)  # fmt: skip


def test_along_random_facts_as_on_a_grid() -> None:
    compared: dict[int, int] = {FITS: 0, OPEN: 0, RULED_OUT: 0}
    for seed in range(SEEDS):
        found = single(seed)
        if found is None:
            continue
        case, unknown, shock = found
        got = int(look_along(
            Again(case.market, case.wishes, live_rules(case.wishes)), unknown, np.array([shock])
        )[0])
        seen = on_a_grid(case, unknown, shock)
        compared[got] += 1
        if got != OPEN:
            assert set(seen) == {got}, (seed, unknown)
        else:
            # Open along a fact: values differ, or some other fact is loose as well.
            first = next(seen)
            assert first == OPEN or any(one != first for one in seen), (seed, unknown)
        again = refine(case.market, case.wishes, case.judged())
        assert again.state[shock] == {FITS: WAITS, OPEN: OPEN, RULED_OUT: RULED_OUT}[got] or (
            unknown not in again.along.values() and again.state[shock] != OPEN)  # fmt: skip
    assert compared[OPEN] > SEEDS // 20


def test_only_open_shocks_change() -> None:
    for seed in range(8):
        made = opened(twisted(base(random.Random(seed)), "shocks", "length_mm", 0, "blank", 1.0))
        if made is None:
            continue
        verdicts = made.judged()
        found = refine(made.market, made.wishes, verdicts)
        sure = verdicts.state != OPEN
        assert found.state[sure].tolist() == verdicts.state[sure].tolist()
        assert set(found.along) == set(np.flatnonzero(found.state != verdicts.state).tolist())
        assert sum(found.count(kind) for kind in range(len(REFINED))) == len(found.state)


def test_values_of_an_unknown() -> None:
    case = asked(shocks=[build.shock(length_mm="210 +/- 1.5")])
    found = shock_unknowns(case.market, live_rules(case.wishes))
    unknown = next(one for one in found if one.fact == "length_mm")
    ends: list[Any] = [value_at(case.market, unknown, at, 0) for at in (0.0, 1.0)]
    assert ends == [208.5, 211.5]
