"""How far weights may move, against every bundle of random questions looked at."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import criteria
from recommender.ranking.order import ranked
from recommender.ranking.ranking import Ranking
from recommender.ranking.stability import Ends, intervals, stability, weight_to_win
from recommender.ranking.weights import weighed
from recommender.rules.choices import Market
from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import RULED_OUT
from tests.catalogue import build
from tests.ranking.test_whole_products import loosened
from tests.search import random_market, tables
from tests.search.test_pinned import BIKE, RIDER, usual


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_weights_move_as_far_as_among_all_bundles(seed: int) -> None:
    """Bundles of the first shock are rivals too, and of those all, not the best alone."""
    rng = random.Random(seed)
    question, catalogue = loosened(random_market.base(rng), rng).open()
    as_far_as_among_all(open_market(question, catalogue), question.wishes)


@pytest.mark.parametrize("weights", [(0.1, 1.0), (1.0, 1.0, 1.0), (0.5, 1.0, 0.5)])
def test_who_is_farther_behind_than_the_reach_narrows_nothing(weights: tuple[float, ...]) -> None:
    """A first that leads at those weights, rivals met one after another."""
    rng, left_out, size = np.random.default_rng(0), 0, len(weights)
    for _ in range(800):
        values = rng.integers(0, 11, (8, size)) / 10
        values = values[np.argsort(-(values @ weights))]
        ends = Ends(np.array(weights), values[0])
        ends.meet(values[1:7], np.arange(6))
        before = ends.intervals
        if (values[0] - values[7]) @ weights > ends.reach:
            left_out += 1
            ends.meet(values[7:], np.array([6]))
            assert ends.intervals == before
    assert left_out > 20


PARTS = st.tuples(st.integers(50, 400), st.integers(300, 700))


@settings(max_examples=15, deadline=None)
@given(
    st.lists(PARTS, min_size=3, max_size=6), st.lists(PARTS, min_size=1, max_size=3),
    st.sampled_from((0.05, 0.5, 2.0)),
)  # fmt: skip
def test_of_price_and_mass_only_what_is_near_is_looked_at(
    shocks: list[tuple[int, int]], kits: list[tuple[int, int]], weight: float
) -> None:
    """Where both weights end somewhere, shocks too far behind are left out; that shows nowhere."""
    catalogue = usual(
        shocks=[
            build.shock(f"S{k}", stroke_settings_mm="", price=price, mass_g=mass)
            for k, (price, mass) in enumerate(shocks)
        ],
        kits=[
            build.kit(f"K{k}", price=price / 10, mass_g=mass / 10)
            for k, (price, mass) in enumerate(kits)
        ],
    )
    wishes = {"budget": {"must": 700, "prefer": 300}, "mass_g": {"must": 900, "prefer": 400}}
    question = tables.question(BIKE, RIDER, wishes)
    names = {one.name for one in criteria(question.wishes)} - {"price", "mass"}
    weights = {**dict.fromkeys(names, 0.0), "price": weight}
    as_far_as_among_all(open_market(question, catalogue), weighed(question.wishes, weights))


def as_far_as_among_all(market: Market, wishes: Wishes) -> None:
    """How far weights may move, and who takes over, is what all bundles at once say."""
    verdicts = judge(market, wishes)
    rows = np.flatnonzero(verdicts.state != RULED_OUT)
    every = ranked(market, wishes, verdicts, rows)
    if not every:
        return
    first = every[0][0]
    rivals = [one for found in every for one in found if one.bundle.sure == first.bundle.sure]
    weights = [score.criterion.weight for score in first.scores]
    wanted = intervals(weights, first.values, [one.values for one in rivals])
    found = stability(Ranking(market, wishes, verdicts, rows))
    assert [(one.low, one.high) for one in found] == [
        (pytest.approx(low), pytest.approx(high)) for low, high, *_ in wanted
    ]
    keys = [market.shocks.keys()[one.bundle.whole.shock] for one in rivals]
    named = {None: "", **dict(enumerate(keys))}
    named |= {k: f"another bundle with {key}" for k, key in enumerate(keys) if key == keys[0]}
    assert [(one.below, one.above) for one in found] == [
        (named[below], named[above]) for *_, below, above in wanted
    ]
    for loser in rivals:
        for name, weight in weight_to_win(loser, first).items():
            k = [score.criterion.name for score in first.scores].index(name)
            at = [weight if n == k else one for n, one in enumerate(weights)]
            assert weight >= 0
            assert np.dot(at, loser.values) == pytest.approx(np.dot(at, first.values), abs=1e-5)


def test_rivals_at_an_end_by_hand() -> None:
    """First (0.8, 0.4) at weights 1 and 1. Rivals with 0.4 more of the second and 0.5 less of the
    first draw level at 0.8 of the first or 1.25 of the second: of two the lower number is named.
    One with as much of the second and less of the first draws level at none of the first; nobody
    takes over there."""
    rivals = [[0.2, 0.4], [0.3, 0.8], [0.3, 0.8], [0.1, 0.8]]
    (first, second) = intervals((1.0, 1.0), (0.8, 0.4), rivals)
    assert first == (pytest.approx(0.8), np.inf, 1, None)
    assert second == (0.0, pytest.approx(1.25), None, 1)
    (first, second) = intervals((1.0, 1.0), (0.8, 0.4), rivals[:1])
    assert first == (0.0, np.inf, None, None)
    assert second == (0.0, np.inf, None, None)
    assert intervals((1.0, 2.0), (0.5, 0.5), []) == [(0.0, np.inf, None, None)] * 2
    ends = Ends(np.array([1.0, 1.0]), np.array([0.8, 1.0]))
    assert 1.0 < ends.reach == np.inf
    ends.meet(np.array([[1.0, 0.7]]), np.array([0]))
    # The second may fall by 0.33, the first rise by 0.5 or fall by 1: points are rounded, so a
    # little more.
    assert 1.0 < ends.reach < 1.001


def test_a_shock_that_cannot_be_said_yet_takes_nothing_over() -> None:
    """B costs half as much, but may be too long for the frame: no weight puts it first."""
    shocks = [
        build.shock("A", stroke_settings_mm=""),
        build.shock("B", stroke_settings_mm="", price=50, length_mm="210.5 +/- 1"),
    ]
    question = tables.question(BIKE, RIDER, {})
    market = open_market(question, usual(shocks=shocks))
    verdicts = judge(market, question.wishes)
    ranking = Ranking(market, question.wishes, verdicts, np.arange(2))
    assert [(one.name, one.sure) for one in ranking.firsts] == [("A", True), ("B", False)]
    rivals = {rival for one in stability(ranking) for rival in (one.below, one.above)}
    assert rivals == {"", "another bundle with A"}
