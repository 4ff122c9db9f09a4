"""The whole question: which wishes clash, which to give up, and what giving one up would add.

Only completions that break nothing but wishes count: a limit or a part nobody offers is not the
rider's to give up.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.explain.corrections import weight, wish_mask
from recommender.explain.hitting import MOST, hitting_sets
from recommender.explain.sets import minimal
from recommender.search.families import Family, Sets, combine
from recommender.search.verdicts import Part, Verdicts


@dataclass(frozen=True)
class GiveUp:
    """Wishes given up together, and the shocks that are let in by it (rows of the market)."""

    wishes: tuple[str, ...]
    shocks: tuple[int, ...]

    @property
    def gain(self) -> int:
        """How many shocks it lets in."""
        return len(self.shocks)

    @property
    def key(self) -> tuple[int, int, int, tuple[str, ...]]:
        """By how much is given up, then by what is gained, then weight and names."""
        return len(self.wishes), -self.gain, weight(self.wishes), self.wishes


@dataclass(frozen=True)
class Clashes:
    """Of a whole question: `sure` says whether shocks must fit whatever is measured, or only not
    be ruled out.

    `met`: some shock meets all wishes; then `give_up` holds, for each least set of wishes that
    keeps some shock out, what it would add. Otherwise `clash` holds every least set of wishes that
    no shock meets together (`truncated`: and more of them), and `give_up` every least set that
    must go for any shock to be let in: none where limits alone turn everything down, and then the
    empty clash stands for them.
    """

    sure: bool
    met: bool
    clash: tuple[tuple[str, ...], ...]
    give_up: tuple[GiveUp, ...]
    truncated: bool


def clashes(verdicts: Verdicts, sure: bool, most: int = MOST) -> Clashes:
    """Clashing wishes and what to give up, over all shocks judged."""
    shock, sets = _wish_sets(verdicts, sure)
    names = verdicts.rules.names
    inside = np.unique(shock[sets == 0])
    outside = ~np.isin(shock, inside)
    wanted = [int(one) for one in np.unique(sets[outside])]
    if not len(inside):
        wanted = minimal(wanted)
    give_up = sorted(
        (GiveUp(names(one), _let_in(shock[outside], sets[outside], one)) for one in wanted),
        key=lambda one: one.key,
    )
    found, truncated = ([], False) if len(inside) else hitting_sets(wanted, most)
    clash = sorted((names(one) for one in found), key=lambda one: (len(one), weight(one), one))
    return Clashes(sure, bool(len(inside)), tuple(clash), tuple(give_up), truncated)


def _let_in(shock: Ints, sets: Sets, given: int) -> tuple[int, ...]:
    """Shocks one of whose sets lies within what is given up."""
    within = (sets & ~np.uint64(given)) == 0
    return tuple(int(one) for one in np.unique(shock[within]))


def _wish_sets(verdicts: Verdicts, sure: bool) -> tuple[Ints, Sets]:
    """Each shock's least sets of wishes with which nothing else is broken: shock and set, pair by
    pair."""
    wishes = np.uint64(wish_mask(verdicts.rules))
    shocks, sets = [np.array([], np.int64)], [np.array([], np.uint64)]
    for part in verdicts.parts:
        for owner, one in _of_part(part, wishes, sure):
            shocks.append(part.shock[owner])
            sets.append(one)
    return np.concatenate(shocks), np.concatenate(sets)


def _of_part(part: Part, wishes: np.uint64, sure: bool) -> Iterator[tuple[Ints, Sets]]:
    families = [pair.possible if sure else pair.certain for pair in part.factors]
    kept = [_only(family, wishes) for family in families]
    alive = np.flatnonzero(np.logical_and.reduce([family.count > 0 for family in kept]))
    if not len(alive):
        return
    # A family holds minimal sets, so the sets of wishes alone are among its own.
    union = reduce(lambda a, b: combine(a, b, False), [family.take(alive) for family in kept])
    yield alive[union.owner], union.sets


def _only(family: Family, wishes: np.uint64) -> Family:
    return family.pick(np.flatnonzero((family.sets & ~wishes) == 0), len(family.count))
