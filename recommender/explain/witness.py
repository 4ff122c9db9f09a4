"""Completions of one shock that may do, found without laying them all out."""

from collections.abc import Callable, Sequence

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.explain.completions import Costs, within
from recommender.rules.option_table import TABLE_OF
from recommender.search.tables import Pair
from recommender.search.whole import Whole, completion_sets

Witness = tuple[list[Ints], int]
"""A row of each group, and what they may break."""


def some_that_do(whole: Whole) -> Witness | None:
    """Some completion that breaks nothing for certain."""
    none = [Costs(pair.certain.sets, np.zeros((len(pair.certain.sets), 0)))
            for pair in whole.tables]  # fmt: skip
    found = within(whole, 0, True, none)
    if not len(found):
        return None
    choice = [one[:1] for one in found.choice]
    return choice, int(completion_sets(whole, choice, False)[0])


def easily(whole: Whole, rows: Sequence[Ints]) -> bool:
    """Whether of those entries, group by group, the ones in least doubt break nothing for certain
    together, or else the cheapest."""
    if not all(len(some) for some in rows):
        return False
    return any(
        not completion_sets(whole, [
            some[[np.argmin(costs(pair, some))]]
            for pair, some in zip(whole.tables, rows, strict=True)
        ], True)[0]
        for costs in (_doubts, _prices)
    )  # fmt: skip


def each_least_doubtful(whole: Whole) -> dict[int, Witness]:
    """By owner of the batch the entries in least doubt, or else the cheapest, that break nothing
    for certain together, and what they may break; owners of which neither do are left out."""
    out: dict[int, Witness] = {}
    for costs in (_doubts, _prices):
        firsts = [_least(whole, group, costs) for group in range(len(whole.groups))]
        have = np.logical_and.reduce([one >= 0 for one in firsts])
        have[list(out)] = False
        owners = np.flatnonzero(have)
        choice = [one[owners] for one in firsts]
        does = completion_sets(whole, choice, True) == 0
        possible = completion_sets(whole, choice, False)
        for k in np.flatnonzero(does).tolist():
            out[int(owners[k])] = [one[k : k + 1] for one in choice], int(possible[k])
    return out


def _least(whole: Whole, group: int, costs: Callable[[Pair, Ints], Floats | Ints]) -> Ints:
    """Each owner's row that breaks nothing for certain and costs least, the first of equals; -1
    where it has none."""
    pair = whole.tables[group]
    rows = np.flatnonzero(pair.certain.sets == 0)
    owner = whole.made.frames.layout(whole.groups[group].choices).owner[rows]
    order = np.lexsort((costs(pair, rows), owner))
    found, first = np.unique(owner[order], return_index=True)
    out = np.full(len(whole.made.shock), -1)
    out[found] = rows[order][first]
    return out


def without(whole: Whole, rows: Sequence[Ints], part: tuple[str, int]) -> list[Ints]:
    """Those rows of each group that do not use the part."""
    place, number = part
    out = []
    for group, some in enumerate(rows):
        left = some
        for name in whole.groups[group].choices:
            if TABLE_OF.get(name) == place:
                left = left[whole.option(group, left, name) != number]
        out.append(left)
    return out


def _doubts(pair: Pair, rows: Ints) -> Ints:
    return np.bitwise_count(pair.possible.sets[rows]).astype(np.int64)


def _prices(pair: Pair, rows: Ints) -> Floats:
    return pair.certain.price[rows]
