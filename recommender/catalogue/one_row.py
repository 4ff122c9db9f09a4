"""A record as a table of one row, so that a part entered by hand is judged like any other;
and back: the cells of a row as the values that a record takes."""

from dataclasses import replace
from typing import Any

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Column, NumberColumn, Table, TextColumn
from recommender.facts.parts import Row
from recommender.facts.quantity import Quantity


def one_row(record: Row, like: Table) -> Table:
    """The record under the columns of `like`, whose model it is an instance of."""
    columns: dict[str, Column] = {}
    for name, column in like.columns.items():
        value = getattr(record, name)
        if isinstance(column, NumberColumn):
            columns[name] = NumberColumn.of(
                np.array([value.low]), np.array([value.high]), np.array([value.known])
            )
        elif isinstance(column, ChoiceColumn):
            code = -1 if value is None else column.values.index(value)
            columns[name] = ChoiceColumn(np.array([code], np.int16), column.values)
        else:
            columns[name] = TextColumn.of([value])
    return replace(like, columns=columns, lines=None)


def values(table: Table, row: int) -> dict[str, Any]:
    """A row's cells by column."""
    return {name: value(table, name, row) for name in table.columns}


def value(table: Table, name: str, row: int) -> Quantity | str | None:
    """A cell as a record holds it: a quantity, a word (None: unknown), or a text."""
    column = table.columns[name]
    if isinstance(column, NumberColumn):
        low, high = float(column.low[row]), float(column.top[row])
        if not column.is_known[row]:
            return Quantity(low, high, "unknown")
        return Quantity(low, high, "exact" if low == high else "measured")
    if isinstance(column, ChoiceColumn):
        code = int(column.codes[row])
        return None if code < 0 else column.values[code]
    return column[row]
