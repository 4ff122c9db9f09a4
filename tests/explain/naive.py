"""Naive twins: Berge multiplication, and every completion of a shock without any reduction."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.whole import Whole, completion_sets, wholes


def smallest(family: Iterable[int]) -> list[int]:
    """Inclusion-minimal sets by comparing every pair."""
    sets = set(family)
    kept = [a for a in sets if not any(b != a and b & ~a == 0 for b in sets)]
    return sorted(kept, key=lambda one: (one.bit_count(), one))


def berge(family: Iterable[int]) -> list[int]:
    """Minimal hitting sets, set after set (Berge, Hypergraphs, 1989, chapter 2)."""
    found = [0]
    for edge in family:
        bits = [1 << k for k in range(edge.bit_length()) if edge >> k & 1]
        found = smallest(one if one & edge else one | bit for one in found for bit in bits or [0])
        if not edge:
            return []
    return found


@dataclass(frozen=True)
class Every:
    """Every completion of one shock mounted one way."""

    whole: Whole
    choice: list[np.ndarray]
    certain: list[int]
    possible: list[int]


def every(market: Market, wishes: Wishes, shock: int) -> Iterator[Every]:
    """All completions, way by way."""
    for whole in wholes(market, wishes, np.array([shock])):
        rows = [whole.rows(group) for group in range(len(whole.groups))]
        choice = [np.array(one) for one in zip(*product(*rows), strict=True)]
        yield Every(
            whole, choice,
            completion_sets(whole, choice, True).tolist(),
            completion_sets(whole, choice, False).tolist(),
        )  # fmt: skip


def both(market: Market, wishes: Wishes, shock: int) -> list[tuple[int, int]]:
    """(certain, possible) of every completion of a shock."""
    return [
        pair
        for one in every(market, wishes, shock)
        for pair in zip(one.certain, one.possible, strict=True)
    ]
