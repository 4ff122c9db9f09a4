"""The bundles of one shock: its completions that break nothing, enumerated by python-constraint."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from constraint import Problem

from recommender.catalogue.columns import Floats, Ints
from recommender.search.joint import joint_sets
from recommender.search.whole import Whole, completion_sets

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


def bundles(whole: Whole, useful: Sequence[Ints], sure: bool) -> list[Bundle]:
    """Every bundle of those entries (`search.useful`), group by group, in a fixed order.

    `sure` asks for bundles that break nothing whatever is measured; otherwise those are meant that
    break nothing for some value of what is loose.
    """
    lists = [rows.tolist() for rows in useful]
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
