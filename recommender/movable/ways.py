"""The ways of mounting a shock, with the entries of each group of choices.

Entries that another makes needless whatever the movable wishes and weights are, are left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.movable.entries import Entries, Interval
from recommender.search.joint import HAIR, JOINT, NONE, free, joint_sets
from recommender.search.whole import Whole

NO = "-"
"""Stands for a combination that a joint rule forbids for certain."""


@dataclass(frozen=True)
class Way:
    """One shock mounted one way: the entries of each group, and what joint rules say.

    `joint` are the groups that joint rules read; `allowed` has a character per combination of their
    entries, the last group running fastest: NO, or the number whose bits are the joint rules (in
    the order of JOINT) that it may break. `least`: where a price is looked along, what has to be
    ordered of its supplier if anything is; `allowed` then tells of the other minimums alone.
    """

    whole: Whole
    entries: tuple[Entries, ...]
    joint: tuple[int, ...]
    allowed: str
    least: float = 0.0

    @property
    def told(self) -> tuple[object, ...]:
        """What tells two ways of one shock apart."""
        sets = ((tuple(one.row.tolist()), tuple(one.doubtful.tolist())) for one in self.entries)
        return (self.whole.turned, self.allowed, *sets)


def way_of(whole: Whole, columns: list[Entries]) -> Way | None:
    """The entries of one way of mounting that may be chosen; None where some group has none."""
    found = way_between(whole, columns, ())
    return None if found is None else found[0]


def way_between(
    whole: Whole, columns: list[Entries], others: Sequence[tuple[Whole, list[Entries]]],
    supplier: str = "",
) -> tuple[Way, tuple[tuple[Entries, ...], ...]] | None:
    """The same, and the same entries as they are elsewhere: in those wholes, which have the same
    rows in the same order. An entry is needless only where it is so everywhere. `supplier`: whose
    order minimum is told by what each entry orders, in place of combinations."""
    open_ = []
    for group in range(len(columns)):
        rows = whole.rows(group)
        open_.append(rows[whole.tables[group].certain.sets[rows] == 0])
    if not all(len(rows) for rows in open_):
        return None
    read = [_touched(whole, group, rows) for group, rows in enumerate(open_)]
    ordering = _suppliers(whole, open_, read)
    entries, elsewhere = [], []
    for group, (every, rows) in enumerate(zip(columns, open_, strict=True)):
        mine = every.take(rows)
        place = rows - whole.rows(group)[0]
        also = [made[group].take(other.rows(group)[0] + place) for other, made in others]
        # What comes from the supplier of a touched piece may help to reach the order minimum.
        touched = read[group] | _from(whole, group, rows, ordering)
        needed = _needed(mine, also, np.flatnonzero(~touched))
        kept = np.union1d(needed, np.flatnonzero(touched))
        entries.append(replace(mine.take(kept), touched=touched[kept]))
        elsewhere.append([one.take(kept) for one in also])
    minimum, least = whole.order.minimum, 0.0
    if supplier:
        code = whole.order.suppliers.index(supplier)
        least, minimum = float(minimum[code]) - HAIR, minimum.copy()
        minimum[code] = 0.0
        where = [other for other, _ in others]
        entries = [_ordering(whole, k, one, supplier) for k, one in enumerate(entries)]
        elsewhere = [
            [_ordering(other, k, one, supplier) for other, one in zip(where, some, strict=True)]
            for k, some in enumerate(elsewhere)
        ]
    joint, allowed = _joint(whole, entries, minimum)
    if allowed and set(allowed) == {NO}:
        return None
    nodes = tuple(tuple(some[k] for some in elsewhere) for k in range(len(others)))
    return Way(whole, tuple(entries), joint, allowed, least), nodes


def _ordering(whole: Whole, group: int, entries: Entries, supplier: str) -> Entries:
    """The entries with what they order from that supplier; the shock is the first group's."""
    pieces = whole.ordered(group, entries.row)
    if not whole.groups[group].choices:
        pieces.append(whole.order.shelves["shock"].at(np.full(len(entries), whole.shock)))
    code = whole.order.suppliers.index(supplier)
    low, high, some = np.zeros(len(entries)), np.zeros(len(entries)), np.zeros(len(entries), bool)
    for piece in pieces:
        mine = piece.supplier == code
        low, high = low + np.where(mine, piece.low, 0.0), high + np.where(mine, piece.high, 0.0)
        some |= mine
    return replace(entries, ordered=Interval(np.where(some, low, np.nan), low, high))


def _suppliers(whole: Whole, rows: list[Ints], touched: list[Mask]) -> list[int]:
    """Suppliers of what joint rules read: the shock and those entries."""
    shock = whole.order.shelves["shock"].at(np.array([whole.shock]))
    found = set() if free(shock, whole.order.minimum, "shock")[0] else set(shock.supplier.tolist())
    for group, (some, mask) in enumerate(zip(rows, touched, strict=True)):
        for piece in whole.ordered(group, some[mask]):
            found |= set(piece.supplier.tolist())
    return sorted(found - {NONE})


def _from(whole: Whole, group: int, rows: Ints, suppliers: list[int]) -> Mask:
    """Entries with a piece from one of those suppliers."""
    out = np.zeros(len(rows), bool)
    for piece in whole.ordered(group, rows):
        out |= np.isin(piece.supplier, suppliers)
    return out


def _touched(whole: Whole, group: int, rows: Ints) -> Mask:
    """Entries that some joint rule reads."""
    out = np.zeros(len(rows), bool)
    for name, piece in zip(whole.ordered_choices(group), whole.ordered(group, rows), strict=True):
        out |= ~free(piece, whole.order.minimum, name) | whole.order.paired(piece)
    return out


def _needed(entries: Entries, also: Sequence[Entries], some: Ints) -> Ints:
    """Of those entries the ones that no other equals or betters in everything that can ever count,
    here and elsewhere; of twins the first."""
    if not len(some):
        return some
    mine = entries.take(some)
    every = (mine, *(one.take(some) for one in also))
    less = [
        column
        for there in every
        for one in (there.price, there.mass, there.days)
        for column in (one.nominal, one.low, one.high)
    ]
    worth = np.stack([*mine.values.T, *(-one for one in less), -mine.workshop], axis=1)
    travels = [
        column for there in every if there.travel is not None
        for column in (there.travel.nominal, there.travel.low, there.travel.high)
    ]  # fmt: skip
    same = np.stack(travels, axis=1) if travels else np.zeros((len(some), 0))
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


def _joint(
    whole: Whole, entries: list[Entries], minimum: Floats
) -> tuple[tuple[int, ...], str]:
    """The groups that joint rules read, and what they say of each combination where suppliers ask
    for so much."""
    shock = whole.order.shelves["shock"].at(np.array([whole.shock]))
    touched = bool(~free(shock, minimum, "shock")[0])
    groups = tuple(k for k, one in enumerate(entries) if one.touched.any())
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
