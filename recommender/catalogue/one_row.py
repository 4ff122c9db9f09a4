"""A record as a table of one row, so that a part entered by hand is judged like any other."""

from dataclasses import replace

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Column, NumberColumn, Table, TextColumn
from recommender.facts.parts import Row


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
