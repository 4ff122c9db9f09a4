"""What is in doubt about an open shock, way of mounting by way of mounting; and about many."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.explain.part_values import Cell
from recommender.search.families import Sets
from recommender.search.frames import starts


@dataclass
class Doubt:
    """An open shock, way of mounting by way of mounting.

    `sets`: group by group what entries that may do may break, each set once. `possible`: what a
    completion that may do may break; `failing`: cells of its parts that no other completion was
    found to do without, and that two rules in doubt read, with the choices that take the part; by
    whether it is mounted end for end. `entries`: how many entries with a part may break rules that
    read that cell alone.
    """

    sets: list[list[Sets]] = field(default_factory=list)
    possible: list[int] = field(default_factory=list)
    failing: dict[bool, dict[Cell, list[str]]] = field(default_factory=dict)
    entries: Counter[Cell] = field(default_factory=Counter)


@dataclass(frozen=True)
class Together:
    """The doubts about many shocks, laid end to end: every set of every group of every way of
    mounting, with the first of each group and of each way, and the place of each way's shock; what
    completions that may do may break, with the place of their shocks."""

    shocks: int
    sets: Sets
    groups: Ints
    ways: Ints
    shock: Ints
    possible: Sets
    completed: Ints

    @classmethod
    def of(cls, doubts: Sequence[Doubt]) -> "Together":
        ways = [(k, way) for k, one in enumerate(doubts) for way in one.sets]
        groups = [sets for _, way in ways for sets in way]
        done = [(k, bits) for k, one in enumerate(doubts) for bits in one.possible]
        return cls(
            len(doubts),
            np.concatenate([np.array([], np.uint64), *groups]),
            starts(np.array([len(sets) for sets in groups], np.int64)),
            starts(np.array([len(way) for _, way in ways], np.int64)),
            np.array([k for k, _ in ways], np.int64),
            np.array([bits for _, bits in done], np.uint64),
            np.array([k for k, _ in done], np.int64),
        )

    def may_fit(self, bits: np.uint64) -> Mask:
        """Shocks that may fit with nothing known better than what those rules read: mounted some
        way every group has an entry that may break them alone."""
        out = np.zeros(self.shocks, bool)
        if len(self.sets):
            groups = np.logical_or.reduceat((self.sets & ~bits) == 0, self.groups)
            ways = np.logical_and.reduceat(groups, self.ways)
            out[self.shock[ways]] = True
        return out

    def may_fail(self, bits: np.uint64, least: int) -> Mask:
        """Shocks that at least so many of those rules may rule out, whatever is chosen."""
        out = np.ones(self.shocks, bool)
        out[self.completed[np.bitwise_count(self.possible & bits) < least]] = False
        return out
