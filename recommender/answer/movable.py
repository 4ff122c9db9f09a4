"""Every bundle that only movable wishes can turn down, factor by factor.

Judged with the movable wishes unset, each shock that is not ruled out keeps, for every group of
choices, the entries that break nothing else. What the movable wishes and the score read of them
(price, mass, days, travel, doubts, values) stands beside each entry as an interval, so whoever
holds these tables can move the wishes and find the bundles that `ranked` would find. Entries that
another makes needless whatever the movable wishes and weights are, are left out.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.explain.refine import refine
from recommender.facts.wishes import Wish, Wishes
from recommender.ranking.criteria import Criterion, criteria
from recommender.ranking.order import Table, group_tables
from recommender.rules.choices import Market
from recommender.rules.registry import PARTS, Rule
from recommender.search.families import Sets
from recommender.search.frames import Frames
from recommender.search.groups import Group, Rules
from recommender.search.joint import JOINT, NONE, free, joint_sets
from recommender.search.margins import margin
from recommender.search.verdicts import RULED_OUT, Verdicts, judge
from recommender.search.whole import Whole, partners_of, wholes

MOVABLE = ("budget", "travel_mm", "mass_g", "days", "adjusters", "spring_kind")
"""Fields of the wishes that can be moved without judging the catalogue again."""
NO = "-"
"""Stands for a combination that a joint rule forbids for certain."""


@dataclass(frozen=True)
class Interval:
    """A quantity of every entry: nominal, and the lowest and highest it may be."""

    nominal: Floats
    low: Floats
    high: Floats

    def take(self, rows: Ints) -> "Interval":
        return Interval(self.nominal[rows], self.low[rows], self.high[rows])


@dataclass(frozen=True)
class Entries:
    """A group's entries for one way of mounting. `row` are rows of the group's frame, ascending.

    `values` has one column per name in `criteria`. `doubtful` holds what an entry may break beside
    the movable wishes. `touched`: a joint rule reads it, so it is never needless.
    """

    row: Ints
    criteria: tuple[str, ...]
    quantities: Floats
    values: Floats
    price: Interval
    mass: Interval
    days: Interval
    workshop: Floats
    travel: Interval | None
    doubtful: Sets
    touched: Mask

    def __len__(self) -> int:
        return len(self.row)

    def take(self, keep: Ints) -> "Entries":
        return Entries(
            self.row[keep], self.criteria, self.quantities[keep], self.values[keep],
            self.price.take(keep), self.mass.take(keep), self.days.take(keep),
            self.workshop[keep], None if self.travel is None else self.travel.take(keep),
            self.doubtful[keep], self.touched[keep],
        )  # fmt: skip


@dataclass(frozen=True)
class Way:
    """One shock mounted one way: the entries of each group, and what joint rules say.

    `joint` are the groups that joint rules read; `allowed` has a character per combination of their
    entries, the last group running fastest: NO, or the number whose bits are the joint rules (in
    the order of JOINT) that it may break.
    """

    whole: Whole
    entries: tuple[Entries, ...]
    joint: tuple[int, ...]
    allowed: str


@dataclass(frozen=True)
class Movable:
    """Everything that moving the wishes can bring into the answer.

    `ways` holds, by shock, the ways of mounting it. Shocks that are not in it stay ruled out.
    """

    rules: Rules
    wishes: Wishes
    criteria: tuple[Criterion, ...]
    verdicts: Verdicts
    ways: dict[int, tuple[Way, ...]]


def unmoved(wishes: Wishes) -> Wishes:
    """The wishes with the movable ones unset and nothing weighed down to zero."""
    unset: dict[str, Wish[Any]] = {name: Wish() for name in MOVABLE}
    counting = {
        name: getattr(wishes, name).model_copy(update={"weight": 1.0})
        for name in type(wishes).model_fields
        if name not in unset and hasattr(getattr(wishes, name), "weight")
    }
    return wishes.model_copy(update={**counting, **unset, "weights": {}})


def movable(market: Market, wishes: Wishes) -> Movable:
    """The tables for a market and its wishes. Cost: as ranking every shock not ruled out."""
    base = unmoved(wishes)
    verdicts = judge(market, base)
    made = criteria(base)
    kind = market.shocks.choice("spring_kind").codes
    # What no single fact can save stays out whatever more is wished for.
    rows = np.flatnonzero(refine(market, base, verdicts).state != RULED_OUT)
    ways: dict[int, list[Way]] = {}
    for code in np.unique(kind[rows]).tolist():
        for way in _ways(market, base, made, rows[kind[rows] == code]):
            ways.setdefault(way.whole.shock, []).append(way)
    # Ways stand in the order of their owners, as the frames' rows do.
    return Movable(
        verdicts.rules, base, made, verdicts,
        {shock: tuple(ways[shock]) for shock in sorted(ways)},
    )  # fmt: skip


def _ways(
    market: Market, wishes: Wishes, made: tuple[Criterion, ...], shocks: Ints
) -> Iterator[Way]:
    for _, batch in groupby(wholes(market, wishes, shocks), key=lambda whole: id(whole.made)):
        columns: list[Entries] | None = None
        for whole in batch:
            if columns is None:
                tables = group_tables(whole, made)
                columns = [
                    _entries(whole, k, group, table)
                    for k, (group, table) in enumerate(zip(whole.groups, tables, strict=True))
                ]
            way = _way(whole, columns)
            if way is not None:
                yield way


def _entries(whole: Whole, number: int, group: Group, table: Table) -> Entries:
    """Every row of the group's frame, of all owners in the batch."""
    frames = whole.made.frames
    return Entries(
        np.arange(len(table.price)), tuple(one.name for one in table.criteria), table.quantities,
        table.values,
        _summed(frames, group, table.price, ("price", "labour")),
        _summed(frames, group, table.mass, ("mass_g",)),
        _days(frames, group, table.days),
        table.workshop,
        _travel(frames, group, whole.rules.groups),
        whole.tables[number].possible.sets,
        np.zeros(len(table.price), bool),
    )  # fmt: skip


def _summed(frames: Frames, group: Group, nominal: Floats, names: tuple[str, ...]) -> Interval:
    """What the group's parts add, row by row."""
    low, high = np.zeros(len(nominal)), np.zeros(len(nominal))
    for part in _parts(group):
        for name in names:
            one = _fact(frames, group, part, f"{part}_{name}")
            low, high = low + one[0], high + one[1]
    return Interval(nominal, low, high)


def _days(frames: Frames, group: Group, nominal: Floats) -> Interval:
    low, high = np.zeros(len(nominal)), np.zeros(len(nominal))
    for part in _parts(group):
        one = _figure(frames, group, f"{part}_ready_days")
        low, high = np.maximum(low, one[0]), np.maximum(high, one[1])
    return Interval(nominal, low, high)


def _figure(frames: Frames, group: Group, name: str) -> tuple[Floats, Floats]:
    got = margin(frames, Rule(name, "limit", "", "", "", "", lambda value: value, (name,), name))
    rows = frames.rows_of(group.choices, got.choices)
    return (got.low, got.high) if rows is None else (got.low[rows], got.high[rows])


def _parts(group: Group) -> list[str]:
    return [part for part in group.choices or ("shock",) if part in PARTS]


def _fact(frames: Frames, group: Group, part: str, name: str) -> tuple[Floats, Floats]:
    fact = frames.fact(name)
    rows = frames.rows_of(group.choices, (part,) if group.choices else ())
    return (fact.low, fact.high) if rows is None else (fact.low[rows], fact.high[rows])


_TRAVEL = Rule(
    "travel", "limit", "mm", "", "", "", lambda travel_mm: travel_mm, ("travel_mm",), "travel"
)


def _travel(frames: Frames, group: Group, groups: tuple[Group, ...]) -> Interval | None:
    """Travel of every row, in the group that decides the stroke; None elsewhere."""
    got = margin(frames, _TRAVEL)
    if not set(got.choices) <= set(group.choices) or not group.choices:
        return None
    rows = frames.rows_of(group.choices, got.choices)
    with np.errstate(all="ignore"):
        nominal = np.asarray(frames.nominal().value("travel_mm"), float)
    nominal = np.broadcast_to(nominal, got.low.shape)
    one = Interval(nominal, got.low, got.high)
    return one if rows is None else one.take(rows)


def _way(whole: Whole, columns: list[Entries]) -> Way | None:
    """The entries of one way of mounting that may be chosen; None where some group has none."""
    entries = []
    for group, every in enumerate(columns):
        rows = whole.rows(group)
        rows = rows[whole.tables[group].certain.sets[rows] == 0]
        mine = every.take(rows)
        touched = _touched(whole, group, rows)
        kept = np.union1d(_needed(mine, np.flatnonzero(~touched)), np.flatnonzero(touched))
        entries.append(replace(mine.take(kept), touched=touched[kept]))
    if not all(len(one) for one in entries):
        return None
    joint, allowed = _joint(whole, entries)
    return None if allowed and set(allowed) == {NO} else Way(whole, tuple(entries), joint, allowed)


def _touched(whole: Whole, group: int, rows: Ints) -> Mask:
    """Entries that some joint rule reads."""
    out = np.zeros(len(rows), bool)
    for name, piece in zip(whole.ordered_choices(group), whole.ordered(group, rows), strict=True):
        pieces = 2 if name.endswith("kit") else 1
        out |= ~free(piece, whole.order.minimum, pieces) | np.isin(piece.part, partners_of(whole))
    return out


def _needed(entries: Entries, some: Ints) -> Ints:
    """Of those entries the ones that no other equals or betters in everything that can ever count;
    of twins the first."""
    if not len(some):
        return some
    mine = entries.take(some)
    less = [
        column
        for one in (mine.price, mine.mass, mine.days)
        for column in (one.nominal, one.low, one.high)
    ]
    worth = np.stack([*mine.values.T, *(-one for one in less), -mine.workshop], axis=1)
    travel = mine.travel
    same = np.zeros((len(some), 0)) if travel is None else np.stack(
        [travel.nominal, travel.low, travel.high], axis=1
    )  # fmt: skip
    keep = np.ones(len(some), bool)
    for k in range(len(some)):
        if not keep[k]:
            continue
        beaten = (worth[k] >= worth).all(axis=1) & (same[k] == same).all(axis=1)
        beaten &= (mine.doubtful[k] & ~mine.doubtful) == 0
        twin = beaten & (worth == worth[k]).all(axis=1) & (mine.doubtful == mine.doubtful[k])
        keep &= ~beaten | (twin & (np.arange(len(some)) < k))
        keep[k] = True
    return some[keep]


def _joint(whole: Whole, entries: list[Entries]) -> tuple[tuple[int, ...], str]:
    """The groups that joint rules read, and what they say of each combination."""
    shock = whole.order.shelves["shock"].at(np.array([whole.shock]))
    minimum = whole.order.minimum
    touched = bool(~free(shock, minimum, 1)[0])
    suppliers = set(shock.supplier.tolist()) if touched else set()
    for k, one in enumerate(entries):
        for piece in whole.ordered(k, one.row[one.touched]):
            suppliers |= set(piece.supplier.tolist())
    suppliers -= {NONE}
    groups = tuple(
        k for k, one in enumerate(entries)
        if one.touched.any()
        or any(np.isin(p.supplier, list(suppliers)).any() for p in whole.ordered(k, one.row))
    )  # fmt: skip
    if not groups and not touched:
        return (), ""
    sizes = [len(entries[k]) for k in groups]
    index = np.unravel_index(np.arange(int(np.prod(sizes))), sizes) if groups else ()
    pieces = [whole.order.shelves["shock"].at(np.full(int(np.prod(sizes)), whole.shock))]
    for k, at in zip(groups, index, strict=True):
        pieces += whole.ordered(k, entries[k].row[at])
    said = joint_sets(pieces, minimum)
    code = sum(said[name][1].astype(int) << k for k, name in enumerate(JOINT))
    never = np.logical_or.reduce([said[name][0] for name in JOINT])
    text = "".join(NO if no else str(one) for no, one in zip(never, np.asarray(code), strict=True))
    return (groups, text) if set(text) != {"0"} else ((), "")
