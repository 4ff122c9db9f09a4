"""What entries break where a fact of their part is known, for many parts and shocks at once."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.explain.narrowing import copies_of_kits, narrowed
from recommender.explain.unknowns import EVERY_ROW, Place, loose_facts
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.fact import Fact
from recommender.rules.option_table import TABLE_OF
from recommender.search.whole import Whole, wholes

PARTS: tuple[Place, ...] = ("kits", "springs", "tunes")
Part = tuple[Place, int]
Cell = tuple[Place, str, int]
"""A part's fact: the option table, the fact's name, and the row."""


EVEN, FIRM = 65, 64
"""Values at which a part is tried: evenly over what its fact may be, and those of other parts."""


def parts_of(whole: Whole, group: int, rows: Ints) -> Iterator[tuple[str, Place, Ints]]:
    """The choices of a group that take a part: from which table, and of every entry which row."""
    for name in whole.groups[group].choices:
        if name in TABLE_OF:
            yield name, TABLE_OF[name], whole.option(group, rows, name)


def sure_at_ends(
    market: Market, wishes: Wishes, place: Place, fact: str, parts: Mapping[int, set[int]]
) -> dict[int, set[int]]:
    """Of each shock's parts those with an entry that breaks nothing at either end of that fact, of
    a word at every one. All parts are put there at once: no entry holds two of one table."""
    some = {row for mine in parts.values() for row in mine}
    # The last kit is made to specification: so there is a kit at all.
    last = len(market.kits.labels) - 1
    kits = np.array(sorted({last, *(some if place == "kits" else ())}))
    few = replace(market, kits=market.kits.take(kits))
    first = loose_facts(market, place, [fact], min(some))[0]
    every = replace(first, row=EVERY_ROW)
    left = {shock: set(mine) for shock, mine in parts.items()}
    for piece in ((0.0, 0.0), (1.0, 1.0)) if first.number else first.pieces:
        sure: dict[int, set[int]] = {shock: set() for shock in left}
        shocks = np.array(sorted(left), np.int64)
        for whole in wholes(narrowed(few, every, piece), wishes, shocks):
            rows = _sure(whole, place)
            sure[whole.shock].update((kits[rows] if place == "kits" else rows).tolist())
        left = {shock: mine & sure[shock] for shock, mine in left.items() if mine & sure[shock]}
    return left


def _sure(whole: Whole, place: Place) -> Ints:
    """Rows of that table in some entry that breaks nothing whatever is measured."""
    found = [np.array([], np.int64)]
    for group, pair in enumerate(whole.tables):
        rows = whole.rows(group)
        for _, table, part in parts_of(whole, group, rows[pair.possible.sets[rows] == 0]):
            if table == place:
                found.append(part)
    return np.unique(np.concatenate(found))


Way = tuple[int, bool]
"""A shock, and whether it is mounted end for end."""
Used = Mapping[Way, Mapping[int, Iterable[str]]]
"""By way of mounting: kits, and the choices that take each."""


def doing(
    market: Market, wishes: Wishes, cells: Mapping[Way, Mapping[Cell, Iterable[str]]]
) -> set[tuple[Way, Cell]]:
    """Of each way's cells, with the choices that take the part, those at a value of which the part
    breaks nothing for certain wherever it is used, whatever else is chosen; as far as a few values
    of kits, or all words, tell."""
    used: dict[str, dict[Way, dict[int, Iterable[str]]]] = {}
    for way, mine in cells.items():
        for (place, fact, row), names in mine.items():
            if place == "kits":
                used.setdefault(fact, {}).setdefault(way, {})[row] = names
    return {
        (way, ("kits", fact, row))
        for fact, some in used.items() for way, row in _kits_doing(market, wishes, fact, some)
    }  # fmt: skip


def _kits_doing(
    market: Market, wishes: Wishes, fact: str, used: Used
) -> Iterator[tuple[Way, int]]:
    rows = np.array(sorted({row for kits in used.values() for row in kits}), np.int64)
    column = market.kits.facts[fact]
    at = _values(column, rows)
    of = np.repeat(rows, at.shape[1])
    few = copies_of_kits(market, fact, of, at.ravel())
    shocks = np.array(sorted({shock for shock, _ in used}), np.int64)
    for whole in wholes(few, wishes, shocks):
        way = (whole.shock, whole.turned)
        for kit, names in used.get(way, {}).items():
            may = of == kit
            for name in names:
                may &= _may_do(whole, name)
            if may.any():
                yield way, kit


def _values(column: Fact, rows: Ints) -> Floats:
    """What is tried of each of those kits: fractions of the number, or every word."""
    if column.category:
        return np.tile(np.arange(len(column.corners), dtype=float), (len(rows), 1))
    firm = np.unique(column.low if column.loose is None else column.low[~column.loose])
    known = firm[np.linspace(0, len(firm) - 1, FIRM).astype(np.int64)] if len(firm) else firm
    low, high = column.low[rows, None], column.high[rows, None]
    others = np.clip((known - low) / (high - low), 0.0, 1.0)
    return np.concatenate([others, np.tile(np.linspace(0, 1, EVEN), (len(rows), 1))], axis=1)


def _may_do(whole: Whole, name: str) -> Mask:
    """Kits that break nothing for certain at that end; none where the end is tied to other choices,
    since a kit may then do with dearer ones only."""
    out = np.zeros(len(whole.market.kits.labels), bool)
    for group, pair in zip(whole.groups, whole.tables, strict=True):
        if group.choices == (name,):
            rows = whole.rows(whole.groups.index(group))
            out[whole.option(whole.groups.index(group), rows, name)] = pair.certain.sets[rows] == 0
    return out
