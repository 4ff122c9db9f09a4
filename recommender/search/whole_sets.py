"""Minimal sets of broken rules over whole completions, where a joint rule can decide.

Entries are reduced only within equal values of what the joint rules read, and every combination of
what remains is looked at: of all shocks of a batch together.
"""

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np
import pandas as pd

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.families import Family, Sets, reduce_family
from recommender.search.frames import starts
from recommender.search.reduction import stacked
from recommender.search.tables import Pair
from recommender.search.whole import Whole, completion_sets, shelves, wholes

_AT_ONCE = 1_000_000


def whole_pairs(market: Market, wishes: Wishes, shock: Ints, turned: Mask) -> Pair:
    """For those mounted shocks (sorted) the minimal sets of broken rules over all completions,
    joint rules among them."""
    wanted = set(zip(shock.tolist(), turned.tolist(), strict=True))
    pairs = []
    every = wholes(market, wishes, np.unique(shock))
    for _, batch in groupby(every, key=lambda whole: id(whole.made)):
        whole = next(batch)
        mounted = zip(whole.made.shock.tolist(), whole.made.turned.tolist(), strict=True)
        mine = np.array([one in wanted for one in mounted], bool)
        pairs.append(Pair(*(_minimal(whole, mine, certain) for certain in (True, False))))
    return stacked(pairs)


def _minimal(whole: Whole, mine: Mask, certain: bool) -> Family:
    """The minimal sets of those of the batch, one after another."""
    lists, counts = [], []
    for group, one in enumerate(whole.groups):
        owner = whole.made.frames.layout(one.choices).owner
        rows = reduced_rows(whole, group, np.flatnonzero(mine[owner]), certain)
        lists.append(rows)
        counts.append(np.bincount(owner[rows], minlength=len(mine)))
    owners, sets = [], []
    for owner, at in combinations(counts, _AT_ONCE):
        choice = [rows[places] for rows, places in zip(lists, at, strict=True)]
        found = _reduced(owner, completion_sets(whole, choice, certain), len(mine))
        owners.append(found.owner)
        sets.append(found.sets)
    found = _reduced(np.concatenate(owners), np.concatenate(sets), len(mine))
    return found.take(np.flatnonzero(mine))


def _reduced(owner: Ints, sets: Sets, owners: int) -> Family:
    """Each owner's inclusion-minimal sets, fewest rules first."""
    code, words = pd.factorize(sets)
    pairs = pd.unique(owner * max(1, len(words)) + code)
    owner, sets = pairs // max(1, len(words)), words[pairs % max(1, len(words))]
    order = np.lexsort((sets, np.bitwise_count(sets), owner))
    count = np.bincount(owner, minlength=owners).astype(np.int64)
    none: Floats = np.zeros(len(sets))
    return reduce_family(Family(count, sets[order], none, none, np.full(len(sets), -1)), False)


def combinations(
    counts: Sequence[Ints], most: int, owners: Mask | None = None
) -> Iterator[tuple[Ints, list[Ints]]]:
    """Every way (of those owners) to take one entry of each group, owner by owner, the last group
    running fastest, at most so many at once: the owner of each, and group by group its entry's
    place among all. `counts` says, group by group, how many entries each owner has."""
    number = np.prod(counts, axis=0) * (1 if owners is None else owners)
    ends = np.cumsum(number)
    begin = [starts(count) for count in counts]
    for first in range(0, int(ends[-1]) if len(ends) else 0, most):
        last = min(first + most, int(ends[-1]))
        low, high = np.searchsorted(ends, (first, last - 1), side="right").tolist()
        some = np.arange(low, high + 1)
        here = np.minimum(ends[some], last) - np.maximum(ends[some] - number[some], first)
        owner = np.repeat(some, here)
        left = np.arange(first, last) - (ends - number)[owner]
        at: list[Ints] = []
        for count, start in zip(reversed(counts), reversed(begin), strict=True):
            if count.max() > 1:
                left, rest = np.divmod(left, count[owner])
                at.insert(0, start[owner] + rest)
            else:
                at.insert(0, start[owner])
        yield owner, at


def reduced_rows(whole: Whole, group: int, rows: Ints, certain: bool) -> Ints:
    """Of those rows of the group, of any shocks of the batch, the ones that no other of their shock
    makes needless, joint rules considered."""
    pair, shelf = whole.tables[group], shelves(whole, group, rows)
    family = pair.certain if certain else pair.possible
    owner = whole.made.frames.layout(whole.groups[group].choices).owner[rows]
    _, among = np.unique(shelf.among(owner), return_inverse=True)
    kept = reduce_family(_picked(family, rows, among, ~shelf.scarce), True)
    scarce = _picked(family, rows, among, shelf.scarce)
    return np.sort(np.concatenate([kept.row, scarce.row[~_needless(scarce, kept)]]))


def _picked(family: Family, rows: Ints, among: Ints, mine: Mask) -> Family:
    """Those of the rows as members; rows alike in `among` count as one owner's."""
    some = np.flatnonzero(mine)
    some = some[np.argsort(among[some], kind="stable")]
    count = np.bincount(among[some], minlength=int(among.max(initial=-1)) + 1).astype(np.int64)
    at = rows[some]
    return Family(count, family.sets[at], family.price[at], family.mass[at], at)


def _needless(some: Family, best: Family) -> Mask:
    """Members that a member of the same owner's `best` makes needless."""
    rivals = best.count[some.owner]
    mine = np.repeat(np.arange(len(some.sets)), rivals)
    other = np.arange(len(mine)) + np.repeat(best.start[some.owner] - starts(rivals), rivals)
    inside = (best.sets[other] & ~some.sets[mine]) == 0
    inside &= best.price[other] <= some.price[mine]
    inside &= best.mass[other] <= some.mass[mine]
    out = np.zeros(len(some.sets), bool)
    out[mine[inside]] = True
    return out
