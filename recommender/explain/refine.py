"""Open shocks looked at along one unknown fact at a time.

Each rule alone may pass for some value while no value passes them all: then the shock is ruled
out. Or every value suits some completion, though not the same one: it fits, and the choice waits
for a measurement. What the fact may be is cut in halves and judged again until every piece
agrees; two pieces, or values, that disagree leave the shock open. A piece's verdict holds for
every value in it, whatever else is loose, so what is found is always right; along a single loose
fact it is all there is to find, down to a fraction `FINEST` of what the fact may be.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.explain.again import Again
from recommender.explain.deciding import Deciding
from recommender.explain.unknowns import (
    Live,
    Piece,
    Unknown,
    live_rules,
    pulls_both_ways,
    question_unknowns,
    shock_unknowns,
)
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.groups import Rules
from recommender.search.kits import of_use
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, STATES, Verdicts

WAITS = 3
REFINED = (*STATES, "fits, the choice waits for a measurement")
FINEST = 2.0**-24
FEW = 64
"""Up to so many items judging takes about as long for any number of pieces."""


@dataclass(frozen=True)
class Refined:
    """`state` indexes REFINED, shock by shock; `along` names the fact that settled a shock."""

    state: np.ndarray
    along: Mapping[int, Unknown]

    def count(self, state: int) -> int:
        """How many shocks are in that state."""
        return int((self.state == state).sum())


def refine(market: Market, wishes: Wishes, verdicts: Verdicts) -> Refined:
    """The verdicts with every open shock looked at along each fact that may decide it alone."""
    state = verdicts.state.astype(np.int8)
    rows = np.flatnonzero(state == OPEN)
    kits = of_use(market, wishes, rows)
    along = _refined(replace(market, kits=market.kits.take(kits)), wishes, verdicts.rules, state)
    for shock, unknown in along.items():
        if unknown.place == "kits":
            along[shock] = replace(unknown, row=int(kits[unknown.row]))
    return Refined(state, MappingProxyType(along))


def _refined(market: Market, wishes: Wishes, rules: Rules, state: np.ndarray) -> dict[int, Unknown]:
    """Settles states that are open; which fact settled each. The market has kits of use alone."""
    along: dict[int, Unknown] = {}
    live = live_rules(wishes)
    again = Again(market, wishes, live)
    open_, kits = np.flatnonzero(state == OPEN), np.arange(len(market.kits.labels))
    deciding = Deciding(market, wishes, live, rules, open_, kits)
    for unknown in _two_sided(question_unknowns(market, live), live):
        rows = deciding.concerned(unknown, np.flatnonzero(state == OPEN))
        _settle([unknown] * len(rows), rows, look_along(again, unknown, rows), state, along)
    rows = np.flatnonzero(state == OPEN)
    columns = tuple(_two_sided(shock_unknowns(market, live), live))
    found = [deciding.concerned(one, rows) for one in columns]
    which = np.repeat(np.arange(len(columns)), [len(some) for some in found])
    some = np.concatenate([np.array([], np.int64), *found])
    looked = look_at_cells(again, columns, which, some)
    _settle([columns[k] for k in which.tolist()], some, looked, state, along)
    for unknown, some in deciding.part_cells(np.flatnonzero(state == OPEN)).items():
        rows = some[state[some] == OPEN]
        _settle([unknown] * len(rows), rows, look_along(again, unknown, rows), state, along)
    return along


def look_along(again: Again, unknown: Unknown, rows: Ints) -> Ints:
    """State of each of those shocks for every value the fact may have: FITS if some completion
    fits for each value, RULED_OUT if none does for any, else OPEN."""
    if not len(rows) or not unknown.whole:
        return np.full(len(rows), OPEN)

    def ask(items: Ints, low: Floats, high: Floats) -> np.ndarray:
        return again.states(unknown, (float(low[0]), float(high[0])), rows[items])

    first = [[piece] for step in _first(unknown) for piece in step]
    return _looked(len(rows), [_level(np.arange(len(rows)), one) for one in first], ask, False)


def look_at_cells(again: Again, columns: Sequence[Unknown], which: Ints, rows: Ints) -> Ints:
    """The same of each of those shocks along its own cell in the column named beside it (`which` of
    `columns`); all are judged together, step by step."""

    def ask(items: Ints, low: Floats, high: Floats) -> np.ndarray:
        return again.cells(columns, which[items], rows[items], low, high)

    levels: dict[int, list[Level]] = {}
    for k, unknown in enumerate(columns):
        for step, pieces in enumerate(_first(unknown)):
            levels.setdefault(step, []).append(_level(np.flatnonzero(which == k), pieces))
    return _looked(len(rows), [_together(some) for some in levels.values()], ask, True)


Level = tuple[Ints, Floats, Floats]
"""Items to look at, each with its piece's ends."""


def _looked(
    size: int, todo: list[Level], ask: Callable[[Ints, Floats, Floats], np.ndarray], together: bool
) -> Ints:
    """What so many items come to over all their pieces; those left open are cut up. `together`: the
    pieces of a step are asked about in one go, so a few items may as well be cut smaller."""
    seen = np.zeros((3, size), bool)
    while todo:
        items, low, high = todo.pop(0)
        alive = _agree(seen)[items]
        items, low, high = items[alive], low[alive], high[alive]
        if not len(items):
            continue
        state = ask(items, low, high)
        for kind in (FITS, RULED_OUT):
            seen[kind, items[state == kind]] = True
        unsure, fine = state == OPEN, high - low <= FINEST
        # One value at which the shock stays open, or values too close to tell apart.
        seen[OPEN, items[unsure & fine]] = True
        items, low, high = (one[unsure & ~fine] for one in (items, low, high))
        parts = 4 if together and len(items) <= FEW else 2
        cuts = [low + (high - low) * k / parts for k in range(parts)] + [high]
        pieces = [(items, cut, cut) for cut in cuts[1:-1]]
        pieces += [(items, *ends) for ends in pairwise(cuts)]
        todo += [_together(pieces)] if together else pieces
    agreed = _agree(seen)
    return np.where(agreed & seen[FITS], FITS, np.where(agreed & seen[RULED_OUT], RULED_OUT, OPEN))


def _level(items: Ints, pieces: Sequence[Piece]) -> Level:
    """Each of those items with each of those pieces."""
    low, high = (np.repeat([piece[end] for piece in pieces], len(items)) for end in (0, 1))
    return np.tile(items, len(pieces)), low, high


def _together(levels: Sequence[Level]) -> Level:
    items, low, high = (np.concatenate(some) for some in zip(*levels, strict=True))
    return items, low, high


def _first(unknown: Unknown) -> Sequence[Sequence[Piece]]:
    """Of a number the ends and the middle first: most open shocks are open or differ there."""
    return (
        (((0.0, 0.0),), ((1.0, 1.0),), ((0.5, 0.5),), ((0.0, 0.5), (0.5, 1.0)))
        if unknown.number
        else (unknown.pieces,)
    )


def _agree(seen: Mask) -> Mask:
    """Shocks of which only one of the two definite states was seen so far, and nothing open."""
    agree: Mask = ~seen[OPEN] & ~(seen[FITS] & seen[RULED_OUT])
    return agree


def _settle(
    unknowns: Sequence[Unknown], rows: Ints, found: Ints, state: np.ndarray,
    along: dict[int, Unknown],
) -> None:  # fmt: skip
    """Each shock takes the first of its facts that settles it."""
    for unknown, shock, kind in zip(unknowns, rows.tolist(), found.tolist(), strict=True):
        if kind != OPEN and state[shock] == OPEN:
            state[shock] = WAITS if kind == FITS else RULED_OUT
            along[shock] = unknown


def _two_sided(unknowns: Sequence[Unknown], live: Live) -> Iterator[Unknown]:
    """Facts that pull rules both ways. Along any other, one end is best for every rule, so a shock
    that is open fits at that end, and does not at the other."""
    for unknown in unknowns:
        if unknown.whole and pulls_both_ways(unknown, live):
            yield unknown

