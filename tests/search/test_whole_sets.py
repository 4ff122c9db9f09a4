"""Where order rules decide: entries put together step by step against all that can be chosen."""

from dataclasses import replace
from itertools import product

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from recommender.rules.market import open_market
from recommender.search.families import minimal_sets
from recommender.search.whole import Whole, completion_sets, wholes
from recommender.search.whole_sets import whole_pairs
from tests.search.examples import examples
from tests.search.random_market import Case
from tests.search.test_needless import twins

MOST = 60_000


@st.composite
def orders(draw: st.DrawFn) -> Case:
    """A random market of twins, in which every supplier may have an order minimum, and some kits
    are sold as a pair."""
    case = draw(twins())
    suppliers = [
        {**one, "order_minimum": draw(st.sampled_from((0, 40, 90, 150)))}
        for one in case.tables["suppliers"]
    ]
    kits = [dict(one) for one in case.tables["kits"]]
    for one in kits:
        if draw(st.integers(0, 3)) == 0:
            one["pairs_with"] = draw(st.sampled_from(kits))["part_number"]
    return replace(case, tables={**case.tables, "suppliers": suppliers, "kits": kits})


def every_set(whole: Whole, certain: bool) -> list[int]:
    """The minimal ones of all completions, none left out."""
    rows = [whole.rows(group) for group in range(len(whole.groups))]
    choice = [np.array(one) for one in zip(*product(*rows), strict=True)]
    return sorted(minimal_sets(completion_sets(whole, choice, certain)).tolist())


@given(orders())
@examples(60)
def test_nothing_is_lost_on_the_way(case: Case) -> None:
    question, catalogue = case.open()
    market = open_market(question, catalogue)
    kind = market.shocks.choice("spring_kind").codes
    for code in np.unique(kind).tolist():
        for whole in wholes(market, question.wishes, np.flatnonzero(kind == code)):
            if np.prod([len(whole.rows(group)) for group in range(len(whole.groups))]) > MOST:
                continue
            shock, turned = np.array([whole.shock]), np.array([whole.turned])
            found = whole_pairs(market, question.wishes, shock, turned)
            assert found.certain.of(0) == every_set(whole, certain=True)
            assert found.possible.of(0) == every_set(whole, certain=False)
