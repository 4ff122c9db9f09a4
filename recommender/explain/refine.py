"""Open shocks looked at along one unknown fact at a time.

Each rule alone may pass for some value while no value passes them all: then the shock is ruled
out. Or every value suits some completion, though not the same one: it fits, and the choice waits
for a measurement. What the fact may be is cut in halves and judged again until every piece
agrees; two pieces, or values, that disagree leave the shock open. A piece's verdict holds for
every value in it, whatever else is loose, so what is found is always right; along a single loose
fact it is all there is to find, down to a fraction `FINEST` of what the fact may be.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.explain.again import Again
from recommender.explain.unknowns import (
    Live,
    Piece,
    Unknown,
    bits_reading,
    cell_unknowns,
    live_rules,
    loose_cells,
    part_facts,
    pulls_both_ways,
    question_unknowns,
    shock_unknowns,
)
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.families import Sets
from recommender.search.groups import Rules
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, STATES, Verdicts
from recommender.search.whole import Whole

WAITS = 3
REFINED = (*STATES, "fits, the choice waits for a measurement")
FINEST = 2.0**-40
MOST_DOUBTS, _FEW = 4, 6
"""Rules in doubt, and loose cells of parts, up to which a shock's parts are looked at: with more of
either no single cell decides."""


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
    along: dict[int, Unknown] = {}
    doubts, live = possible_bits(verdicts), live_rules(wishes)
    again = Again(market, wishes, live)
    for unknown in _two_sided(market, live):
        rows = np.flatnonzero(state == OPEN)
        rows = rows[concerned(market, live, verdicts, unknown, doubts)[rows]]
        _settle(again, unknown, rows, state, along)
    few = np.bitwise_count(verdicts.doubtful) <= MOST_DOUBTS
    parts = (doubts & np.uint64(_part_bits(verdicts.rules, live))) != 0
    for shock in np.flatnonzero((state == OPEN) & few & parts).tolist():
        for unknown in _cells(again.ways(shock), live):
            _settle(again, unknown, np.array([shock]), state, along)
            if state[shock] != OPEN:
                break
    return Refined(state, MappingProxyType(along))


def look_along(again: Again, unknown: Unknown, rows: Ints) -> Ints:
    """State of each of those shocks for every value the fact may have: FITS if some completion
    fits for each value, RULED_OUT if none does for any, else OPEN."""
    if not len(rows) or not unknown.whole:
        return np.full(len(rows), OPEN)
    where = np.full(int(rows.max()) + 1, -1)
    where[rows] = np.arange(len(rows))
    seen = np.zeros((3, len(rows)), bool)
    todo: list[tuple[Piece, Ints]] = [(piece, rows) for piece in _first(unknown)]
    while todo:
        piece, some = todo.pop(0)
        some = some[_agree(seen)[where[some]]]
        if not len(some):
            continue
        state = again.states(unknown, piece, some)
        for kind in (FITS, RULED_OUT):
            seen[kind, where[some[state == kind]]] = True
        unsure = some[state == OPEN]
        low, high = piece
        if high - low <= FINEST:
            # One value at which the shock stays open, or values too close to tell apart.
            seen[OPEN, where[unsure]] = True
        elif len(unsure):
            middle = (low + high) / 2
            todo += [((at, to), unsure) for at, to in
                     ((middle, middle), (low, middle), (middle, high))]  # fmt: skip
    agreed = _agree(seen)
    return np.where(agreed & seen[FITS], FITS, np.where(agreed & seen[RULED_OUT], RULED_OUT, OPEN))


def _first(unknown: Unknown) -> tuple[Piece, ...]:
    """Of a number both ends and the middle first: most open shocks differ there already."""
    return (
        ((0.0, 0.0), (1.0, 1.0), (0.5, 0.5), (0.0, 0.5), (0.5, 1.0))
        if unknown.number
        else unknown.pieces
    )


def _agree(seen: Mask) -> Mask:
    """Shocks of which only one of the two definite states was seen so far, and nothing open."""
    agree: Mask = ~seen[OPEN] & ~(seen[FITS] & seen[RULED_OUT])
    return agree


def _settle(
    again: Again, unknown: Unknown, rows: Ints, state: np.ndarray, along: dict[int, Unknown]
) -> None:  # fmt: skip
    found = look_along(again, unknown, rows)
    for shock, kind in zip(rows.tolist(), found.tolist(), strict=True):
        if kind != OPEN:
            state[shock] = WAITS if kind == FITS else RULED_OUT
            along[shock] = unknown


def possible_bits(verdicts: Verdicts) -> Sets:
    """Every rule that some least-broken completion of a shock may break, shock by shock."""
    out = np.zeros(len(verdicts.state), np.uint64)
    for part in verdicts.parts:
        for pair in part.factors:
            for family in (pair.certain, pair.possible):
                owner = np.repeat(part.shock, family.count)
                np.bitwise_or.at(out, owner, family.sets)
    return out


def concerned(
    market: Market, live: Live, verdicts: Verdicts, unknown: Unknown, doubts: Sets
) -> Mask:
    """Shocks that a fact may matter to: it is loose for them, and a rule in doubt reads it."""
    bits = np.uint64(bits_reading(unknown, live, verdicts.rules))
    concerns: Mask = (doubts & bits) != 0
    return concerns & loose_cells(market, unknown.fact) if unknown.place == "shocks" else concerns


def _two_sided(market: Market, live: Live) -> Iterator[Unknown]:
    """Facts that pull rules both ways. Along any other, one end is best for every rule, so a shock
    that is open fits at that end, and does not at the other."""
    for unknown in (*question_unknowns(market, live), *shock_unknowns(market, live)):
        if unknown.whole and pulls_both_ways(unknown, live):
            yield unknown


def _part_bits(rules: Rules, live: Live) -> int:
    """The bits of rules that read some fact of a part which pulls both ways."""
    facts: dict[Unknown, None] = {
        Unknown(place, name, ((0.0, 1.0),)): None
        for rule in live
        for place in ("kits", "springs", "tunes")
        for name in part_facts(rule, place)
    }
    bits = 0
    for unknown in facts:
        if pulls_both_ways(unknown, live):
            bits |= bits_reading(unknown, live, rules)
    return bits


def _cells(ways: Sequence[Whole], live: Live) -> list[Unknown]:
    """Loose facts of the parts that a shock's fate may hang on: those in entries that are neither
    sure to break something nor sure to break nothing. None where there are many."""
    found: dict[Unknown, None] = {}
    for whole in ways:
        for group in range(len(whole.groups)):
            for unknown in _group_cells(whole, live, group):
                found[unknown] = None
                if len(found) > _FEW:
                    return []
    return list(found)


def _group_cells(whole: Whole, live: Live, group: int) -> Iterator[Unknown]:
    pair, rows = whole.tables[group], whole.rows(group)
    doubtful = rows[(pair.certain.sets[rows] == 0) & (pair.possible.sets[rows] != 0)]
    for name in whole.groups[group].choices:
        place = {"spring": "springs", "tune": "tunes"}.get(name, "kits")
        if name in ("stroke", "clocking"):
            continue
        for row in np.unique(whole.option(group, doubtful, name)).tolist():
            for unknown in cell_unknowns(whole.market, live, place, row):  # type: ignore[arg-type]
                if pulls_both_ways(unknown, live):
                    yield unknown
