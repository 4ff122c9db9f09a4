"""The engine's verdicts in the referee's terms."""

from itertools import product

from recommender.search.verdicts import STATES, Verdicts
from tests.search.referee import Bits, minimal


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
