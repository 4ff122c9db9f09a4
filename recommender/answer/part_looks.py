"""Shocks that may be settled along a loose fact of some part, under some wishes.

For a shock to fit whatever the fact is, at every value of it some entry with the part must break
nothing, though no single one always does. For it to be ruled out, whatever else may do must be
turned down by the wishes, and the part must suit for no value of the fact: because two rules ask
for different ones, or the part's two places do.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby
from typing import Any

import numpy as np

from recommender.answer.ways import Entries, Way
from recommender.catalogue.columns import Ints, Mask
from recommender.explain.again import renewed
from recommender.explain.narrowing import narrowed
from recommender.explain.refine import FEW
from recommender.explain.unknowns import (
    EVERY_ROW,
    Live,
    Piece,
    Place,
    Unknown,
    bits_reading,
    cell_unknowns,
    counts,
    pulls_both_ways,
    readers,
)
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.option_table import TABLE_OF
from recommender.search.families import Sets
from recommender.search.owners import owners, with_kits
from recommender.search.tables import Pair
from recommender.search.whole import Whole, wholes

Part = tuple[Place, int]


@dataclass(frozen=True)
class PartLooks:
    """Finds those shocks; what was found of parts and markets is kept."""

    market: Market
    base: Wishes
    live: Live
    _cells: dict[Part, tuple[Unknown, ...]] = field(default_factory=dict)
    _latest: dict[Any, Any] = field(default_factory=dict)

    def of(self, part: Part) -> tuple[Unknown, ...]:
        """The part's loose facts that pull rules both ways, prices aside."""
        if part not in self._cells:
            self._cells[part] = tuple(
                one for one in cell_unknowns(self.market, self.live, *part)
                if pulls_both_ways(one, self.live) and not counts(one)
            )  # fmt: skip
        return self._cells[part]

    def cells(
        self, ways: Mapping[int, Sequence[Way]]
    ) -> tuple[dict[int, list[Unknown]], dict[int, list[Unknown]], frozenset[int]]:
        """Of each of these shocks the facts of parts along which it may be ruled out, and along
        which it may fit; and those that hang on so many that `refine` looks along none."""
        never = {
            shock: list(dict.fromkeys(one for way in some for one in self._never(way)))
            for shock, some in ways.items()
        }
        fitting, many = {}, set()
        for shock, some in self._mounted(ways):
            if len({one for _, part, _ in _parts(some) for one in self.of(self._part(part))}) > FEW:
                many.add(shock)
            fitting[shock] = self._fitting(some)
        return never, fitting, frozenset(many)

    def _never(self, way: Way) -> list[Unknown]:
        """Facts of parts that may be all that the wishes leave and yet suit for no value."""
        places: Counter[Unknown] = Counter()
        for k, entries in enumerate(way.entries):
            for name in way.whole.groups[k].choices:
                if name in TABLE_OF:
                    option = way.whole.option(k, entries.row, name)
                    for row in np.unique(option[entries.doubtful != 0]).tolist():
                        mine = option == row
                        if not _first(entries, mine):
                            continue
                        doubts = int(np.bitwise_or.reduce(entries.doubtful[mine]))
                        for one in self.of((TABLE_OF[name], row)):
                            bits = bits_reading(one, self.live, way.whole.rules)
                            places[one] += (doubts & bits).bit_count()
        return [one for one, count in places.items() if count > 1]

    @cached_property
    def _kits(self) -> Ints:
        """Kits with such a fact; and the last, so that there is a kit at all."""
        last = len(self.market.kits.labels) - 1
        return np.array([row for row in range(last + 1) if row == last or self.of(("kits", row))])

    def _part(self, part: Part) -> Part:
        """The part by its row in the whole market."""
        place, row = part
        return (place, int(self._kits[row])) if place == "kits" else part

    def _mounted(self, shocks: Iterable[int]) -> Iterator[tuple[int, list[Whole]]]:
        """Each shock's ways of mounting with those kits alone."""
        some = replace(self.market, kits=self.market.kits.take(self._kits))
        rows = np.array(sorted(shocks), np.int64)
        kind = self.market.shocks.choice("spring_kind").codes[rows]
        for code in np.unique(kind).tolist():
            every = wholes(some, self.base, rows[kind == code])
            for shock, ways in groupby(every, key=lambda whole: whole.shock):
                yield shock, list(ways)

    def _fitting(self, ways: Sequence[Whole]) -> list[Unknown]:
        """Facts of parts of which, at both ends of what is known, some entry breaks nothing."""
        several: Counter[Unknown] = Counter()
        at: dict[Unknown, Part] = {}
        for whole, part, sets in _parts(ways):
            for one in self.of(self._part(part)):
                other = np.uint64(~bits_reading(one, self.live, whole.rules) & (2**64 - 1))
                several[one] += int(((sets != 0) & (sets & other == 0)).sum())
                at[one] = part
        found = [one for one, count in several.items() if count > 1]
        for kind in {replace(one, row=EVERY_ROW) for one in found}:
            for piece in ((0.0, 0.0), (1.0, 1.0)) if kind.number else kind.pieces:
                sure = self._sure(ways, kind, piece)
                found = [one for one in found if replace(one, row=EVERY_ROW) != kind
                         or at[one] in sure]  # fmt: skip
        return found

    def _sure(self, ways: Sequence[Whole], kind: Unknown, piece: Piece) -> set[Part]:
        """Parts in some entry that breaks nothing where each has that fact there."""
        tables = self._tables(ways[0], kind, piece)
        there = [replace(whole, tables=tables) for whole in ways]
        return {part for _, part, sets in _parts(ways, there) if (sets == 0).any()}

    def _tables(self, whole: Whole, kind: Unknown, piece: Piece) -> tuple[Pair, ...]:
        """The tables of that way's whole batch where the fact is that; kept of the latest batch."""
        if self._latest.get("made") is not whole.made:
            self._latest.clear()
            self._latest["made"] = whole.made
        if (kind, piece) not in self._latest:
            one = narrowed(whole.market, kind, piece)
            made = with_kits(one, owners(one, np.unique(whole.made.shock)))
            bits = {rule.bit for rule, _ in readers(kind, self.live)}
            self._latest[kind, piece] = tuple(
                renewed(made, group, pair, whole.rules, bits)
                if bits & {rule.bit for rule in group.rules} else pair
                for group, pair in zip(whole.groups, whole.tables, strict=True)
            )  # fmt: skip
        found: tuple[Pair, ...] = self._latest[kind, piece]
        return found


def _first(entries: Entries, mine: Mask) -> bool:
    """Whether the wishes may leave an entry of those while they turn down all others that no order
    rule reads."""
    others = ~mine & ~entries.touched
    low = np.stack([entries.price.low, entries.mass.low, entries.days.low], axis=1)
    travel = entries.travel
    same = np.zeros((len(entries), 0)) if travel is None else np.stack(
        [travel.low, travel.high], axis=1
    )  # fmt: skip
    for k in np.flatnonzero(mine).tolist():
        beaten = others & (low <= low[k]).all(axis=1) & (same == same[k]).all(axis=1)
        if not beaten.any():
            return True
    return False


def _parts(
    ways: Sequence[Whole], there: Sequence[Whole] = ()
) -> Iterator[tuple[Whole, Part, Sets]]:
    """Every part in entries that may do, with what these may break; or may break `there`."""
    for whole, other in zip(ways, there or ways, strict=True):
        for group, pair in enumerate(whole.tables):
            rows = whole.rows(group)
            may = rows[pair.certain.sets[rows] == 0]
            sets = other.tables[group].possible.sets[may]
            for name in whole.groups[group].choices:
                if name in TABLE_OF:
                    option = whole.option(group, may, name)
                    for row in np.unique(option).tolist():
                        yield whole, (TABLE_OF[name], row), sets[option == row]


def hanging(way: Way, cells: Sequence[Unknown]) -> tuple[Mask, ...]:
    """Of every group's entries whether they use a part that one of those facts is of."""
    parts = {(one.place, one.row) for one in cells}
    out = []
    for k, entries in enumerate(way.entries):
        mine = np.zeros(len(entries), bool)
        for name in way.whole.groups[k].choices:
            rows = [row for place, row in parts if place == TABLE_OF.get(name)]
            if rows:
                mine |= np.isin(way.whole.option(k, entries.row, name), rows)
        out.append(mine)
    return tuple(out)
