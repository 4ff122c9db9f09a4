"""Two versions of a catalogue: which rows came, went and changed."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import (
    ChoiceColumn,
    Column,
    Ints,
    Mask,
    NumberColumn,
    Table,
    TextColumn,
)
from recommender.facts.fields import numbers
from recommender.facts.tables import OPTIONAL, TABLES


@dataclass(frozen=True)
class CellChange:
    """A cell that is not what it was; '' for unknown."""

    key: str
    column: str
    old: str
    new: str


@dataclass(frozen=True)
class TableChange:
    """One table: keys that came and went, and the cells that changed in the rows of both."""

    table: str
    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[CellChange, ...]

    def __bool__(self) -> bool:
        return bool(self.added or self.removed or self.changed)


def compare(old: Catalogue, new: Catalogue) -> tuple[TableChange, ...]:
    """The tables that differ, frames last, each in the catalogue's own order."""
    out = []
    for name in (*TABLES, *OPTIONAL):
        before, after = getattr(old, name), getattr(new, name)
        if before is None or after is None:
            out.append(_whole(name, before, after))
        else:
            out.append(_table(before, after))
    out.append(_frames(old, new))
    return tuple(change for change in out if change)


def _whole(name: str, before: Table | None, after: Table | None) -> TableChange:
    added = () if after is None else tuple(after.keys())
    removed = () if before is None else tuple(before.keys())
    return TableChange(name, added, removed, ())


def _table(old: Table, new: Table) -> TableChange:
    place = {key: row for row, key in enumerate(old.keys())}
    keys = new.keys()
    kept = set(keys)
    both = [row for row, key in enumerate(keys) if key in place]
    after = np.array(both, np.int64)
    before = np.array([place[keys[row]] for row in both], np.int64)
    changed = []
    for name, column in new.columns.items():
        if name != new.key:
            rows = np.flatnonzero(_differ(old.columns[name].take(before), column.take(after)))
            changed += [
                CellChange(keys[after[k]], name, _told(old, name, int(before[k])),
                           _told(new, name, int(after[k])))
                for k in rows.tolist()
            ]  # fmt: skip
    return TableChange(
        new.name,
        tuple(key for key in keys if key not in place),
        tuple(key for key in place if key not in kept),
        tuple(sorted(changed, key=lambda one: (one.key, one.column))),
    )


def _differ(a: Column, b: Column) -> Mask:
    if isinstance(a, NumberColumn) and isinstance(b, NumberColumn):
        ends = (a.low != b.low) | (a.top != b.top)
        return np.asarray((a.is_known != b.is_known) | (ends & a.is_known & b.is_known))
    if isinstance(a, TextColumn) and isinstance(b, TextColumn):
        index = {word: code for code, word in enumerate(a.words)}
        own: Ints = np.array([index.get(word, -1) for word in b.words], np.int64)
        return np.asarray(a.codes != own[b.codes])
    if isinstance(a, ChoiceColumn) and isinstance(b, ChoiceColumn):
        return np.asarray(a.codes != b.codes)
    raise TypeError("two versions of a column are of one kind")


def _told(table: Table, name: str, row: int) -> str:
    """A cell in words; an amount of money in its row's currency."""
    text = cell_text(table.columns[name], row)
    model, _ = (TABLES | OPTIONAL)[table.name]
    field = numbers(model).get(name)
    is_money = text and field is not None and field.unit == "money"
    return f"{text} {table.text('currency')[row]}" if is_money else text


def cell_text(column: Column, row: int) -> str:
    """A cell as a reader would write it; '' for unknown."""
    if isinstance(column, NumberColumn):
        low, high = float(column.low[row]), float(column.top[row])
        if not column.is_known[row]:
            return ""
        if low == high:
            return f"{low:.10g}"
        return f"{(low + high) / 2:.10g} +/- {(high - low) / 2:.10g}"
    if isinstance(column, ChoiceColumn):
        code = int(column.codes[row])
        return "" if code < 0 else column.values[code]
    return column[row]


def _frames(old: Catalogue, new: Catalogue) -> TableChange:
    changed = [
        CellChange(name, "the file", old.frames[name].digest.hex()[:12], frame.digest.hex()[:12])
        for name, frame in new.frames.items()
        if name in old.frames and old.frames[name].digest != frame.digest
    ]
    return TableChange(
        "frames",
        tuple(name for name in new.frames if name not in old.frames),
        tuple(name for name in old.frames if name not in new.frames),
        tuple(changed),
    )


def capped(changes: tuple[TableChange, ...], most: int) -> Iterator[tuple[str, list[str], int]]:
    """For each table its name, at most that many changes in words, and how many are left out."""
    for one in changes:
        told = [f"new: {key}" for key in one.added] + [f"gone: {key}" for key in one.removed]
        told += [
            f"{cell.key}, {cell.column}: {cell.old or 'unknown'} -> {cell.new or 'unknown'}"
            for cell in one.changed
        ]
        yield one.table, told[:most], max(0, len(told) - most)
