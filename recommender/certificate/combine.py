"""Whether some completion avoids a set of rules, and the least sets that completions break.

Groups of choices meet only in sums and in joint rules. So of a group's entries only those differ
that differ in what the sums and joint rules in question read; of those alike in it the cheapest
are enough, and every combination of what remains is looked at.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.certificate.joint import JOINT, ORDERED
from recommender.certificate.way import Entries, Sets, Way

_BATCH = 200_000
MOST = 200_000_000
"""Combinations looked at, at the very most."""


class TooMany(Exception):
    """There are more combinations to look at than can be."""


def avoids(way: Way, bits: int, certain: bool) -> bool:
    """Whether a completion breaks none of those rules, for certain or (else) possibly."""
    side = 0 if certain else 1
    left = [
        np.flatnonzero((group.broken[side] & np.uint64(bits)) == 0) for group in way.entries
    ]
    if not all(len(rows) for rows in left):
        return False
    if not bits & _coupling(way):
        return True
    lists = [
        _unlike(way, group, rows, bits, certain)
        for group, rows in zip(way.entries, left, strict=True)
    ]
    return any(
        bool(((way.sets(choice, certain) & np.uint64(bits)) == 0).any())
        for choice in _product(lists)
    )


def least_broken(way: Way, certain: bool) -> list[int]:
    """The minimal sets of rules that completions break, over all completions."""
    side = 0 if certain else 1
    lists = [
        _unlike(way, group, np.arange(len(group)), way.book.every, certain, group.broken[side])
        for group in way.entries
    ]
    found = [np.unique(way.sets(choice, certain)) for choice in _product(lists)]
    left = sorted(
        {int(one) for one in np.concatenate(found)}, key=lambda one: (one.bit_count(), one)
    )
    kept: list[int] = []
    for one in left:
        if all(other & ~one for other in kept):
            kept.append(one)
    return kept


def _coupling(way: Way) -> int:
    bits = sum(bit for _, bit, _ in way.limits())
    return bits | way.book.mask(JOINT)


def _unlike(
    way: Way, group: Entries, rows: Ints, bits: int, certain: bool, sets: Sets | None = None
) -> Ints:
    """Of entries alike in what those rules read (and in their own sets, where given) the ones that
    none undercuts."""
    side = 0 if certain else 1
    joint = [rule for rule in JOINT if bits >> way.book.number[rule] & 1]
    read: list[Floats] = [np.zeros((len(rows), 1))]
    for name in ORDERED:
        if name in group.choices:
            at = way.options[name].row[group.at[name][rows]]
            read.append(way.shelves.read_by(joint, name, at, certain))
    _, kind = np.unique(np.concatenate(read, axis=1), axis=0, return_inverse=True)
    if sets is not None:
        _, own = np.unique(sets[rows], return_inverse=True)
        kind = kind.ravel() * (int(own.max()) + 1) + own.ravel()
    sums = [group.sums[what][side][rows] for what, bit, _ in way.limits() if bit & bits]
    order = np.lexsort((*sums[::-1], kind.ravel()))
    return rows[_undercut_by_none(kind.ravel()[order], [one[order] for one in sums], order)]


def _undercut_by_none(kind: Ints, sums: list[Floats], order: Ints) -> Ints:
    """Of each kind, sorted by its sums, the places that no other undercuts in all of them; of at
    most two sums the second alone need be looked at."""
    kept = []
    for first in np.flatnonzero(np.append(True, kind[1:] != kind[:-1])).tolist():
        stop = int(np.searchsorted(kind, kind[first], side="right"))
        if len(sums) < 2:
            kept.append(first)
            continue
        least = np.minimum.accumulate(sums[1][first:stop])
        fresh = np.append(True, sums[1][first + 1 : stop] < least[:-1])
        kept += (first + np.flatnonzero(fresh)).tolist()
    return order[np.array(kept, np.int64)]


def _product(lists: Sequence[Ints]) -> Iterator[list[Ints]]:
    for index in product_of([len(rows) for rows in lists]):
        yield [rows[at] for rows, at in zip(lists, index, strict=True)]


def product_of(shape: Sequence[int]) -> Iterator[tuple[Ints, ...]]:
    """Every combination of one place in each list of those lengths, batch by batch. TooMany where
    they are more than MOST."""
    size = 1
    for one in shape:
        size *= one
    if size > MOST:
        raise TooMany(f"{size} combinations are more than the {MOST} that can be looked at")
    for first in range(0, size, _BATCH):
        yield np.unravel_index(np.arange(first, min(first + _BATCH, size)), shape)
