"""Rules that know a figure by its ends alone: what that rests on holds for each of them."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.rules.registry import RULES, Rule, entity, leaves, scope

STEADY = [rule for rule in RULES.values() if rule.steady]
VALUE = st.floats(1.0, 1e4)


def _rest(rule: Rule) -> set[str]:
    return {leaf for read in rule.reads if read not in rule.steady for leaf in leaves(read)}


def test_some_rule_is_steady() -> None:
    assert STEADY


@pytest.mark.parametrize("rule", STEADY, ids=lambda rule: rule.name)
def test_nothing_else_that_it_reads_shares_the_figures_facts(rule: Rule) -> None:
    for figure in rule.steady:
        assert not _rest(rule) & set(leaves(figure))
        assert not {entity(leaf) for leaf in _rest(rule)} & (scope(figure) | {"shock"})


@pytest.mark.parametrize("rule", STEADY, ids=lambda rule: rule.name)
@given(others=st.lists(VALUE, min_size=8, max_size=8), made=st.sampled_from([0.0, 1.0]),
       along=st.lists(VALUE, min_size=3, max_size=12))  # fmt: skip
def test_no_side_turns_along_it(
    rule: Rule, others: Sequence[float], made: float, along: Sequence[float]
) -> None:
    figure = rule.steady[0]
    values = np.sort(np.array(along))
    given_ = dict(zip(rule.reads, others, strict=False)) | {"tune_made": made, figure: values}
    sides = rule.margin(*[given_[read] for read in rule.reads])
    for side in sides if isinstance(sides, tuple) else (sides,):
        steps = np.diff(side[np.isfinite(side)])
        assert (steps >= 0).all() or (steps <= 0).all()
