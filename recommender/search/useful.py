"""The entries of a group that no other makes needless, of one shock or of a whole batch at once.

An entry is needless where another is the same or better in points, price, mass, days and work, and
in every end of what a limit is set on, and joint rules see the two alike. So each shock's best
bundle, and its cheapest, are made of entries that are useful.
"""

from collections.abc import Callable

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.search.whole import Whole, shelves


def useful(
    whole: Whole, group: int, rows: Ints, worth: Callable[[Ints], Floats], sure: bool
) -> Ints:
    """The useful ones of those rows of the group, ascending; they may be any shocks' of the batch.

    `worth` gives a matrix: one row per row asked for, one column per thing to have more of. `sure`
    asks for entries that break nothing whatever is measured, else for some value.
    """
    pair = whole.tables[group]
    family = pair.possible if sure else pair.certain
    rows = rows[family.sets[rows] == 0]
    shelf = shelves(whole, group, rows)
    owner = whole.made.frames.layout(whole.groups[group].choices).owner[rows]
    return rows[uncovered(shelf.among(owner), ~shelf.scarce, worth(rows))]


def uncovered(among: Ints, stands: Mask, worth: Floats) -> Mask:
    """Rows that no other with the same number in `among` equals or betters in everything, of twins
    the first; only those that `stands` marks may stand for others.

    Round by round the best left of each number, first thing first, puts the rows it covers aside.
    """
    order = np.lexsort((*(-worth.T[::-1]), ~stands, among))
    among, stands, columns = among[order], stands[order], [one[order] for one in worth.T]
    keep = np.zeros(len(order), bool)
    left = np.arange(len(order))
    while len(left):
        begins = np.flatnonzero(np.append(True, among[left[1:]] != among[left[:-1]]))
        best = np.repeat(left[begins], np.diff(np.append(begins, len(left))))
        decides = stands[best]
        covered = np.ones(len(left), bool)
        for one in columns:
            covered &= one[best] >= one[left]
        covered[begins] = True
        # Where none that may stand for others is left, all that are stay.
        keep[left[~decides]] = keep[left[begins]] = True
        left = left[decides & ~covered]
    out = np.zeros(len(order), bool)
    out[order] = keep
    return out
