"""Every bundle that only movable wishes can turn down, factor by factor.

Judged with the movable wishes unset, each shock that is not ruled out keeps, for every group of
choices, the entries that break nothing else. What the movable wishes and the score read of them
(price, mass, days, travel, doubts, values) stands beside each entry as an interval, so whoever
holds these tables can move the wishes and find the bundles that `ranked` would find, and the
states that `refine` would.
"""

from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from recommender.explain.deciding import Deciding
from recommender.explain.unknowns import live_rules
from recommender.facts.wishes import Band, Wish, Wishes
from recommender.movable.entries import columns_of
from recommender.movable.looks import Look, looks
from recommender.movable.part_looks import part_cells
from recommender.movable.ways import Way, way_of
from recommender.ranking.criteria import Criterion, every
from recommender.rules.choices import Market
from recommender.search.groups import Rules
from recommender.search.joint import JOINT
from recommender.search.judging import judge
from recommender.search.verdicts import RULED_OUT, Verdicts
from recommender.search.whole import batches

MOVABLE = ("budget", "travel_mm", "mass_g", "days", "adjusters", "spring_kind")
"""Fields of the wishes that can be moved without judging the catalogue again."""


@dataclass(frozen=True)
class Counted:
    """A criterion, and how its value is found: from the rows, from a total by fixed points, or from
    a wish that can be moved."""

    name: str
    wish: str
    fact: str
    unit: str
    weight: float
    how: Literal["moved", "total", "row"]
    points: tuple[tuple[float, float], ...] | None


@dataclass(frozen=True)
class Movable:
    """Everything that moving the wishes can bring into the answer.

    `ways` holds, by shock, the ways of mounting it. Shocks that are not in it stay ruled out.
    `closer` holds the looks at those that may be settled along an unmeasured fact.
    """

    rules: Rules
    wishes: Wishes
    criteria: tuple[Criterion, ...]
    verdicts: Verdicts
    ways: dict[int, tuple[Way, ...]]
    closer: dict[int, tuple[Look, ...]] = field(default_factory=dict)
    joint: tuple[str, ...] = JOINT


def unmoved(wishes: Wishes) -> Wishes:
    """The wishes with the movable ones unset and nothing weighed down to zero."""
    unset: dict[str, Wish[Any]] = {name: Wish() for name in MOVABLE}
    counting = {
        name: getattr(wishes, name).model_copy(update={"weight": 1.0})
        for name in type(wishes).model_fields
        if name not in unset and hasattr(getattr(wishes, name), "weight")
    }
    return wishes.model_copy(update={**counting, **unset, "weights": {}})


def stated(wishes: Wishes) -> Wishes:
    """The wishes with all movable ones stated as musts that hardly anything breaks."""
    musts: dict[str, object] = {
        "budget": 1e6, "travel_mm": Band(low=0.0), "mass_g": 1e6, "days": 1e6,
        "adjusters": ("rebound",), "spring_kind": "air",
    }  # fmt: skip
    return wishes.model_copy(
        update={
            name: getattr(wishes, name).model_copy(update={"must": must})
            for name, must in musts.items()
        }
    )


def movable(market: Market, wishes: Wishes) -> Movable:
    """The tables for a market and its wishes. Cost: as ranking every shock not ruled out."""
    base = unmoved(wishes)
    verdicts = judge(market, base)
    made = tuple(every(base))
    mounted = list(batches(market, base, np.flatnonzero(verdicts.state != RULED_OUT)))
    ways: dict[int, list[Way]] = {}
    for batch in mounted:
        columns = columns_of(batch[0], made)
        for whole in batch:
            way = way_of(whole, columns)
            if way is not None:
                ways.setdefault(whole.shock, []).append(way)
    shocks = np.array(sorted(ways), np.int64)
    deciding = Deciding(market, base, live_rules(stated(base)), verdicts.rules, shocks)
    cells = part_cells(market, base, deciding, ways)
    found = looks(market, base, stated(base), mounted, ways, cells)
    # Ways stand in the order of their owners, as the frames' rows do.
    return Movable(
        verdicts.rules, base, made, verdicts,
        {shock: tuple(ways[shock]) for shock in sorted(ways)},
        {shock: tuple(some) for shock, some in found.items()},
    )


def every_criterion(found: Movable, wishes: Wishes) -> list[Counted]:
    """Every criterion that can count, in the order in which they are listed: those of the movable
    wishes stand where stating them would put them."""
    told = {
        "travel_mm": {"prefer": Band(low=0.0)}, "adjusters": {"prefer": ("rebound",)},
        "spring_kind": {"prefer": "air"},
    }  # fmt: skip
    stated = found.wishes.model_copy(update={
        name: getattr(found.wishes, name).model_copy(update=told.get(name, {}))
        for name in MOVABLE
    })  # fmt: skip
    return [_counted(one, wishes) for one in every(stated)]


def _counted(one: Criterion, wishes: Wishes) -> Counted:
    own: float = getattr(wishes, one.wish).weight if one.wish else one.weight
    weight = own if one.wish else wishes.weights.get(one.name, own)
    if one.wish in MOVABLE:
        return Counted(one.name, one.wish, one.fact, one.unit, weight, "moved", None)
    how: Literal["total", "row"] = "total" if one.total else "row"
    return Counted(one.name, one.wish, one.fact, one.unit, weight, how, one.points)
