"""Every verdict against brute force over all completions."""

from hypothesis import given

import recommender.search.alike as alike
from tests.conftest import PLAIN
from tests.search.examples import examples
from tests.search.families import ruled, told
from tests.search.random_market import Case, cases


def agree(case: Case) -> None:
    for verdicts, _, shock, ruling in ruled(case):
        assert told(verdicts, shock) == (ruling.state, ruling.certain, ruling.possible)
        # Beside the families a smallest set of each is told.
        broken = verdicts.rules.names(int(verdicts.broken[shock]))
        doubtful = verdicts.rules.names(int(verdicts.doubtful[shock]))
        assert len(broken) == min(map(len, ruling.certain))
        assert len(doubtful) == min(map(len, ruling.possible))
        assert frozenset(broken) in ruling.certain
        assert frozenset(doubtful) in ruling.possible


@given(cases(loose=0))
@examples(80)
def test_exact_facts(case: Case) -> None:
    agree(case)


@given(cases(loose=2))
@examples(60)
def test_a_loose_fact_or_two(case: Case) -> None:
    agree(case)


@given(cases(loose=6))
@examples(70)
def test_many_loose_facts(case: Case) -> None:
    agree(case)


@given(cases(loose=4))
@examples(40)
def test_few_rows_are_looked_at_as_they_are(case: Case) -> None:
    assert alike.FEW < PLAIN
    thinned, alike.FEW = alike.FEW, PLAIN
    try:
        agree(case)
    finally:
        alike.FEW = thinned
