"""Families of broken-rule sets, owner by owner, reduced to what can matter.

A member is a 64-bit set with the price and mass that come with it; another member of the same
owner makes it needless if its set is contained and its sums are no greater. Union of sets and sums
are isotone, so reducing before combining loses nothing.
"""

from dataclasses import dataclass
from functools import reduce

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.search.frames import starts

Sets = npt.NDArray[np.uint64]
_BATCH = 4_000_000
_EMPTY = np.uint64(0)


@dataclass(frozen=True)
class Family:
    """Members owner after owner: `count` of each owner, their sets and their sums.

    `row` says which row of the group's frame a member came from (-1 where it is a union of several).
    """

    count: Ints
    sets: Sets
    price: Floats
    mass: Floats
    row: Ints

    @property
    def owner(self) -> Ints:
        return np.repeat(np.arange(len(self.count)), self.count)

    @property
    def start(self) -> Ints:
        return starts(self.count)

    def pick(self, members: Ints, owners: int) -> "Family":
        """Only those members (sorted by owner)."""
        count = np.bincount(self.owner[members], minlength=owners).astype(np.int64)
        return Family(
            count, self.sets[members], self.price[members], self.mass[members], self.row[members]
        )

    def take(self, owners: Ints) -> "Family":
        """The families of those owners, repeated or reordered at will."""
        count = self.count[owners]
        at = np.arange(int(count.sum())) + np.repeat(self.start[owners] - starts(count), count)
        return Family(count, self.sets[at], self.price[at], self.mass[at], self.row[at])

    def has_empty(self) -> Mask:
        """Owners with a member that breaks nothing."""
        out = np.zeros(len(self.count), bool)
        out[self.owner[self.sets == _EMPTY]] = True
        return out

    def of(self, owner: int) -> list[int]:
        """The owner's sets as plain integers, sorted."""
        first = int(self.start[owner])
        return sorted({int(s) for s in self.sets[first : first + int(self.count[owner])]})


def reduce_family(family: Family, sums: bool) -> Family:
    """The members that no other makes needless; ties keep the first. With `sums` off prices and
    masses are no concern and only inclusion-minimal sets remain."""
    kept = _drop_covered_by_best(family, sums)
    kept = _drop_twins(kept, sums)
    return _drop_dominated(kept, sums)


def _drop_covered_by_best(family: Family, sums: bool) -> Family:
    """Cheap first pass: each owner's member with the core set and least sums covers the rest."""
    owners = len(family.count)
    if not len(family.sets):
        return family
    start = family.start
    core = np.bitwise_and.reduceat(family.sets, start)
    owner = family.owner
    at_core = family.sets == core[owner]
    if not sums:
        first = _first_true(at_core, owner, owners)
        settled = first >= 0
        keep = ~settled[owner]
        keep[first[settled]] = True
        return family.pick(np.flatnonzero(keep), owners)
    price = np.where(at_core, family.price, np.inf)
    least = np.minimum.reduceat(price, start)
    best = at_core & (family.price == least[owner])
    mass = np.minimum.reduceat(np.where(best, family.mass, np.inf), start)
    best &= family.mass == mass[owner]
    first = _first_true(best, owner, owners)
    covered = (family.price >= least[owner]) & (family.mass >= mass[owner]) & (first >= 0)[owner]
    keep = ~covered
    keep[first[first >= 0]] = True
    return family.pick(np.flatnonzero(keep), owners)


def _first_true(flag: Mask, owner: Ints, owners: int) -> Ints:
    """Index of each owner's first flagged member, -1 for none."""
    out = np.full(owners, -1, np.int64)
    at = np.flatnonzero(flag)[::-1]
    out[owner[at]] = at
    return out


def _drop_twins(family: Family, sums: bool) -> Family:
    """One member per equal set (and, with sums, equal or greater sums)."""
    owner = family.owner
    busy = family.count[owner] > 1
    if not busy.any():
        return family
    at = np.flatnonzero(busy)
    keys = (at, family.mass[at], family.price[at], family.sets[at], owner[at]) if sums else (
        at, family.sets[at], owner[at])  # fmt: skip
    at = at[np.lexsort(keys)]
    same = (owner[at[1:]] == owner[at[:-1]]) & (family.sets[at[1:]] == family.sets[at[:-1]])
    if sums:
        same &= family.mass[at[1:]] >= family.mass[at[:-1]]
    keep = np.ones(len(family.sets), bool)
    keep[at[1:][same]] = False
    return family.pick(np.flatnonzero(keep), len(family.count))


def _drop_dominated(family: Family, sums: bool) -> Family:
    """Every pair of an owner's members compared, owners of like size side by side."""
    owners = len(family.count)
    keep = np.ones(len(family.sets), bool)
    start = family.start
    for size in np.unique(family.count[family.count > 1]).tolist():
        who = np.flatnonzero(family.count == size)
        step = max(1, _BATCH // (size * size))
        for k in range(0, len(who), step):
            at = start[who[k : k + step]][:, None] + np.arange(size)
            keep[at] = ~_dominated(family, at, sums)
    return family.pick(np.flatnonzero(keep), owners)


def _dominated(family: Family, at: Ints, sums: bool) -> Mask:
    sets = family.sets[at]
    inside = (sets[:, :, None] & ~sets[:, None, :]) == 0
    equal = sets[:, :, None] == sets[:, None, :]
    if sums:
        price, mass = family.price[at], family.mass[at]
        inside &= price[:, :, None] <= price[:, None, :]
        inside &= mass[:, :, None] <= mass[:, None, :]
        equal &= (price[:, :, None] == price[:, None, :]) & (mass[:, :, None] == mass[:, None, :])
    size = at.shape[1]
    earlier = np.arange(size)[:, None] < np.arange(size)[None, :]
    inside &= ~equal | earlier
    return inside.any(axis=1)


def combine(a: Family, b: Family, sums: bool) -> Family:
    """Every union of one member of each, reduced."""
    count = a.count * b.count
    owner = np.repeat(np.arange(len(count)), count)
    local = np.arange(len(owner)) - np.repeat(starts(count), count)
    per = b.count[owner]
    left = a.start[owner] + local // per
    right = b.start[owner] + local % per
    family = Family(
        count, a.sets[left] | b.sets[right], a.price[left] + b.price[right],
        a.mass[left] + b.mass[right], np.full(len(owner), -1, np.int64),
    )  # fmt: skip
    return reduce_family(family, sums)


def merge(family: Family, into: Ints, owners: int) -> Family:
    """Owners that are variants of one thing joined: `into` names the thing of each owner."""
    what = np.repeat(into, family.count)
    order = np.argsort(what, kind="stable")
    count = np.bincount(what, minlength=owners).astype(np.int64)
    return Family(
        count, family.sets[order], family.price[order], family.mass[order], family.row[order]
    )


def same_sets(a: Family, b: Family) -> Mask:
    """Owners whose sets are the same in both families, sums and order aside."""
    same = a.count == b.count
    if a is b:
        return same
    both = np.flatnonzero(same)
    left, right = (_sorted(family.take(both)) for family in (a, b))
    differ = np.repeat(both, a.count[both])[left != right]
    same[differ] = False
    return same


def _sorted(family: Family) -> Sets:
    return family.sets[np.lexsort((family.sets, family.owner))]


def minimal_sets(sets: Sets) -> Sets:
    """The inclusion-minimal ones, fewest rules first, then by number. Cost: kept times all."""
    left = np.unique(sets)
    left = left[np.lexsort((left, np.bitwise_count(left)))]
    kept = []
    while len(left):
        kept.append(left[0])
        left = left[(left[0] & ~left) != 0]
    return np.array(kept, np.uint64)


def least_union(families: list[Family]) -> Sets:
    """Each owner's union of one set of every family that holds the fewest rules; the lowest number
    on a tie. A bit that several families hold (one rule on every part) counts once, so every
    choice of such bits is tried."""
    seen = shared = 0
    for family in families:
        bits = int(np.bitwise_or.reduce(family.sets, initial=_EMPTY))
        seen, shared = seen | bits, shared | (seen & bits)
    best = np.full(len(families[0].count), ~_EMPTY)
    free = shared
    while True:
        union = reduce(np.bitwise_or, [_smallest(family, np.uint64(free)) for family in families])
        fewer = np.bitwise_count(union).astype(int) - np.bitwise_count(best)
        best = np.where((fewer < 0) | ((fewer == 0) & (union < best)), union, best)
        if not free:
            return best
        free = (free - 1) & shared


def _smallest(family: Family, free: np.uint64) -> Sets:
    """Of each owner's sets the one with fewest rules besides the free ones; then the lowest."""
    number = np.bitwise_count(family.sets & ~free)
    order = np.lexsort((family.sets, number, family.owner))
    return family.sets[order[family.start]]
