"""Every verdict against brute force over all completions."""

from hypothesis import given

from recommender.rules.market import open_market
from recommender.search.verdicts import judge
from tests.search.examples import examples
from tests.search.families import told
from tests.search.random_market import Case, cases
from tests.search.referee import Referee


def agree(case: Case) -> None:
    question, catalogue = case.open()
    market = open_market(question, catalogue)
    verdicts = judge(market, question.wishes)
    referee = Referee(question, catalogue)
    assert market.shocks.keys() == referee.shocks
    for shock in range(len(referee.shocks)):
        ruling = referee.judge(shock)
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
