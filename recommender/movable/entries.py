"""The entries of each group of choices, with what the movable wishes and the score read of them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.ranking.criteria import Criterion
from recommender.ranking.tables import Table, group_tables
from recommender.rules.registry import FIGURES, PARTS, Rule
from recommender.search.corners import Corners
from recommender.search.families import Sets
from recommender.search.frames import Frames
from recommender.search.groups import Group
from recommender.search.margins import margin
from recommender.search.tables import Pair
from recommender.search.whole import Whole


@dataclass(frozen=True)
class Interval:
    """A quantity of every entry: nominal, and the lowest and highest it may be."""

    nominal: Floats
    low: Floats
    high: Floats

    def take(self, rows: Ints) -> "Interval":
        return Interval(self.nominal[rows], self.low[rows], self.high[rows])

    @property
    def ends(self) -> "Interval":
        """The same with nothing nominal to tell rows apart by."""
        return Interval(self.low, self.low, self.high)


@dataclass(frozen=True)
class Entries:
    """A group's entries for one way of mounting. `row` are rows of the group's frame, ascending.

    `values` has one column per name in `criteria`. `doubtful` holds what an entry may break beside
    the movable wishes. `touched`: a joint rule reads it, so it is never needless. `ordered`: what
    it orders from the supplier whose minimum a price looked along may decide, its nominal NaN where
    nothing; None elsewhere.
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
    ordered: Interval | None = None

    def __len__(self) -> int:
        return len(self.row)

    def take(self, keep: Ints) -> "Entries":
        return Entries(
            self.row[keep], self.criteria, self.quantities[keep], self.values[keep],
            self.price.take(keep), self.mass.take(keep), self.days.take(keep),
            self.workshop[keep], None if self.travel is None else self.travel.take(keep),
            self.doubtful[keep], self.touched[keep],
        )  # fmt: skip


def bare(columns: Sequence[Entries], tables: Sequence[Pair]) -> list[Entries]:
    """The entries with what those tables say of them and nothing that gives points."""
    return [
        replace(
            one, doubtful=pair.possible.sets, workshop=np.zeros(len(one)),
            price=one.price.ends, mass=one.mass.ends, days=one.days.ends,
            travel=None if one.travel is None else one.travel.ends,
        )
        for one, pair in zip(columns, tables, strict=True)
    ]


def columns_of(whole: Whole, made: tuple[Criterion, ...]) -> list[Entries]:
    """The entries of every group, of all owners in the batch."""
    tables = group_tables(whole, made)
    return [
        _entries(whole, k, group, table)
        for k, (group, table) in enumerate(zip(whole.groups, tables, strict=True))
    ]


def _entries(whole: Whole, number: int, group: Group, table: Table) -> Entries:
    """Every row of the group's frame, of all owners in the batch."""
    corners = Corners(whole.made.frames)
    return Entries(
        np.arange(len(table.price)), tuple(one.name for one in table.criteria), table.quantities,
        table.values,
        _summed(corners.plain, group, table.price, ("price", "labour")),
        _summed(corners.plain, group, table.mass, ("mass_g",)),
        _days(corners, group, table.days),
        table.workshop,
        _travel(corners, group, whole.rules.groups),
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


def _days(made: Corners, group: Group, nominal: Floats) -> Interval:
    low, high = np.zeros(len(nominal)), np.zeros(len(nominal))
    for part in _parts(group):
        one = figure_ends(made, group.choices, f"{part}_ready_days")
        low, high = np.maximum(low, one[0]), np.maximum(high, one[1])
    return Interval(nominal, low, high)


def figure_ends(
    made: Corners, choices: tuple[str, ...], name: str
) -> tuple[Floats, Floats]:
    """[low, high] of a figure, row by row of the frame of those choices."""
    got = margin(made, _as_margin(name))
    rows = made.plain.rows_of(choices, got.choices)
    return (got.low, got.high) if rows is None else (got.low[rows], got.high[rows])


def _as_margin(name: str) -> Rule:
    """A figure as a margin: its ends are found as those of any rule."""
    of = FIGURES[name]
    return Rule(name, "limit", "", "", "", "", lambda value: value, (name,), name,
                rises=of.rises, falls=of.falls)  # fmt: skip


def _parts(group: Group) -> list[str]:
    return [part for part in group.choices or ("shock",) if part in PARTS]


def _fact(frames: Frames, group: Group, part: str, name: str) -> tuple[Floats, Floats]:
    fact = frames.fact(name)
    rows = frames.rows_of(group.choices, (part,) if group.choices else ())
    return (fact.low, fact.high) if rows is None else (fact.low[rows], fact.high[rows])


def _travel(made: Corners, group: Group, groups: tuple[Group, ...]) -> Interval | None:
    """Travel of every row, in the group that decides the stroke; None elsewhere."""
    got, frames = margin(made, _as_margin("travel_mm")), made.plain
    if not set(got.choices) <= set(group.choices) or not group.choices:
        return None
    rows = frames.rows_of(group.choices, got.choices)
    with np.errstate(all="ignore"):
        nominal = np.asarray(frames.nominal().value("travel_mm"), float)
    nominal = np.broadcast_to(nominal, got.low.shape)
    one = Interval(nominal, got.low, got.high)
    return one if rows is None else one.take(rows)
