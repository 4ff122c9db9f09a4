"""The script's arithmetic against the program's own, and whole answers for moved wishes.

Rounding is compared with Python's, interpolation with NumPy's: both D (reference library).
"""

import json
import os
import random
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import pytest

from recommender.answer.answer import Case
from recommender.answer.names import rule_label
from recommender.cli.inputs import shipped
from recommender.cli.open import open_case
from recommender.movable.movable import Movable, movable
from recommender.output.page.data import as_json, page_data
from recommender.rules.registry import RULES
from recommender.search.bundles import Bundle
from tests.cli.run import demo_case
from tests.explain.markets import opened
from tests.explain.test_deciding import clash_of_many_kits, either_way_round
from tests.page.moving import moved, options, random_move, told
from tests.search import random_market

LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"
MOVES = 12 if LONG else 2
SEEDS = range(40) if LONG else (8, 29, 96)
QUESTIONS = ("", "coil-or-air", "hinge", "keep")
ANSWERS = """moves => {
  const data = Engine.open(DATA);
  return moves.map(move => {
    const made = Engine.answer(data, move.wishes, move.weights);
    return made.list.map(one => ({
      key: one.shock.key, state: one.state, sure: one.sure,
      points: one.points, price: one.price, mass: one.mass,
      days: one.days, workshop: one.workshop, doubt: one.doubt, way: one.way, rows: one.rows,
      scores: Engine.scores(one.shock, one, made.made, move.wishes)
        .map(each => [each.name, each.value, each.points]),
    }));
  });
}"""


@dataclass(frozen=True)
class Paged:
    """A question, its tables, and the page's data as the script reads them."""

    case: Case
    found: Movable
    data: dict[str, Any]

    @property
    def weights(self) -> dict[str, float]:
        return {one["name"]: one["weight"] for one in self.data["criteria"]}


def paged(case: Case) -> Paged:
    found = movable(case.market, case.question.wishes)
    return Paged(case, found, json.loads(as_json(page_data(case, found))))


@cache
def question(name: str) -> Paged:
    """A question that is shipped, its tables made once for all tests that ask for it."""
    folder = shipped("demo") / "questions" / name
    files = [folder / f"{one}.toml" for one in ("bike", "rider", "wishes")]
    return paged(open_case(files, None) if name else demo_case())


def test_rounding_is_pythons(engine: Any) -> None:
    rng = random.Random(3)
    halves = [k / 2**n for k in range(-9, 200) for n in (1, 2, 3, 7, 8)]
    numbers = halves + [rng.uniform(0, 4) for _ in range(300)] + [2.675, 1.005, 0.1 + 0.2, 702.005]
    for decimals in (0, 2, 6):
        got = engine.evaluate(
            f"xs => xs.map(x => Values.rounded(x, {decimals}))", [x for x in numbers if x >= 0]
        )
        want = [round(round(x, decimals) * 10**decimals) for x in numbers if x >= 0]
        assert got == want


def test_values_are_numpys(engine: Any) -> None:
    points = [[0.0, 1.0], [450.0, 0.6], [700.0, 0.0]]
    rng = random.Random(4)
    xs = [0.0, 450.0, 700.0, 900.0, *(rng.uniform(-5, 800) for _ in range(300))]
    got = engine.evaluate("([p, xs]) => xs.map(x => Values.valueAt(p, x))", [points, xs])
    want = np.round(np.interp(xs, [p[0] for p in points], [p[1] for p in points]), 6).tolist()
    assert got == want


@pytest.mark.parametrize("name", QUESTIONS)
def test_moved_wishes_are_answered_as_the_program_answers(name: str, engine: Any) -> None:
    check_moves(engine, question(name), seed=11)


def check_moves(engine: Any, one: Paged, seed: int, changes: bool = True) -> None:
    """The page's answer to random moves equals the program's, bundle by bundle, part by part."""
    case, found, data = one.case, one.found, one.data
    engine.evaluate("data => { globalThis.DATA = data; }", data)
    rng = random.Random(seed)
    asked = {"wishes": data["wishes"], "weights": one.weights}
    wanted = [asked, *(random_move(data, rng) for _ in range(MOVES))]
    sizes = set()
    for move, got in zip(wanted, engine.evaluate(ANSWERS, wanted), strict=True):
        for row in got:
            way = found.ways[case.keys.index(row["key"])][row.pop("way")]
            at = [int(one.row[k]) for one, k in zip(way.entries, row.pop("rows"), strict=True)]
            row["parts"] = options(Bundle(way.whole, tuple(at), row["sure"], 0))
        assert got == told(case if move is asked else moved(case, move)), move
        sizes.add(len(got))
    assert len(sizes) > 1 or not changes, "the moves changed nothing"


@pytest.mark.parametrize("seed", SEEDS)
def test_imprecise_catalogues_are_answered_as_the_program_answers(seed: int, engine: Any) -> None:
    rng = random.Random(seed)
    raw = random_market.base(rng)
    cells = [(name, cell) for name, some in random_market.CELLS.items() for cell in some]
    cells += [("bike", cell) for cell in random_market.BIKE_CELLS]
    cells += [("rider", cell) for cell in random_market.RIDER_CELLS]
    for _ in range(rng.randrange(2, 9)):
        name, cell = rng.choice(cells)
        how = rng.choice(("blank", "measured"))
        row, tolerance = rng.randrange(8), rng.choice((0.05, 0.4, 2.0))
        raw = random_market.twisted(raw, name, cell, row, how, tolerance)
    found = opened(raw)
    if found is None:
        pytest.skip("these wishes contradict each other")
    check_moves(engine, paged(Case(found.question, found.catalogue)), seed=seed, changes=False)


def test_a_fact_that_pulls_both_ways_is_looked_along_on_the_page(engine: Any) -> None:
    """A moved wish takes the bundles away that some value of a chamber's volume would save: the
    page rules the shock out as the program does, and not for want of a bundle."""
    hinge = question("hinge")
    assert hinge.found.closer, "no shock of the question hangs on such a fact"
    name = hinge.case.keys[next(iter(hinge.found.closer))]
    shocks = [
        one | {"looks": [[{"ways": [], "span": None}]]} if one["key"] == name else one
        for one in hinge.data["shocks"]
    ]
    data = hinge.data | {"shocks": shocks}
    unset = {key: {"must": None, "prefer": None} for key in data["wishes"]}
    out = engine.evaluate(
        "([d, w, k]) => Engine.answer(Engine.open(d), w, k).out.map(o => [o.shock.key, o.settled])",
        [data, unset, hinge.weights],
    )
    assert [name, True] in out


def test_parts_that_nobody_measured_are_looked_along_however_many(engine: Any) -> None:
    """Ten loose facts of parts: the page rules the shock out, lets it wait or leaves it open as the
    program does."""
    seen = set()
    for made in (clash_of_many_kits(900), either_way_round()):
        one = paged(Case(made.question, made.catalogue))
        engine.evaluate("data => { globalThis.DATA = data; }", one.data)
        moves = [
            {"wishes": one.data["wishes"] | {"budget": {"must": budget, "prefer": None}},
             "weights": one.weights}
            for budget in (901.0, 340.0, 250.0, 140.0, 100.0)
        ]  # fmt: skip
        for move, got in zip(moves, engine.evaluate(ANSWERS, moves), strict=True):
            want = told(moved(one.case, move))
            assert [(row["key"], row["state"]) for row in got] == [
                (row["key"], row["state"]) for row in want
            ]
            seen |= {row["state"] for row in got} or {"ruled out"}
    assert {"open", "ruled out", "fits, the choice waits for a measurement"} <= seen


@pytest.mark.parametrize("name", ["", "hinge"])
def test_states_as_asked_are_the_programs(name: str, engine: Any) -> None:
    one = question(name)
    counts = engine.evaluate(
        "([d, w]) => Engine.answer(Engine.open(d), d.wishes, w).counts", [one.data, one.weights]
    )
    assert counts == one.case.state_counts()


def test_cautions_are_those_of_the_records(engine: Any) -> None:
    demo = question("")
    case = demo.case
    got = engine.evaluate(
        """([d, w]) => Engine.answer(Engine.open(d), d.wishes, w).list.map(one =>
          [...one.shock.ways[one.way].cautions,
            ...one.groups.flatMap((group, k) => group.cautions[one.rows[k]])].map(k => d.texts[k])
        )""",
        [demo.data, demo.weights],
    )
    assert len(got) == len(case.order)
    for place, row in enumerate(got):
        assert set(row) == set(case.record(place).cautions)


def test_data_stands_safely_inside_a_script_element() -> None:
    text = as_json({"a": "</script><!--<script>", "b": "\u2028&amp;"})
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text) == {"a": "</script><!--<script>", "b": "\u2028&amp;"}


def test_no_number_that_json_lacks() -> None:
    demo = question("")
    text = as_json(page_data(demo.case, demo.found))
    assert "NaN" not in text
    assert "Infinity" not in text


def test_limits_give_way_by_the_rules_own_tolerances(engine: Any) -> None:
    """One source: what the script lets a must lack is what the registered rule does."""
    data = question("").data
    for name, wish in (("budget", "wish: budget"), ("mass_g", "wish: mass")):
        least = RULES[wish].tolerance
        got = engine.evaluate(
            "([d, n, xs]) => { Engine.open(d); return xs.map(x => Musts.over(n, 500, x, x)); }",
            [data, name, [500 + 0.9 * least, 500 + 1.2 * least]],
        )
        assert got == [0, 2]
    assert data["labels"]["travel_mm"] == rule_label("wish: travel") == "travel wished for"


@pytest.mark.parametrize("name", ["", "hinge", "keep"])
def test_one_wish_moved_is_answered_as_on_a_page_just_opened(name: str, engine: Any) -> None:
    """What the script keeps from move to move never outlives what it was made of."""
    one = question(name)
    unset = {key: {"must": None, "prefer": None} for key in one.data["wishes"]}
    moves = [{"travel_mm": [0, 131]}, {"travel_mm": [132, 200]}, {"days": 4}, {"days": 9}, {},
             {"budget": 500}, {"budget": 300}, {"budget": 700}, {"mass_g": 450}, {"mass_g": 520},
             {"spring_kind": "air"}, {"adjusters": ["lockout"]}, {}]  # fmt: skip
    wanted = [
        unset | {key: {"must": must, "prefer": None} for key, must in move.items()}
        for move in moves
    ]
    # Weights stay for some moves, and what is moved counts nothing: its must alone may decide.
    weights = [
        one.weights | {"price": (k // 5 + 2) % 3, "travel": k // 5, "sag": k // 5}
        for k in range(len(moves))
    ]
    lists = engine.evaluate(
        """([d, moves, weights]) => {
          const told = (data, move, w) => Engine.answer(data, move, w).list
            .map(o => [o.shock.key, o.state, o.sure, o.micro, o.rows]);
          const one = Engine.open(d);
          return moves.map((move, k) =>
            [one, Engine.open(d)].map(data => told(data, move, weights[k])));
        }""",
        [one.data, wanted, weights],
    )
    assert len({json.dumps(kept) for kept, _ in lists}) > 5
    for kept, fresh in lists:
        assert kept == fresh
