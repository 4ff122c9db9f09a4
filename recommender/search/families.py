"""Families of broken-rule sets, owner by owner, reduced to what can matter.

A member is a 64-bit set with the price and mass that come with it; another member of the same
owner makes it needless if its set is contained and its sums are no greater. Union of sets and sums
are isotone, so reducing before combining loses nothing.
"""

from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np
import numpy.typing as npt

from recommender.catalogue.codes import code_of, code_of_both
from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.search.alike import lists_alike
from recommender.search.frames import starts

Sets = npt.NDArray[np.uint64]
_BATCH = 200_000
FEW, MANY, THINNED = 24, 1000, 0.8
"""Up to FEW members of an owner are compared pair by pair; more are first thinned by the best, as
long as that leaves at most the share THINNED of them, and anyway above MANY."""
_EMPTY = np.uint64(0)


@dataclass(frozen=True)
class Family:
    """Members owner after owner: `count` of each owner, their sets and their sums.

    `row` says which row of the group's frame a member came from (-1: a union of several).
    """

    count: Ints
    sets: Sets
    price: Floats
    mass: Floats
    row: Ints

    @property
    def owner(self) -> Ints:
        return np.repeat(np.arange(len(self.count)), self.count)

    @cached_property
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

    def plain(self) -> "Family":
        """The sets alone: no sums, and nobody asks any more which rows they came from."""
        size = len(self.sets)
        none = np.broadcast_to(0.0, (size,))
        return Family(self.count, self.sets, none, none, np.broadcast_to(-1, (size,)))

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
    summed = [family.price, family.mass] if sums else []
    return family.pick(undominated(family.count, [family.sets], summed), len(family.count))


def undominated(count: Ints, words: list[Sets], sums: list[Floats]) -> Ints:
    """Of members that stand owner after owner, those that no other of their owner makes needless:
    one whose sets, all words of them, are contained and whose sums are no greater. Ties keep the
    first."""
    left = _Left(np.arange(len(words[0])), count, words, [one for one in sums if one.any()])
    kept: Mask = np.zeros(len(words[0]), bool)
    thins = True
    while (most := left.count.max(initial=0)) > FEW and (thins or most > MANY):
        best, fewer = _peel(left)
        kept[best] = True
        thins, left = len(fewer.at) < THINNED * len(left.at), fewer
    kept[left.at[_undominated(left)]] = True
    return np.flatnonzero(kept)


@dataclass(frozen=True)
class _Left:
    """Members yet to be compared: where they stand among all, how many each owner has, their sets
    word by word and the sums that matter."""

    at: Ints
    count: Ints
    words: list[Sets]
    sums: list[Floats]


def _peel(left: _Left) -> tuple[Ints, _Left]:
    """Each owner's best, which nothing left makes needless: fewest rules, then least sums, then
    first. And what is left but the best and all that it makes needless."""
    busy = np.flatnonzero(left.count)
    number = left.count[busy]
    begin = starts(number)
    rules = reduce(np.add, [np.bitwise_count(word) for word in left.words])
    at = np.flatnonzero(rules == np.repeat(np.minimum.reduceat(rules, begin), number))
    mine = np.searchsorted(begin, at, side="right")
    for key in left.sums:
        first, run = _runs(mine)
        least = key[at] == np.repeat(np.minimum.reduceat(key[at], first), run)
        at, mine = at[least], mine[least]
    best = at[_runs(mine)[0]]
    stays: Mask = np.zeros(len(left.at), bool)
    for word in left.words:
        stays |= (np.repeat(word[best], number) & ~word) != 0
    for key in left.sums:
        stays |= np.repeat(key[best], number) > key
    count = np.zeros_like(left.count)
    count[busy] = np.add.reduceat(stays, begin, dtype=np.int64)
    words = [word[stays] for word in left.words]
    return left.at[best], _Left(left.at[stays], count, words, [key[stays] for key in left.sums])


def _runs(sorted_: Ints) -> tuple[Ints, Ints]:
    """Where each run of equal values begins, and its length."""
    begin = np.flatnonzero(np.append(True, sorted_[1:] != sorted_[:-1]))
    return begin, np.diff(np.append(begin, len(sorted_)))


def _undominated(left: _Left) -> Mask:
    """Every pair of an owner's members compared, owners of like size side by side."""
    keep = np.ones(len(left.at), bool)
    start = starts(left.count)
    for size in np.unique(left.count[left.count > 1]).tolist():
        who = np.flatnonzero(left.count == size)
        step = max(1, _BATCH // (size * size))
        for k in range(0, len(who), step):
            at = start[who[k : k + step]] + np.arange(size)[:, None]
            keep[at] = ~_dominated([one[at] for one in left.words], [one[at] for one in left.sums])
    return keep


def _dominated(words: list[Sets], sums: list[Floats]) -> Mask:
    """Members that another of the same column makes needless; the first of equals stays."""
    size = len(words[0])
    inside: Mask = np.ones((size, *words[0].shape), bool)
    for word in words:
        inside &= (word[:, None] & ~word[None, :]) == 0
    for key in sums:
        inside &= key[:, None] <= key[None, :]
    # Of two that are inside each other, which are equals, the later one (or itself) does not count.
    later = np.tri(size, dtype=bool)[:, :, None]
    dominated: Mask = (inside & ~(inside.swapaxes(0, 1) & later)).any(axis=0)
    return dominated


def combine(a: Family, b: Family, sums: bool) -> Family:
    """Every union of one member of each, reduced."""
    return reduce_family(unions(a, b), sums)


def unions(a: Family, b: Family) -> Family:
    """Every union of one member of each, none left out."""
    count = a.count * b.count
    owner = np.repeat(np.arange(len(count)), count)
    local = np.arange(len(owner)) - np.repeat(starts(count), count)
    per = b.count[owner]
    left = a.start[owner] + local // per
    right = b.start[owner] + local % per
    return Family(
        count, a.sets[left] | b.sets[right], a.price[left] + b.price[right],
        a.mass[left] + b.mass[right], np.full(len(owner), -1, np.int64),
    )  # fmt: skip


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
    same: Mask = a.count == b.count
    if a is b:
        return same
    both = np.flatnonzero(same)
    left, right = (_sorted(family.take(both)) for family in (a, b))
    differ = np.repeat(both, a.count[both])[left != right]
    same[differ] = False
    return same


def alike(families: list[Family]) -> Ints:
    """One code for all owners whose sets are the same in every family, sums and order aside."""
    code = np.zeros(len(families[0].count), np.int64)
    for family in families:
        own = lists_alike(family.count, code_of(_sorted(family)))
        code = code_of_both(code, own)
    return code


def _sorted(family: Family) -> Sets:
    if family.count.max(initial=0) <= 1:
        return family.sets
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
