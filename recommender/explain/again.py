"""Shocks judged again and again with one fact known better. Cells of the shocks' own columns are
all judged in one go; of a single shock, rules that do not read the fact are looked at once."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.explain.completions import Costs, ways, within
from recommender.explain.narrowing import known_apart, narrowed, one_of_each
from recommender.explain.unknowns import Live, Piece, Unknown, counts, readers
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.groups import Group, Rules
from recommender.search.joint import order_of
from recommender.search.judging import KitTables, judge
from recommender.search.owners import Owners, owners, with_kits
from recommender.search.tables import Pair, entries
from recommender.search.verdicts import FITS, OPEN, RULED_OUT
from recommender.search.whole import Whole

_FEW, _KEPT, _AT_ONCE = 8, 32, 65_536
"""Up to so many shocks are looked at one by one: more of them are quicker judged in one go. Of so
many the tables are kept. And so many cells are judged together."""


class Again:
    """The verdicts of `judge` on a market with one fact narrowed; tables are kept between looks."""

    def __init__(self, market: Market, wishes: Wishes, live: Live) -> None:
        self._market, self._wishes, self._live = market, wishes, live
        self._kept: dict[int, list[Whole]] = {}
        self._kits: KitTables = {}

    def states(self, unknown: Unknown, piece: Piece, shocks: Ints) -> np.ndarray:
        """State of each of those shocks where the fact lies in that piece."""
        if unknown.place == "shocks":
            which = np.zeros(len(shocks), np.int64)
            low, high = (np.full(len(shocks), at) for at in piece)
            return self.cells((unknown,), which, shocks, low, high)
        market = narrowed(self._market, unknown, piece)
        if len(shocks) > _FEW:
            return judge(market, self._wishes, shocks).state[shocks]
        states = [self._state(market, unknown, shock) for shock in shocks.tolist()]
        return np.array(states, np.int8)

    def cells(
        self, columns: Sequence[Unknown], which: Ints, shocks: Ints, low: Floats, high: Floats
    ) -> np.ndarray:
        """State of each of those shocks where its cell in the column named beside it (`which` of
        `columns`) lies between those fractions of what it may be. A shock may stand several times.
        """
        states = np.empty(len(shocks), np.int8)
        names = [one.fact for one in columns]
        for at in one_of_each(self._market, shocks, _AT_ONCE):
            market = known_apart(self._market, names, which[at], shocks[at], low[at], high[at])
            states[at] = judge(market, self._wishes, kits=self._kits).state
        return states

    def _state(self, market: Market, unknown: Unknown, shock: int) -> int:
        known = self.ways(shock)
        made = with_kits(market, owners(market, np.array([shock])))
        bits = {rule.bit for rule, _ in readers(unknown, self._live)}
        tables = tuple(
            renewed(made, group, pair, known[0].rules, bits)
            for group, pair in zip(known[0].groups, known[0].tables, strict=True)
        )
        order = order_of(market) if counts(unknown) else known[0].order
        state = RULED_OUT
        for way in known:
            whole = replace(way, market=market, made=made, tables=tables, order=order)
            if _fits(whole, certain=False):
                return FITS
            if state != OPEN and _fits(whole, certain=True):
                state = OPEN
        return state

    def ways(self, shock: int) -> list[Whole]:
        """Each way of mounting a shock, with everything that is known as it is."""
        if shock not in self._kept:
            if len(self._kept) >= _KEPT:
                del self._kept[next(iter(self._kept))]
            self._kept[shock] = ways(self._market, self._wishes, shock)
        return self._kept[shock]


def renewed(made: Owners, group: Group, pair: Pair, rules: Rules, bits: set[str]) -> Pair:
    """The group's entries with those bits looked at again, and with their sums."""
    some = tuple(rule for rule in group.rules if rule.bit in bits)
    fresh = entries(made.frames, Group(group.choices, some), rules)
    kept = ~np.uint64(sum({rules.bit(rule) for rule in some}))
    return Pair(
        replace(fresh.certain, sets=fresh.certain.sets | (pair.certain.sets & kept)),
        replace(fresh.possible, sets=fresh.possible.sets | (pair.possible.sets & kept)),
    )


def _fits(whole: Whole, certain: bool) -> bool:
    """Whether some completion breaks nothing, certainly or possibly."""
    families = [pair.certain if certain else pair.possible for pair in whole.tables]
    for group, family in enumerate(families):
        if not (family.sets[whole.rows(group)] == 0).any():
            return False
    costs = [Costs(family.sets, np.zeros((len(family.sets), 0))) for family in families]
    return len(within(whole, 0, certain, costs)) > 0
