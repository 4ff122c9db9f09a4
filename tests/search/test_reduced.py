"""Families reduced, joined and compared, against the plain definitions."""

from itertools import product

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.search.families import (
    FEW,
    Family,
    least_union,
    reduce_family,
)

Member = tuple[int, int, int]
MEMBERS = st.tuples(st.integers(0, 31), st.integers(0, 3), st.integers(0, 2))
OWNERS = st.lists(st.lists(MEMBERS, min_size=1, max_size=2 * FEW), min_size=1, max_size=3)


def family(owners: list[list[Member]]) -> Family:
    every = [one for some in owners for one in some]
    return Family(
        np.array([len(some) for some in owners], np.int64),
        np.array([one[0] for one in every], np.uint64),
        np.array([one[1] for one in every], float), np.array([one[2] for one in every], float),
        np.arange(len(every)),
    )  # fmt: skip


def needless(one: Member, other: Member, earlier: bool, sums: bool) -> bool:
    """Whether `other` makes `one` needless; of equals the earlier does."""
    width = 3 if sums else 1
    inside = other[0] & ~one[0] == 0 and all(
        a <= b for a, b in zip(other[1:width], one[1:width], strict=True)
    )
    return inside and (earlier or other[:width] != one[:width])


@settings(deadline=None)
@given(OWNERS, st.booleans())
def test_reduced_by_comparing_every_pair(owners: list[list[Member]], sums: bool) -> None:
    kept, first = [], 0
    for some in owners:
        kept += [
            first + k for k, one in enumerate(some)
            if not any(needless(one, other, j < k, sums) for j, other in enumerate(some) if j != k)
        ]  # fmt: skip
        first += len(some)
    assert reduce_family(family(owners), sums).row.tolist() == kept


def test_many_sets_none_of_which_holds_another() -> None:
    """924 sets of six rules of twelve: too many to be thinned, and all of them stay."""
    sets = [one for one in range(2**12) if one.bit_count() == 6]
    made = family([[(one, 0, 0) for one in [*sets, *sets[::-1]]], [(1, 0, 0)]])
    assert reduce_family(made, False).row.tolist() == [*range(924), 2 * 924]


@settings(deadline=None)
@given(st.lists(st.lists(st.integers(0, 15), min_size=1, max_size=4), min_size=1, max_size=3))
def test_the_union_of_fewest_rules_is_the_lowest_of_them(factors: list[list[int]]) -> None:
    """Over every choice of one set of each family."""
    unions = []
    for picked in product(*factors):
        union = 0
        for one in picked:
            union |= one
        unions.append(union)
    expected = min(unions, key=lambda one: (one.bit_count(), one))
    made = [family([[(one, 0, 0) for one in some]]) for some in factors]
    assert least_union(made).tolist() == [expected]
