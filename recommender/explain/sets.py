"""Families of sets as lists of integers, one bit a member."""

from collections.abc import Iterable
from functools import reduce

import numpy as np

from recommender.search.families import minimal_sets

Family = list[int]
_FEW = 64


def minimal(family: Iterable[int]) -> Family:
    """The inclusion-minimal sets, fewest members first, then by number."""
    left = sorted(set(family), key=lambda one: (one.bit_count(), one))
    if len(left) < 2:
        return left
    if len(left) > _FEW and max(left).bit_length() <= 64:
        return [int(one) for one in minimal_sets(np.array(left, np.uint64))]
    kept: Family = []
    for one in left:
        if all(other & ~one for other in kept):
            kept.append(one)
    return kept


def unions(a: Family, b: Family) -> Family:
    """The minimal unions of a set of one family with a set of the other."""
    return minimal(x | y for x in a for y in b)


def product(factors: Iterable[Family]) -> Family:
    """The minimal unions of one set of every factor; of no factor: the empty set."""
    # Of most factors nothing is to be chosen: what all of those hold is in every union.
    always, some = 0, []
    for factor in factors:
        if len(factor) == 1:
            always |= factor[0]
        else:
            some.append(factor)
    if not some:
        return [always]
    return minimal(always | one for one in reduce(unions, some[1:], minimal(some[0])))


def members(one: int) -> list[int]:
    """The set's members as one-bit sets, lowest first."""
    out = []
    while one:
        out.append(one & -one)
        one &= one - 1
    return out
