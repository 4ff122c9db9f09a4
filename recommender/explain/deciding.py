"""Which unknown facts alone may decide shocks that are open.

A rule that does not read a fact stays as it is whatever the fact comes to be. So along a fact a
shock can only fit if, in some way of mounting, every group has an entry that may break nothing but
rules that read it. And it can only be ruled out if that goes for every completion that may do: each
needs two such rules in doubt, since a single one is met at some value. One that has not is witness
enough; one that does without a part, for all facts of that part.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.explain.open_ways import Doubt, Together
from recommender.explain.part_values import (
    PARTS,
    Cell,
    Part,
    Way,
    doing,
    parts_of,
    sure_at_ends,
)
from recommender.explain.unknowns import (
    CHOOSING,
    Live,
    Place,
    Unknown,
    bits_reading,
    loose_cells,
    loose_facts,
    option_table,
    pulls_both_ways,
    read_facts,
)
from recommender.explain.witness import (
    Witness,
    each_least_doubtful,
    easily,
    some_that_do,
    without,
)
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.families import Sets
from recommender.search.groups import Rules
from recommender.search.kits import of_use
from recommender.search.whole import Whole, batches


@dataclass(frozen=True)
class Kind:
    """A fact of parts that pulls both ways: the rules that read it, and the rows it is loose in."""

    place: Place
    fact: str
    bits: int
    loose: Mask


class Deciding:
    """Looks at those open shocks of a market once, and tells which facts may decide each. `kits`:
    those that may do for some of them; None: they are looked for."""

    def __init__(
        self, market: Market, wishes: Wishes, live: Live, rules: Rules, shocks: Ints,
        kits: Ints | None = None,
    ) -> None:  # fmt: skip
        self._market, self._wishes, self._live, self._rules = market, wishes, live, rules
        self._shocks = shocks
        self._kits = of_use(market, wishes, shocks) if kits is None else kits

    def concerned(self, unknown: Unknown, shocks: Ints, least: int = 2) -> Ints:
        """Those of the shocks that the fact may decide. `least` is 1 where a single value of the
        fact is enough to rule a shock out, 2 where all have to."""
        if unknown.place == "shocks":
            shocks = shocks[loose_cells(self._market, unknown.fact)[shocks]]
            if unknown.fact in CHOOSING:
                return shocks
        bits = np.uint64(bits_reading(unknown, self._live, self._rules))
        may = self._together.may_fit(bits) | self._together.may_fail(bits, least)
        some: Ints = shocks[may[np.searchsorted(self._shocks, shocks)]]
        return some

    def part_cells(self, shocks: Ints) -> dict[Unknown, Ints]:
        """The loose facts of parts that may decide some of those shocks, each with these."""
        found = self.fitting(shocks)
        for shock, cells in self._failing_cells(shocks).items():
            found[shock] |= cells
        out: dict[Cell, list[int]] = {}
        for shock in sorted(found):
            for cell in found[shock]:
                out.setdefault(cell, []).append(shock)
        return {self.unknown(cell): np.array(out[cell], np.int64) for cell in sorted(out)}

    def _failing_cells(self, shocks: Ints) -> dict[int, set[Cell]]:
        """Of each of those shocks the loose cells of parts along which it may be ruled out: no way
        of mounting was found to do without, nor with the part at one of a few values."""
        ways: dict[Way, dict[Cell, list[str]]] = {}
        out: dict[int, set[Cell]] = {}
        for shock, doubt in zip(shocks.tolist(), self._of(shocks), strict=True):
            ways |= {(shock, turned): way for turned, way in doubt.failing.items()}
            every = [set(way) for way in doubt.failing.values()]
            out[shock] = set.intersection(*every) if every else set()
        left = {way: {one: names for one, names in cells.items() if one in out[way[0]]}
                for way, cells in ways.items()}  # fmt: skip
        for (shock, _), cell in doing(self._market, self._wishes, left):
            out[shock].discard(cell)
        return out

    def fitting(self, shocks: Ints) -> dict[int, set[Cell]]:
        """Of each of those shocks the loose cells of parts along which it may fit: several entries
        with the part may break rules about that fact alone, and at both ends of what it may be some
        breaks nothing. One alone would have to do at every value: then it were in no doubt."""
        found: dict[tuple[Place, str], dict[int, set[int]]] = {}
        for shock, doubt in zip(shocks.tolist(), self._of(shocks), strict=True):
            for (place, fact, row), number in doubt.entries.items():
                if number > 1:
                    mine = found.setdefault((place, fact), {})
                    mine.setdefault(shock, set()).add(row)
        out: dict[int, set[Cell]] = {shock: set() for shock in shocks.tolist()}
        for kind, some in found.items():
            for shock, rows in sure_at_ends(self._market, self._wishes, *kind, some).items():
                out[shock] |= {(*kind, row) for row in rows}
        return out

    def unknown(self, cell: Cell) -> Unknown:
        """The fact in that cell."""
        place, fact, row = cell
        return loose_facts(self._market, place, [fact], row)[0]

    def _of(self, shocks: Ints) -> list[Doubt]:
        return [self._doubts[shock] for shock in shocks.tolist()]

    @cached_property
    def _doubts(self) -> dict[int, Doubt]:
        """What is in doubt about each shock."""
        doubts = {shock: Doubt() for shock in self._shocks.tolist()}
        few = replace(self._market, kits=self._market.kits.take(self._kits))
        for batch in batches(few, self._wishes, self._shocks):
            known = each_least_doubtful(batch[0])
            for whole in batch:
                self._take(whole, known.get(whole.owner), doubts[whole.shock])
        return doubts

    def _in_market(self, place: Place, rows: Ints) -> Ints:
        """Rows of an option table, with those kits alone, as the market counts them."""
        return self._kits[rows] if place == "kits" else rows

    @cached_property
    def _together(self) -> Together:
        return Together.of(self._of(self._shocks))

    def _take(self, whole: Whole, known: Witness | None, doubt: Doubt) -> None:
        """Adds a way of mounting to what is known of its shock."""
        rows = [whole.rows(group) for group in range(len(whole.groups))]
        rows = [
            some[pair.certain.sets[some] == 0]
            for some, pair in zip(rows, whole.tables, strict=True)
        ]
        if not all(len(some) for some in rows):
            return
        sets = [pair.possible.sets[some] for pair, some in zip(whole.tables, rows, strict=True)]
        doubt.sets.append([np.unique(some) for some in sets])
        found = known or some_that_do(whole)
        if found is not None:
            choice, possible = found
            doubt.possible.append(possible)
            doubt.failing[whole.turned] = dict(self._failing(whole, rows, choice, possible))
        for k in np.flatnonzero(_within(doubt.sets[-1], self._bits)).tolist():
            doubt.entries.update(self._cells(whole, self.kinds[k], rows, sets))

    def _failing(
        self, whole: Whole, rows: Sequence[Ints], choice: Sequence[Ints], possible: int
    ) -> Iterator[tuple[Cell, list[str]]]:  # fmt: skip
        clashing = [kind for kind in self.kinds if (kind.bits & possible).bit_count() > 1]
        taken: dict[Part, list[str]] = {}
        for group, row in enumerate(choice):
            for name, place, part in parts_of(whole, group, row):
                taken.setdefault((place, int(part[0])), []).append(name)
        for (place, own), names in taken.items():
            number = int(self._in_market(place, np.array([own]))[0])
            mine = [kind for kind in clashing if kind.place == place and kind.loose[number]]
            left = without(whole, rows, (place, own))
            if mine and not easily(whole, left):
                yield from (((place, kind.fact, number), names) for kind in mine)

    def _cells(
        self, whole: Whole, kind: Kind, rows: Sequence[Ints], sets: Sequence[Sets]
    ) -> Iterator[Cell]:
        """The part of every entry that may break rules about that fact alone."""
        others = ~np.uint64(kind.bits)
        for group, (some, broken) in enumerate(zip(rows, sets, strict=True)):
            mine = some[((broken & others) == 0) & (broken != 0)]
            for _, place, part in parts_of(whole, group, mine):
                if place == kind.place:
                    number = self._in_market(place, part)
                    loose = number[kind.loose[number]]
                    yield from ((place, kind.fact, row) for row in loose.tolist())

    @cached_property
    def _bits(self) -> Sets:
        return np.array([kind.bits for kind in self.kinds], np.uint64)

    @cached_property
    def kinds(self) -> list[Kind]:
        """The facts of parts that pull both ways and are loose somewhere."""
        named = [
            self._kind(place, name)
            for place in PARTS for name in read_facts(self._market, self._live, place)
        ]  # fmt: skip
        return [kind for kind in named if kind.loose.any()]

    def _kind(self, place: Place, name: str) -> Kind:
        unknown, table = Unknown(place, name, ((0.0, 1.0),)), option_table(self._market, place)
        loose, none = table.facts[name].loose, np.zeros(len(table.labels), bool)
        loose = loose if loose is not None and pulls_both_ways(unknown, self._live) else none
        return Kind(place, name, bits_reading(unknown, self._live, self._rules), loose)


def _within(way: Sequence[Sets], bits: Sets) -> Mask:
    """For each of those sets of rules whether every group has an entry that may break them alone.
    """
    found = [((some[:, None] & ~bits) == 0).any(axis=0) for some in way]
    every: Mask = np.logical_and.reduce(found)
    return every
