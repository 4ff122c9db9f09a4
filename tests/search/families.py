"""The engine's verdicts in the referee's terms."""

from collections.abc import Iterator
from itertools import product

from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import STATES, Verdicts
from tests.search.random_market import Case
from tests.search.referee import Bits, Referee, Ruling, minimal


def family(verdicts: Verdicts, shock: int, possible: bool) -> frozenset[Bits]:
    """Minimal unions, one set of every factor, over the ways of mounting a shock."""
    masks = set()
    for factors in verdicts.factors(shock):
        for sets in product(*(factor[possible] for factor in factors)):
            union = 0
            for one in sets:
                union |= one
            masks.add(union)
    return frozenset(Bits(verdicts.rules.names(mask)) for mask in minimal(masks))


def told(verdicts: Verdicts, shock: int) -> tuple[str, frozenset[Bits], frozenset[Bits]]:
    """State and both families of a shock."""
    state = STATES[int(verdicts.state[shock])]
    return state, family(verdicts, shock, False), family(verdicts, shock, True)


def all_told(verdicts: Verdicts, keys: list[str]) -> dict[str, object]:
    """The same of every shock, by key."""
    return {key: told(verdicts, shock) for shock, key in enumerate(keys)}


def ruled(case: Case) -> Iterator[tuple[Verdicts, Referee, int, Ruling]]:
    """Each shock of the case, with the engine's verdicts and the referee's ruling on it."""
    question, catalogue = case.open()
    market = open_market(question, catalogue)
    verdicts, referee = judge(market, question.wishes), Referee(question, catalogue)
    assert market.shocks.keys() == referee.shocks
    for shock in range(len(referee.shocks)):
        yield verdicts, referee, shock, referee.judge(shock)
