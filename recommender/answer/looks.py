"""What a closer look along one unmeasured fact says of a shock, whatever the movable wishes are.

Along the fact the entries that surely and possibly break nothing change at a few values only. Every
value at which they differ is a *piece*: the ways of mounting the shock as they are there. If under
some wishes every piece fits, the shock fits and the choice waits for a measurement; if none may, it
is ruled out. Facts along which nothing can come of it have no look.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.explain.again import CHOOSING, renewed
from recommender.explain.completions import ways
from recommender.explain.narrowing import narrowed
from recommender.explain.refine import FINEST
from recommender.explain.unknowns import (
    Live,
    Piece,
    Place,
    Unknown,
    cell_unknowns,
    counts,
    live_rules,
    loose_cells,
    pulls_both_ways,
    question_unknowns,
    readers,
    reads_fact,
    shock_unknowns,
)
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.registry import leaves
from recommender.search.families import same_members
from recommender.search.groups import Rules
from recommender.search.owners import owners, with_kits
from recommender.search.tables import Pair
from recommender.search.whole import Whole

MOST_PIECES, MOST_LOOKS = 600, 40
"""Pieces looked at along one fact of one shock, and looks in all, before the rest is given up."""
_PLACES: dict[str, Place] = {
    "spring": "springs", "tune": "tunes", "head_kit": "kits", "shaft_kit": "kits",
}  # fmt: skip

Tables = tuple[Pair, ...]


@dataclass(frozen=True)
class Look:
    """`pieces` holds, for each set of values that differ, every way of mounting as it is there.
    `travel`: the fact moves the travel too, so it tells nothing where that is what hangs on it."""

    fact: str
    travel: bool
    pieces: tuple[tuple[Whole, ...], ...]


@dataclass(frozen=True)
class Looks:
    """Looks by shock. `tied`: shocks whose travel hangs on a loose fact; `unlooked`: shocks that
    hang on facts along which nothing was looked here."""

    found: dict[int, list[Look]]
    tied: frozenset[int]
    unlooked: frozenset[int]


def looks(market: Market, base: Wishes, stated: Wishes, batches: Sequence[list[Whole]]) -> Looks:
    """Looks at the shocks of those batches. `base`: wishes with the movable ones unset; `stated`:
    with all of them stated as musts."""
    live = live_rules(stated)
    found: dict[int, list[Look]] = {}
    tied: set[int] = set()
    unlooked: set[int] = set()
    facts = [
        one for one in (*question_unknowns(market, live), *shock_unknowns(market, live))
        if pulls_both_ways(one, live)
    ]  # fmt: skip
    taken = 0
    for batch in batches:
        doubts: dict[int, int] = {}
        for whole in batch:
            doubts[whole.shock] = doubts.get(whole.shock, 0) | _in_doubt(whole)
        for part, shocks in _part_facts(market, live, batch).items():
            unlooked |= set(_worth_looking(market, live, part, batch, shocks))
        for unknown in facts:
            bits = _bits(unknown, live, batch[0].rules)
            loose = _loose(market, unknown, batch)
            some = {shock for shock in loose if doubts[shock] & bits}
            moves = reads_fact(unknown, leaves("travel_mm"))
            if moves:
                tied |= loose
            if counts(unknown):
                continue
            if not unknown.whole or unknown.fact in CHOOSING:
                unlooked |= loose
                continue
            for shock in _worth_looking(market, live, unknown, batch, some):
                taken += 1
                pieces = None
                if taken <= MOST_LOOKS:
                    pieces = _pieces(market, live, unknown, ways(market, base, shock))
                if pieces is None:
                    unlooked.add(shock)
                else:
                    found.setdefault(shock, []).append(Look(unknown.fact, moves, pieces))
    return Looks(found, frozenset(tied), frozenset(unlooked))


def _in_doubt(whole: Whole) -> int:
    """The rules in doubt about some entry that may do."""
    out = 0
    for group, pair in enumerate(whole.tables):
        rows = whole.rows(group)
        may = rows[pair.certain.sets[rows] == 0]
        out |= int(np.bitwise_or.reduce(pair.possible.sets[may], initial=np.uint64(0)))
    return out


def _loose(market: Market, unknown: Unknown, batch: list[Whole]) -> set[int]:
    """Shocks of the batch for which the fact is loose."""
    every = {whole.shock for whole in batch}
    if unknown.place != "shocks":
        return every
    loose = loose_cells(market, unknown.fact)
    return {shock for shock in every if loose[shock]}


def _part_facts(market: Market, live: Live, batch: list[Whole]) -> dict[Unknown, set[int]]:
    """Loose facts of parts that pull both ways and are read by a rule in doubt about an entry with
    that part, and the shocks that have such entries."""
    out: dict[Unknown, set[int]] = {}
    cells: dict[tuple[str, int], list[tuple[Unknown, int]]] = {}
    for whole in batch:
        for group, pair in enumerate(whole.tables):
            rows = whole.rows(group)
            doubtful = rows[(pair.certain.sets[rows] == 0) & (pair.possible.sets[rows] != 0)]
            for name in whole.groups[group].choices:
                place = _PLACES.get(name)
                if place is None or not len(doubtful):
                    continue
                for row, doubts in _doubts(whole, group, doubtful, name).items():
                    if (place, row) not in cells:
                        cells[place, row] = [
                            (one, _bits(one, live, whole.rules))
                            for one in cell_unknowns(market, live, place, row)
                            if pulls_both_ways(one, live) and not counts(one)
                        ]
                    for one, bits in cells[place, row]:
                        if bits & doubts:
                            out.setdefault(one, set()).add(whole.shock)
    return out


def _bits(unknown: Unknown, live: Live, rules: Rules) -> int:
    """The bits of the rules at hand that read the fact."""
    names = {rule.bit for rule, _ in readers(unknown, live)}
    return sum(1 << k for k, name in enumerate(rules.bits) if name in names)


def _doubts(whole: Whole, group: int, rows: Ints, name: str) -> dict[int, int]:
    """For each option chosen in those rows the rules in doubt there."""
    option, sets = whole.option(group, rows, name), whole.tables[group].possible.sets[rows]
    return {
        row: int(np.bitwise_or.reduce(sets[option == row])) for row in np.unique(option).tolist()
    }


def _worth_looking(
    market: Market, live: Live, unknown: Unknown, batch: list[Whole], shocks: set[int]
) -> list[int]:
    """Shocks of which no end alone tells all. Where at some value every entry may do that may do
    at all, the shock can't be ruled out along the fact; where at some value none is sure but those
    that always are, no choice can wait for it."""
    if not shocks:
        return []
    some = [whole for whole in batch if whole.shock in shocks]
    owner = np.array([whole.owner for whole in some])
    first = replace(some[0], tables=tuple(
        Pair(pair.certain.take(owner), pair.possible.take(owner)) for pair in some[0].tables
    ))  # fmt: skip
    may, sure = np.zeros(len(some), bool), np.zeros(len(some), bool)
    for piece in ((0.0, 0.0), (1.0, 1.0)) if unknown.number else unknown.pieces:
        all_may, all_sure = np.ones(len(some), bool), np.ones(len(some), bool)
        for old, new in zip(
            first.tables, _tables(market, live, unknown, piece, first, np.array(sorted(shocks))),
            strict=True,
        ):  # fmt: skip
            if old is not new:
                all_may &= same_members(old.certain, new.certain)
                all_sure &= same_members(old.possible, new.possible)
        may, sure = may | all_may, sure | all_sure
        if (may & sure).all():
            return []
    return sorted({some[k].shock for k in np.flatnonzero(~(may & sure)).tolist()})


def _tables(
    market: Market, live: Live, unknown: Unknown, piece: Piece, whole: Whole, rows: Ints
) -> Tables:
    """The tables of a batch with the fact narrowed to that piece; those it leaves alone as such."""
    one = narrowed(market, unknown, piece)
    made = with_kits(one, owners(one, rows))
    bits = {rule.bit for rule, _ in readers(unknown, live)}
    return tuple(
        renewed(made, group, pair, whole.rules, bits)
        if bits & {rule.bit for rule in group.rules} else pair
        for group, pair in zip(whole.groups, whole.tables, strict=True)
    )  # fmt: skip


@dataclass(frozen=True)
class _Flags:
    """Of every entry of the shock whether it may do, and whether it surely does."""

    may: Mask
    sure: Mask
    tables: Tables

    @property
    def key(self) -> bytes:
        return np.packbits(self.may).tobytes() + np.packbits(self.sure).tobytes()


def _flags(tables: Tables) -> _Flags:
    may = np.concatenate([pair.certain.sets == 0 for pair in tables])
    return _Flags(may, np.concatenate([pair.possible.sets == 0 for pair in tables]), tables)


def _pieces(
    market: Market, live: Live, unknown: Unknown, mine: list[Whole]
) -> tuple[tuple[Whole, ...], ...] | None:
    """What differs along the fact; None where it is too much to list."""
    rows = np.array([mine[0].shock])

    def at(piece: Piece) -> _Flags:
        return _flags(_tables(market, live, unknown, piece, mine[0], rows))

    found: dict[bytes, Tables] = {}
    for number, one in enumerate(_differing(at, unknown)):
        if number > MOST_PIECES:
            return None
        found[one.key] = one.tables
    return tuple(
        tuple(replace(whole, tables=tables) for whole in mine) for tables in found.values()
    )


def _differing(at: Callable[[Piece], _Flags], unknown: Unknown) -> Iterator[_Flags]:
    """The flags at every value of a word; of a number at ends of pieces between which entries only
    come or only go, and over pieces too short to cut."""
    if not unknown.number:
        yield from map(at, unknown.pieces)
        return
    first, last = at((0.0, 0.0)), at((1.0, 1.0))
    yield from (first, last)
    todo = [((0.0, 1.0), first, last)]
    while todo:
        (low, high), a, b = todo.pop()
        over = at((low, high))
        if _between(over, a, b):
            continue
        if high - low <= FINEST:
            yield over
            continue
        middle = (low + high) / 2
        one = at((middle, middle))
        yield one
        todo += [((low, middle), a, one), ((middle, high), one, b)]


def _between(over: _Flags, a: _Flags, b: _Flags) -> bool:
    """Whether, inside a piece, no value can decide otherwise than one of its ends: over the whole
    piece as many are sure as at one end, and as many may do as at one end."""
    sure = any(np.array_equal(over.sure, end.sure) for end in (a, b))
    return sure and any(np.array_equal(over.may, end.may) for end in (a, b))
