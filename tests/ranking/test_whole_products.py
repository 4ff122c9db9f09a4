"""The best bundle against every completion of a shock, where prices and masses are loose.

A part may be no better at the middle of its price and yet be the only one within the budget.
"""

import random
from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.catalogue.columns import Ints
from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import criteria
from recommender.ranking.order import Ranked, ranked, score
from recommender.ranking.ranking import Ranking
from recommender.ranking.tables import group_tables, shared_bits
from recommender.rules.choices import Market
from recommender.rules.market import open_market
from recommender.search.bundles import Bundle
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, Verdicts
from recommender.search.whole import completion_sets, wholes
from tests.catalogue import build
from tests.search import random_market, tables
from tests.search.test_pinned import BIKE, RIDER, usual


def loosened(case: random_market.Case, rng: random.Random) -> random_market.Case:
    """Every price and mass with a tolerance of its own, around figures that often agree."""
    made = {}
    for name, rows in case.tables.items():
        made[name] = [dict(row) for row in rows]
        for row in made[name]:
            for cell in {"price", "mass_g"} & set(row):
                if name != "jobs" and row[cell]:
                    value = row[cell] if name == "shocks" else rng.choice((20, 40))
                    off = rng.choice((0, 0.1, 0.4, 0.9)) * (0.2 if name == "shocks" else 1)
                    row[cell] = f"{value} +/- {round(value * off, 3)}"
    wishes = {
        "rates": case.wishes["rates"], "budget": {"must": rng.choice((420, 480, 560, 640))},
        "mass_g": {"must": rng.choice((480, 520, 900))},
    }  # fmt: skip
    return replace(case, tables=made, wishes=wishes)


def figures(bundles: list[Ranked]) -> dict[str, Any]:
    """What the first place of a shock's bundles must say."""
    best, dear = bundles[0], min(bundles, key=lambda one: (one.price, one.key))
    whole = best.bundle.whole
    return {
        "shock": whole.shock, "name": whole.market.shocks.keys()[whole.shock],
        "sure": best.bundle.sure, "points": best.points, "price": best.price, "mass": best.mass,
        "values": best.values, "bundles": len(bundles),
        "stroke_mm": float(whole.market.stroke_mm.low[best.bundle.option("stroke")]),
        "cheapest": (dear.price, -dear.points, dear.mass),
    }  # fmt: skip


def judged(seed: int) -> tuple[Market, Wishes, Verdicts, Ints]:
    """A random market with loose facts, its verdicts, and the shocks that are not ruled out."""
    rng = random.Random(seed)
    question, catalogue = loosened(random_market.base(rng), rng).open()
    market = open_market(question, catalogue)
    verdicts = judge(market, question.wishes)
    return market, question.wishes, verdicts, np.flatnonzero(verdicts.state != RULED_OUT)


def best_of_all(market: Any, wishes: Any, shock: int, sure: bool) -> float:
    """Most points of any completion that breaks nothing; minus infinity: there is none."""
    made = criteria(wishes)
    best = -np.inf
    for whole in wholes(market, wishes, np.array([shock])):
        table = group_tables(whole, made)
        lists = [whole.rows(group) for group in range(len(whole.groups))]
        index = np.unravel_index(
            np.arange(int(np.prod([len(rows) for rows in lists]))), [len(rows) for rows in lists]
        )
        choice = [rows[at] for rows, at in zip(lists, index, strict=True)]
        stands = np.flatnonzero(completion_sets(whole, choice, certain=not sure) == 0)
        doubtful = completion_sets(whole, choice, certain=False)
        for k in stands.tolist():
            bundle = Bundle(whole, tuple(int(r[k]) for r in choice), sure, int(doubtful[k]))
            best = max(best, score(bundle, table, made).points)
    return best


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_no_completion_earns_more_than_the_best_bundle(seed: int) -> None:
    market, wishes, verdicts, rows = judged(seed)
    ranking = Ranking(market, wishes, verdicts, rows)
    every = ranked(market, wishes, verdicts, rows)
    assert [figures(one) for one in every] == [vars(one) for one in ranking.firsts]
    found = {one[0].bundle.whole.shock: one[0].points for one in every}
    for shock in rows.tolist():
        sure = verdicts.state[shock] == FITS
        assert found[shock] == best_of_all(market, wishes, shock, sure)


def test_a_dearer_kit_may_be_the_only_one_surely_within_the_budget() -> None:
    """100 for the shock, 25 to fit it; two kits of 20 give or take 15 may come to 70, two of 22 no
    more than 44."""
    kits = [build.kit("LOOSE", price="20 +/- 15"), build.kit("DEAR", price=22)]
    question = tables.question(BIKE, RIDER, {"budget": {"must": 170}})
    market = open_market(question, usual(kits=kits))
    verdicts = judge(market, question.wishes)
    assert verdicts.state[0] == FITS
    best = ranked(market, question.wishes, verdicts)[0][0]
    assert best.price == 169


def test_bits_of_a_rule_on_every_part_are_shared_by_groups() -> None:
    """Days and workshop are asked of each part, length of the shock alone."""
    wishes = {"days": {"must": 9}, "no_workshop": {"must": True}}
    question = tables.question(BIKE, RIDER, wishes)
    (whole,) = wholes(open_market(question, usual()), question.wishes, np.array([0]))
    assert set(whole.rules.names(shared_bits(whole))) == {"wish: days", "wish: no workshop"}


def test_of_kits_alike_the_one_without_a_doubt_is_taken() -> None:
    """Days are asked of every part at once, so a doubt about them is shared by the groups. The
    shock hangs on its length; a kit whose delivery may take too long is one doubt more."""
    shocks = [build.shock("A", stroke_settings_mm="", length_mm="210.5 +/- 1")]
    kits = [build.kit("A-LOOSE", delivery_days="3 +/- 3"), build.kit("B-EXACT", delivery_days=3)]
    question = tables.question(BIKE, RIDER, {"days": {"must": 5}})
    market = open_market(question, usual(shocks=shocks, kits=kits))
    verdicts = judge(market, question.wishes)
    assert verdicts.state[0] == OPEN
    best = ranked(market, question.wishes, verdicts)[0][0].bundle
    assert {str(market.kits.labels[best.option(f"{end}_kit")]) for end in ("head", "shaft")} == {
        "B-EXACT"
    }
