"""Completions of one shock that may do, found without laying them all out."""

from collections.abc import Sequence

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.explain.completions import Costs, within
from recommender.rules.option_table import TABLE_OF
from recommender.search.tables import Pair
from recommender.search.whole import Whole, completion_sets


def least_doubtful(whole: Whole, rows: Sequence[Ints], only: bool = False) -> list[Ints] | None:
    """A completion that breaks nothing for certain, a row of each group: of those entries the ones
    in least doubt, or else the cheapest, if they do together; then, unless `only` those, any that
    does. None: none found."""
    if not all(len(some) for some in rows):
        return None
    for costs in (_doubts, _prices):
        choice = []
        for pair, some in zip(whole.tables, rows, strict=True):
            best = int(np.argmin(costs(pair, some)))
            choice.append(some[best : best + 1])
        if not completion_sets(whole, choice, True)[0]:
            return choice
    if only:
        return None
    none = [Costs(pair.certain.sets, np.zeros((len(pair.certain.sets), 0)))
            for pair in whole.tables]  # fmt: skip
    found = within(whole, 0, True, none)
    return [one[:1] for one in found.choice] if len(found) else None


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
