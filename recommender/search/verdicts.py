"""The verdict on every shock, with the families of broken-rule sets behind it."""

from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.search.families import Sets, least_union
from recommender.search.groups import Rules
from recommender.search.tables import Pair, Shared

FITS, OPEN, RULED_OUT = 0, 1, 2
STATES = ("fits", "open", "ruled out")


@dataclass(frozen=True)
class Part:
    """Some shocks as mounted whose families are the unions of the same independent factors."""

    shock: Ints
    turned: Mask
    shared: tuple[Shared, ...]

    @property
    def factors(self) -> tuple[Pair, ...]:
        """Each factor's families, shock by shock; spread out anew whenever asked for."""
        return tuple(one.each() for one in self.shared)

    @cached_property
    def fits(self) -> Mask:
        """Some completion breaks nothing whatever is measured."""
        empty = [one.pair.possible.has_empty()[one.index] for one in self.shared]
        return _all(empty, len(self.shock))

    @cached_property
    def not_ruled_out(self) -> Mask:
        """Some completion breaks nothing for some value of what is loose."""
        empty = [one.pair.certain.has_empty()[one.index] for one in self.shared]
        return _all(empty, len(self.shock))

    def fewest(self, possible: bool) -> Sets:
        """Each owner's smallest union of sets, one of every factor."""
        return least_union([p.possible if possible else p.certain for p in self.factors])

    def always(self) -> Sets:
        """The rules that each shock as mounted breaks for certain whatever is chosen."""
        out = np.zeros(len(self.shock), np.uint64)
        for one in self.shared:
            family = one.pair.certain
            out |= np.bitwise_and.reduceat(family.sets, family.start)[one.index]
        return out

    def of(self, row: int) -> list[tuple[list[int], list[int]]]:
        """One shock's factors: its (certain, possible) families of sets."""
        return [
            (one.pair.certain.of(int(one.index[row])), one.pair.possible.of(int(one.index[row])))
            for one in self.shared
        ]


@dataclass(frozen=True)
class Verdicts:
    """States of all shocks, in the market's order, and the parts that hold their families."""

    rules: Rules
    state: np.ndarray
    broken: Sets
    doubtful: Sets
    parts: tuple[Part, ...]

    @cached_property
    def _place(self) -> tuple[Ints, Ints, Ints]:
        """Sorted by shock: each shock as mounted, its part, and its row there."""
        shock = np.concatenate([part.shock for part in self.parts])
        sizes = [len(part.shock) for part in self.parts]
        part = np.repeat(np.arange(len(sizes)), sizes)
        row = np.concatenate([np.arange(size) for size in sizes])
        order = np.argsort(shock, kind="stable")
        return shock[order], part[order], row[order]

    def factors(self, shock: int) -> list[list[tuple[list[int], list[int]]]]:
        """For each way of mounting a shock, its factors' (certain, possible) families of sets."""
        shocks, part, row = self._place
        first, last = np.searchsorted(shocks, (shock, shock + 1)).tolist()
        return [self.parts[int(part[k])].of(int(row[k])) for k in range(first, last)]

    @cached_property
    def always(self) -> Sets:
        """The rules that each shock breaks for certain however it is mounted, whatever is chosen:
        part of every account of it."""
        out = np.full(len(self.state), ~np.uint64(0))
        for part in self.parts:
            np.bitwise_and.at(out, part.shock, part.always())
        return out

    def count(self, state: int) -> int:
        return int((self.state == state).sum())


def _all(flags: list[Mask], size: int) -> Mask:
    return reduce(np.logical_and, flags, np.ones(size, bool))
