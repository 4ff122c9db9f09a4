"""What a closer look along one unmeasured fact says of a shock, whatever the movable wishes are.

What a number may be is cut into stretches along which every entry does, or surely does, or does
not; a word has as many as it has values. If under some wishes every stretch fits, the shock fits
and the choice waits for a measurement; if none may, it is ruled out. What the movable wishes read
of the entries (price, mass, days, travel) stands at both ends of a stretch where the fact moves it.
Facts along which nothing can come of it have no look.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.explain.unknowns import (
    CHOOSING,
    Unknown,
    bits_reading,
    counts,
    live_rules,
    loose_cells,
    pulls_both_ways,
    question_unknowns,
    reads_fact,
    shock_unknowns,
)
from recommender.facts.wishes import Wishes
from recommender.movable.along import Along, Ask
from recommender.movable.stretches import Stretch, stretches
from recommender.movable.ways import Way
from recommender.rules.choices import Market
from recommender.rules.registry import PARTS, leaves
from recommender.search.whole import Whole

ADJUSTERS = (
    "rebound_adjuster", "low_speed_compression_adjuster", "high_speed_compression_adjuster",
    "lockout_lever",
)  # fmt: skip
_MOVED = (
    *leaves("travel_mm"), *ADJUSTERS,
    *(leaf for part in PARTS for name in ("price", "labour", "mass_g", "ready_days")
      for leaf in leaves(f"{part}_{name}")),
)  # fmt: skip
"""What the movable wishes read of a shock and its parts."""


@dataclass(frozen=True)
class Look:
    """A closer look at a shock along one fact."""

    fact: str
    stretches: tuple[Stretch, ...]


def looks(
    market: Market, base: Wishes, stated: Wishes, batches: Sequence[list[Whole]],
    ways: dict[int, list[Way]], cells: Mapping[int, Sequence[Unknown]],
) -> dict[int, list[Look]]:  # fmt: skip
    """Looks at the shocks of those batches. `base`: wishes with the movable ones unset; `stated`:
    with all of them stated as musts. `cells`: facts of parts that each may be settled along."""
    live = live_rules(stated)
    along = Along(market, base, live, _kits(ways))
    facts = [
        one for one in (*question_unknowns(market, live), *shock_unknowns(market, live))
        if one.whole and pulls_both_ways(one, live)
    ]  # fmt: skip
    asks = [Ask(one, shock, 0.0, 1.0) for shock, some in cells.items() for one in some]
    for batch in batches:
        doubts: dict[int, int] = {}
        for whole in batch:
            doubts[whole.shock] = doubts.get(whole.shock, 0) | _in_doubt(whole)
        for unknown in facts:
            bits = bits_reading(unknown, live, batch[0].rules)
            always = unknown.fact in CHOOSING or reads_fact(unknown, leaves("travel_mm"))
            always |= counts(unknown)
            asks += [
                Ask(unknown, shock, 0.0, 1.0)
                for shock in _loose(market, unknown, doubts)
                if shock in ways and (always or doubts[shock] & bits)
            ]
    found: dict[int, list[Look]] = {}
    for ask, some in stretches(along, asks, [moves(ask.unknown) for ask in asks]):
        found.setdefault(ask.shock, []).append(Look(ask.unknown.fact, some))
    return found


def moves(unknown: Unknown) -> bool:
    """Whether the movable wishes read the fact."""
    return unknown.fact in CHOOSING or reads_fact(unknown, _MOVED)


def _kits(ways: dict[int, list[Way]]) -> Ints:
    """Kits that stand in some entry that is not needless."""
    found = [np.array([], np.int64)]
    for some in ways.values():
        for way in some:
            for k, group in enumerate(way.whole.groups):
                for name in {"head_kit", "shaft_kit"} & set(group.choices):
                    found.append(way.whole.option(k, way.entries[k].row, name))
    return np.unique(np.concatenate(found))


def _in_doubt(whole: Whole) -> int:
    """The rules in doubt about some entry that may do."""
    out = 0
    for group, pair in enumerate(whole.tables):
        rows = whole.rows(group)
        may = rows[pair.certain.sets[rows] == 0]
        out |= int(np.bitwise_or.reduce(pair.possible.sets[may], initial=np.uint64(0)))
    return out


def _loose(market: Market, unknown: Unknown, doubts: dict[int, int]) -> list[int]:
    """Shocks among those for which the fact is loose. A price pulls both ways only where its
    supplier asks for so much an order."""
    if unknown.place != "shocks":
        return list(doubts)
    loose: Mask = loose_cells(market, unknown.fact)
    if counts(unknown):
        suppliers = market.shocks.text("supplier")
        least = np.array([market.order_minimum.get(name, 0.0) for name in suppliers.words])
        loose = loose & (least[suppliers.codes] > 0)
    return [shock for shock in doubts if loose[shock]]


