"""Shocks looked at again along a fact: the same states as judged from the start."""

import random

import numpy as np
from hypothesis import settings

from recommender.explain.again import Again
from recommender.explain.narrowing import narrowed
from recommender.explain.unknowns import (
    live_rules,
    loose_cells,
    question_unknowns,
    shock_unknowns,
)
from recommender.search.judging import judge
from tests.explain.markets import cells_of_parts, opened
from tests.search.random_market import BIKE_CELLS, CELLS, base, twisted

SEEDS = settings().max_examples // 12
PIECES = ((0.0, 0.0), (0.2, 0.6))


def test_same_as_judged_from_the_start() -> None:
    compared = set()
    for seed in range(SEEDS):
        rng = random.Random(seed)
        case = base(rng)
        for _ in range(4):
            name = rng.choice(("shocks", "shocks", "bike"))
            cell = rng.choice(CELLS["shocks"] if name == "shocks" else BIKE_CELLS)
            case = twisted(case, name, cell, 0, rng.choice(("blank", "measured")), 2.0)
        for name in ("kits", "springs", "services"):
            case = twisted(case, name, rng.choice(CELLS[name]), rng.randrange(4), "blank", 2.0)
        made = opened(case)
        if made is None:
            continue
        market, live = made.market, live_rules(made.wishes)
        again = Again(market, made.wishes, live)
        rows = np.arange(len(market.shocks))
        some = cells_of_parts(market, live, last=3)
        for unknown in (*question_unknowns(market, live), *shock_unknowns(market, live), *some):
            if unknown.place == "shocks" and not loose_cells(market, unknown.fact)[rows].any():
                continue
            for piece in PIECES if unknown.number else unknown.pieces:
                fresh = judge(narrowed(market, unknown, piece), made.wishes, rows).state
                got = again.states(unknown, piece, rows)
                assert got.tolist() == fresh.tolist(), (seed, unknown, piece)
            compared.add((unknown.place, unknown.fact))
    assert len(compared) > 10
    assert {place for place, _ in compared} >= {"question", "shocks", "kits", "tunes"}


def test_cells_of_several_columns_at_once() -> None:
    """A shock may stand several times, each time with another cell known better."""
    compared = set()
    for seed in range(SEEDS):
        rng = random.Random(seed)
        case = base(rng)
        for _ in range(5):
            kind = rng.choice(("blank", "measured"))
            case = twisted(case, "shocks", rng.choice(CELLS["shocks"]), 0, kind, 2.0)
        made = opened(case)
        if made is None:
            continue
        market, live = made.market, live_rules(made.wishes)
        columns = shock_unknowns(market, live)
        looks = [
            (k, row, *rng.choice(PIECES if one.number else one.pieces))
            for k, one in enumerate(columns)
            for row in np.flatnonzero(loose_cells(market, one.fact)).tolist()
        ]
        if not looks:
            continue
        which, rows, low, high = (np.array(one) for one in zip(*looks, strict=True))
        got = Again(market, made.wishes, live).cells(columns, which, rows, low, high)
        fresh = [
            judge(narrowed(market, columns[k], (a, b)), made.wishes, np.array([row])).state[row]
            for k, row, a, b in looks
        ]
        assert got.tolist() == fresh, seed
        compared |= {columns[k].fact for k, *_ in looks}
    assert len(compared) > 5
