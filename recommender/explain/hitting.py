"""Minimal hitting sets by MMCS: K. Murakami, T. Uno, 'Efficient algorithms for dualizing
large-scale hypergraphs', Discrete Applied Mathematics 170 (2014) 83-94.

The search adds one vertex at a time, always to hit the uncovered set with fewest candidates, and
keeps a partial solution only while each of its vertices is the only one to hit some set (its
critical sets). So every leaf is minimal, none comes twice, and memory is that of one branch and of
what stands beside it.
"""

from collections.abc import Iterable, Iterator
from functools import reduce
from itertools import chain, islice
from operator import and_

from recommender.explain.sets import Family, members, minimal

MOST = 1000
"""Hitting sets wanted at most, unless said otherwise: there can be exponentially many."""


def hitting_sets(family: Iterable[int], most: int = MOST) -> tuple[Family, bool]:
    """All minimal sets that meet every set of the family, fewest members first, then by number.

    With more than `most` of them that many are given, always the same, and True for 'truncated'.
    No set to hit: the empty set alone hits them all. An empty set among them: nothing does.
    """
    edges = minimal(family)
    if edges and edges[0] == 0:
        return [], False
    # What is in every set meets them all by itself, and stands in no other minimal one.
    everywhere = reduce(and_, edges) if edges else 0
    rest = [edge & ~everywhere for edge in edges]
    others = () if 0 in rest else _search(rest)
    found = list(islice(chain(members(everywhere), others), most + 1))
    kept = sorted(found[:most], key=lambda one: (one.bit_count(), one))
    return kept, len(found) > most


def _search(edges: Family) -> Iterator[int]:
    hits = {
        vertex: sum(1 << k for k, edge in enumerate(edges) if edge & vertex)
        for vertex in members(_all(edges))
    }

    # What is chosen, each chosen one's critical sets, sets left to hit, and vertices to hit with.
    branches: list[tuple[int, tuple[int, ...], int, int]]
    branches = [(0, (), (1 << len(edges)) - 1, _all(edges))]
    while branches:
        chosen, critical, uncovered, candidates = branches.pop()
        if not uncovered:
            yield chosen
            continue
        inside = candidates & _tightest(edges, uncovered, candidates)
        candidates &= ~inside
        more = []
        for vertex in members(inside):
            hit = hits[vertex]
            left = tuple([one & ~hit for one in critical])
            if all(left):
                further = (*left, uncovered & hit)
                more.append((chosen | vertex, further, uncovered & ~hit, candidates))
                candidates |= vertex
        branches += reversed(more)


def _tightest(edges: Family, uncovered: int, candidates: int) -> int:
    """The uncovered edge with fewest candidates, the first of equals."""
    best, least = 0, -1
    while uncovered:
        edge = edges[(uncovered & -uncovered).bit_length() - 1]
        number = (edge & candidates).bit_count()
        if least < 0 or number < least:
            best, least = edge, number
            if number <= 1:
                break
        uncovered &= uncovered - 1
    return best


def _all(edges: Family) -> int:
    out = 0
    for edge in edges:
        out |= edge
    return out
