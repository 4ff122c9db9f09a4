"""The bundles of one shock: its completions that break nothing, enumerated by python-constraint.

Entries that another makes needless (same or better in points, price, mass, days and work, and in
every end of what a limit is set on) are left out within equal values of what the joint rules read,
so the best bundle is always among them.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from constraint import Problem

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.search.joint import joint_sets
from recommender.search.whole import Whole, completion_sets, joint_classes

_BATCH = 250_000


@dataclass(frozen=True)
class Bundle:
    """A completion: a row of each group's frame. `sure`: it breaks nothing whatever is measured;
    `doubtful`: the set of rules it may break, by what is not exactly known."""

    whole: Whole
    choice: tuple[int, ...]
    sure: bool
    doubtful: int

    def option(self, name: str) -> int:
        """Row of the option table that it chooses (strokes: of the market's strokes)."""
        for group, rows in enumerate(self.choice):
            if name in self.whole.groups[group].choices:
                return int(self.whole.option(group, np.array([rows]), name)[0])
        raise KeyError(name)

    @property
    def broken(self) -> int:
        """The set of rules it breaks for certain."""
        choice = [np.array([row]) for row in self.choice]
        return int(completion_sets(self.whole, choice, certain=True)[0])


def bundles(whole: Whole, worth: "list[Floats]", sure: bool) -> list[Bundle]:
    """Every bundle whose entries are not needless, in a fixed order.

    `worth` holds for each group a matrix, one row per row of its frame and one column per thing to
    be had more of. `sure` asks for bundles that break nothing whatever is measured; otherwise
    those are meant that break nothing for some value of what is loose.
    """
    lists = [
        _useful(whole, group, worth[group], sure).tolist() for group in range(len(whole.groups))
    ]
    if not all(lists):
        return []
    problem = Problem()
    names = list(range(len(lists)))
    for name, rows in zip(names, lists, strict=True):
        problem.addVariable(name, rows)
    for check in (*_sums(whole, sure), *_joint(whole, lists, sure)):
        problem.addConstraint(check, names)
    found = sorted(tuple(one[name] for name in names) for one in problem.getSolutions())
    if not found:
        return []
    sets = completion_sets(whole, list(np.array(found).T), certain=False).tolist()
    return [
        Bundle(whole, choice, sure, doubtful)
        for choice, doubtful in zip(found, sets, strict=True)
    ]


def _useful(whole: Whole, group: int, worth: Floats, sure: bool) -> Ints:
    pair = whole.tables[group]
    family = pair.possible if sure else pair.certain
    rows = whole.rows(group)
    out = [rows[:0]]
    for untouched, scarce in joint_classes(whole, group, rows[family.sets[rows] == 0]):
        best = untouched[_undominated(worth[untouched])]
        covered = (worth[best][:, None, :] >= worth[scarce][None, :, :]).all(axis=2).any(axis=0)
        out += [best, scarce[~covered]]
    return np.sort(np.concatenate(out))


def _undominated(worth: Floats) -> Mask:
    """Rows that no other row equals or betters in everything; of twins the first."""
    size = len(worth)
    keep = np.ones(size, bool)
    for k in range(size):
        if not keep[k]:
            continue
        no_better = (worth[k] >= worth).all(axis=1)
        twins = no_better & (worth == worth[k]).all(axis=1)
        keep &= ~no_better | (twins & (np.arange(size) < k))
        keep[k] = True
    return keep


def _sums(whole: Whole, sure: bool) -> list[Callable[..., bool]]:
    checks = []
    for couples, _, limit in whole.limits():
        columns = [
            getattr(pair.possible if sure else pair.certain, couples) for pair in whole.tables
        ]

        def within(*choice: int, columns: list[Floats] = columns, limit: float = limit) -> bool:
            return bool(
                sum(float(one[row]) for one, row in zip(columns, choice, strict=True)) <= limit
            )

        checks.append(within)
    return checks


def _joint(whole: Whole, lists: list[list[int]], sure: bool) -> list[Callable[..., bool]]:
    """Joint rules as one check; combinations are looked at all together, a batch at a time."""
    side = 1 if sure else 0
    shape = tuple(len(rows) for rows in lists)
    size = int(np.prod(shape))
    met = np.ones(size, bool)
    for first in range(0, size, _BATCH):
        at = np.unravel_index(np.arange(first, min(first + _BATCH, size)), shape)
        pieces = whole.pieces([np.array(rows)[k] for rows, k in zip(lists, at, strict=True)])
        for broken in joint_sets(pieces, whole.order.minimum).values():
            met[first : first + _BATCH] &= ~broken[side]
    allowed = met.reshape(shape)
    place = [{row: k for k, row in enumerate(rows)} for rows in lists]

    def meets(*choice: int) -> bool:
        return bool(allowed[tuple(where[row] for where, row in zip(place, choice, strict=True))])

    return [] if met.all() else [meets]
