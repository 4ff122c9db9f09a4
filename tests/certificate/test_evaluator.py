"""The checker's evaluator and options against the search's, on random small markets."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from recommender.certificate.combine import avoids, least_broken
from recommender.certificate.evaluate import Evaluator
from recommender.certificate.options import Offers
from recommender.certificate.way import Ways
from recommender.explain.sets import minimal
from recommender.rules.registry import RULES
from recommender.search.corners import Corners
from recommender.search.margins import margin
from recommender.search.owners import owners, with_kits
from recommender.search.whole import wholes
from recommender.search.whole_sets import whole_pairs
from tests.explain.markets import Asked, random_asked
from tests.search.examples import examples


def same(a: np.ndarray, b: np.ndarray) -> bool:
    return bool(np.allclose(a, b, rtol=1e-9, atol=1e-9))


@given(random_asked(loose=5))
@examples(40, long=1200)
def test_margins_are_those_of_the_search(asked: Asked) -> None:
    """Every rule's interval over every option, whatever is loose."""
    market = asked.market
    made = with_kits(market, owners(market, np.arange(len(market.shocks))))
    offers = Offers(market)
    mounted = list(zip(made.shock.tolist(), made.turned.tolist(), strict=True))
    checkers = [Evaluator(market.scalars, offers.of(*one)) for one in mounted]
    for rule in (one for one in RULES.values() if not one.couples):
        found = margin(Corners(made.frames), rule)
        layout = made.frames.layout(found.choices)
        for owner, ((shock, turned), checker) in enumerate(zip(mounted, checkers, strict=True)):
            low, high = checker.margin(rule)
            rows = slice(layout.start[owner], layout.start[owner] + layout.count[owner])
            assert same(low.ravel(), found.low[rows]), (rule.name, shock, turned)
            assert same(high.ravel(), found.high[rows]), (rule.name, shock, turned)


@given(random_asked(loose=4))
@examples(25, long=800)
def test_completions_break_what_the_search_says(asked: Asked) -> None:
    """Groups, broken rules and sums of all entries, and the least sets over all completions, with
    the sums over all parts and the joint rules."""
    market, wishes = asked.market, asked.wishes
    kinds = market.shocks.choice("spring_kind").codes
    for kind in np.unique(kinds).tolist():
        for whole in wholes(market, wishes, np.flatnonzero(kinds == kind)):
            way = next(
                one for one in Ways(market, wishes).of(whole.shock) if one.turned == whole.turned
            )
            assert list(way.book.number) == list(whole.rules.bits)
            assert [one.choices for one in way.entries] == [one.choices for one in whole.groups]
            for k, (mine, pair) in enumerate(zip(way.entries, whole.tables, strict=True)):
                rows = whole.rows(k)
                for side, family in enumerate((pair.certain, pair.possible)):
                    assert mine.broken[side].tolist() == family.sets[rows].tolist()
                    for what, ends in mine.sums.items():
                        assert same(ends[side], getattr(family, what)[rows])
            pair = whole_pairs(
                market, wishes, np.array([whole.shock]), np.array([whole.turned])
            )
            for certain, family in ((True, pair.certain), (False, pair.possible)):
                assert sorted(least_broken(way, certain)) == family.of(0)


@given(random_asked(loose=2), st.data())
@examples(40)
def test_some_completion_avoids_what_can_be_avoided(asked: Asked, data: st.DataObject) -> None:
    """For any set of rules: some completion breaks none of them just if some least set does."""
    ways = Ways(asked.market, asked.wishes)
    shock = data.draw(st.integers(0, len(asked.market.shocks) - 1))
    for way in ways.of(shock):
        bits = data.draw(st.integers(0, way.book.every))
        for certain in (True, False):
            least = least_broken(way, certain)
            assert least == minimal(least)
            assert avoids(way, bits, certain) == any(one & bits == 0 for one in least)
