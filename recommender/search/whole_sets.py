"""Minimal sets of broken rules over whole completions, where a joint rule can decide.

Entries are reduced only within equal values of what the joint rules read, put together group after
group, and reduced again: of all shocks of a batch together.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.option_table import TABLE_OF
from recommender.search.families import Family, Sets, reduce_family
from recommender.search.frames import starts
from recommender.search.partial import Partial, entries_of, shocks, together, united
from recommender.search.reduction import stacked
from recommender.search.tables import Pair
from recommender.search.whole import Whole, batches, completion_sets, shelves

_AT_ONCE = 1_000_000


def whole_pairs(market: Market, wishes: Wishes, shock: Ints, turned: Mask) -> Pair:
    """For those mounted shocks (sorted) the minimal sets of broken rules over all completions,
    joint rules among them."""
    wanted = set(zip(shock.tolist(), turned.tolist(), strict=True))
    pairs = []
    for whole, *_ in batches(market, wishes, np.unique(shock)):
        mounted = zip(whole.made.shock.tolist(), whole.made.turned.tolist(), strict=True)
        mine = np.array([one in wanted for one in mounted], bool)
        pairs.append(Pair(*(_minimal(whole, mine, certain) for certain in (True, False))))
    return stacked(pairs)


def _minimal(whole: Whole, mine: Mask, certain: bool) -> Family:
    """The minimal sets of those of the batch, one after another."""
    found, (shared, apart) = shocks(whole, mine, certain), _by_tables(whole)
    entries = {group: _entries(whole, group, mine, certain) for group in (*shared, *apart)}
    entries |= {group: entries[group].decided() for group in apart}
    # The most go last: nothing has to be left out once all are together.
    order = [*shared, *sorted(apart, key=lambda group: len(entries[group].owner))]
    for k, group in enumerate(order[:-1], 1):
        rest = [entries[one] for one in order[k:]]
        parts = []
        for _, at in combinations([found.count, entries[group].count], _AT_ONCE):
            both = united(found, entries[group], *at)
            parts.append((both.decided() if k == len(shared) else both).needed(rest))
        found = together(parts)
    owners, sets, last = [], [], entries[order[-1]]
    for owner, at in combinations([found.count, last.count], _AT_ONCE):
        choice = united(found, last, *at).choice
        rows = [choice[group] for group in range(len(whole.groups))]
        some = _reduced(owner, completion_sets(whole, rows, certain), len(mine))
        owners.append(some.owner)
        sets.append(some.sets)
    every = _reduced(np.concatenate(owners), np.concatenate(sets), len(mine))
    return every.take(np.flatnonzero(mine))


def _by_tables(whole: Whole) -> tuple[list[int], list[int]]:
    """The groups that order from a table which another orders from too, and the others."""
    of = [{TABLE_OF.get(name) for name in whole.ordered_choices(group)}
          for group in range(len(whole.groups))]  # fmt: skip
    shared = [k for k, one in enumerate(of) if any(one & other for other in of[:k] + of[k + 1 :])]
    return shared, [k for k in range(len(of)) if k not in shared]


def _entries(whole: Whole, group: int, mine: Mask, certain: bool) -> Partial:
    owner = whole.made.frames.layout(whole.groups[group].choices).owner
    rows = reduced_rows(whole, group, np.flatnonzero(mine[owner]), certain)
    return entries_of(whole, group, rows, certain)


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
