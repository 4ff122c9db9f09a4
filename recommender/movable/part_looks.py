"""Shocks that may be settled along a loose fact of some part, under some wishes.

For a shock to fit whatever the fact is, at every value of it some entry with the part must break
nothing, though no single one always does. For it to be ruled out, whatever else may do must be
turned down by the wishes, and the part must suit for no value of the fact: because two rules ask
for different ones, or the part's two places do.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np

from recommender.catalogue.columns import Mask
from recommender.explain.deciding import Deciding
from recommender.explain.part_values import Cell, doing
from recommender.explain.unknowns import Unknown
from recommender.facts.wishes import Wishes
from recommender.movable.entries import Entries
from recommender.movable.ways import Way
from recommender.rules.choices import Market
from recommender.rules.option_table import TABLE_OF


def part_cells(
    market: Market, base: Wishes, deciding: Deciding, ways: Mapping[int, Sequence[Way]]
) -> dict[int, list[Unknown]]:
    """Of each of these shocks the facts of parts along which it may be settled. `base`: the wishes
    with the movable ones unset; `deciding`: of these, and of all rules that may come to hold."""
    found = deciding.fitting(np.array(sorted(ways), np.int64))
    never = {
        (shock, way.whole.turned): _never(way, deciding)
        for shock, some in ways.items() for way in some
    }  # fmt: skip
    does = doing(market, base, never)
    for way, cells in never.items():
        found[way[0]] |= {cell for cell in cells if (way, cell) not in does}
    return {shock: [deciding.unknown(one) for one in sorted(some)] for shock, some in found.items()}


def _never(way: Way, deciding: Deciding) -> dict[Cell, set[str]]:
    """Facts of parts that may be all that the wishes leave and yet suit for no value, each with the
    choices that take the part."""
    doubts, taken = Counter[Cell](), dict[Cell, set[str]]()
    for k, entries in enumerate(way.entries):
        for name in way.whole.groups[k].choices:
            if name not in TABLE_OF:
                continue
            option = way.whole.option(k, entries.row, name)
            for kind in deciding.kinds:
                if kind.place != TABLE_OF[name] or kind.fact == "price":
                    continue
                some = option[(entries.doubtful & np.uint64(kind.bits)) != 0]
                for row in np.unique(some[kind.loose[some]]).tolist():
                    mine, cell = option == row, (kind.place, kind.fact, row)
                    if _first(entries, mine):
                        bits = int(np.bitwise_or.reduce(entries.doubtful[mine])) & kind.bits
                        doubts[cell] += bits.bit_count()
                        taken.setdefault(cell, set()).add(name)
    return {cell: taken[cell] for cell, count in doubts.items() if count > 1}


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
