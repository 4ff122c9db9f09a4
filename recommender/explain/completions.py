"""Completions of one shock that break no rule outside a given set, needless ones left out.

What a completion costs is a set of flags (united over its groups), amounts (the greatest counts)
and sums of price and mass. All three are isotone, so an entry whose own costs another's do not
exceed can be left out before groups are put together, within equal values of what joint rules
read.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import reduce

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.families import Sets
from recommender.search.whole import Whole, completion_sets, shelves, wholes

_BATCH = 500_000


@dataclass(frozen=True)
class Costs:
    """Of every row of a group's frame: flags, and amounts as columns."""

    flags: Sets
    amounts: Floats


@dataclass(frozen=True)
class Completions:
    """Some completions of a shock mounted one way: a row of each group's frame, and the costs.

    `sums` has the columns lowest price, highest price, lowest mass, highest mass.
    """

    whole: Whole
    choice: tuple[Ints, ...]
    flags: Sets
    amounts: Floats
    sums: Floats
    shelf: Ints
    """What joint rules read, as a number: only equal ones may replace each other."""

    def __len__(self) -> int:
        return len(self.flags)

    def take(self, rows: Ints) -> "Completions":
        return Completions(
            self.whole, tuple(one[rows] for one in self.choice), self.flags[rows],
            self.amounts[rows], self.sums[rows], self.shelf[rows],
        )  # fmt: skip

    def broken(self, certain: bool) -> Sets:
        """The rules each breaks, sums and joint rules included."""
        return completion_sets(self.whole, list(self.choice), certain)


def ways(market: Market, wishes: Wishes, shock: int) -> list[Whole]:
    """Each way of mounting a shock."""
    return list(wholes(market, wishes, np.array([shock], np.int64)))


def within(whole: Whole, allowed: int, certain: bool, costs: Sequence[Costs]) -> Completions:
    """Completions whose set of (certainly, else possibly) broken rules lies in `allowed`: of those
    with the same or higher costs than another one is enough."""
    parts = [_entries(whole, k, allowed, certain, one) for k, one in enumerate(costs)]
    found = reduce(_joined, parts)
    inside = (found.broken(certain) & ~np.uint64(allowed)) == 0
    return found.take(np.flatnonzero(inside))


def unbeaten(flags: Sets, amounts: Floats) -> Ints:
    """Rows whose flags and amounts no other row's lie within; of equals the first. Those with
    fewest flags and least amounts come first. Cost: rows kept times all rows."""
    order = np.lexsort((*amounts.T[::-1], flags, np.bitwise_count(flags)))
    kept = []
    while len(order):
        best, order = int(order[0]), order[1:]
        kept.append(best)
        inside = (flags[best] & ~flags[order]) == 0
        inside &= (amounts[best] <= amounts[order]).all(axis=1)
        order = order[~inside]
    return np.array(kept, np.int64)


def _entries(whole: Whole, group: int, allowed: int, certain: bool, costs: Costs) -> Completions:
    pair = whole.tables[group]
    family = pair.certain if certain else pair.possible
    rows = whole.rows(group)
    rows = rows[(family.sets[rows] & ~np.uint64(allowed)) == 0]
    sides = (pair.certain.price, pair.possible.price, pair.certain.mass, pair.possible.mass)
    sums = np.stack([one[rows] for one in sides], axis=1)
    shelf = shelves(whole, group, rows)
    found = Completions(whole, (rows,), costs.flags[rows], costs.amounts[rows], sums, shelf.number)
    return _needed(found.take(np.flatnonzero(~_replaced(found, shelf.scarce))))


def _needed(found: Completions) -> Completions:
    """Of every shelf those that no other of it makes needless."""
    columns = np.concatenate([found.amounts, found.sums], axis=1)
    kept = [np.array([], np.int64)]
    for shelf in np.unique(found.shelf).tolist():
        rows = np.flatnonzero(found.shelf == shelf)
        kept.append(rows[unbeaten(found.flags[rows], columns[rows])])
    return found.take(np.sort(np.concatenate(kept)))


def _replaced(found: Completions, scarce: Mask) -> Mask:
    """Scarce ones that one which no joint rule reads makes needless."""
    columns = np.concatenate([found.amounts, found.sums], axis=1)
    free = np.flatnonzero(found.shelf == 0)
    out = np.zeros(len(found), bool)
    for best in free[unbeaten(found.flags[free], columns[free])].tolist():
        inside = (found.flags[best] & ~found.flags) == 0
        out |= scarce & inside & (columns[best] <= columns).all(axis=1)
    return out


def _joined(a: Completions, b: Completions) -> Completions:
    """Every pair put together, needless ones left out; batch by batch, then of all batches."""
    step = max(1, _BATCH // max(1, len(b)))
    made = [
        _needed(_pairs(a, b, np.arange(first, min(first + step, len(a)))))
        for first in range(0, max(1, len(a)), step)
    ]
    found = made[0] if len(made) == 1 else _needed(_stacked(made))
    _, shelf = np.unique(found.shelf, return_inverse=True)
    return replace(found, shelf=shelf.reshape(-1))


def _pairs(a: Completions, b: Completions, some: Ints) -> Completions:
    left = np.repeat(some, len(b))
    right = np.tile(np.arange(len(b)), len(some))
    shelves = int(b.shelf.max(initial=0)) + 1
    return Completions(
        a.whole,
        (*(one[left] for one in a.choice), *(one[right] for one in b.choice)),
        a.flags[left] | b.flags[right],
        np.maximum(a.amounts[left], b.amounts[right]),
        a.sums[left] + b.sums[right],
        a.shelf[left] * shelves + b.shelf[right],
    )


def _stacked(made: list[Completions]) -> Completions:
    choice = zip(*(one.choice for one in made), strict=True)
    return Completions(
        made[0].whole,
        tuple(np.concatenate(rows) for rows in choice),
        np.concatenate([one.flags for one in made]),
        np.concatenate([one.amounts for one in made]),
        np.concatenate([one.sums for one in made]),
        np.concatenate([one.shelf for one in made]),
    )
