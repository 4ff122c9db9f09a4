"""Catalogue tables made straight from rows of raw cells, for tests that need hundreds of them."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import ChoiceColumn, Column, NumberColumn, Table, TextColumn
from recommender.catalogue.question import Question
from recommender.facts.bike import Bike
from recommender.facts.quantity import Choice, Number, Quantity
from recommender.facts.rider import Rider
from recommender.facts.tables import TABLES
from recommender.facts.wishes import Wishes

Row = Mapping[str, Any]


def table(name: str, rows: Sequence[Row]) -> Table:
    """The rows as a table; a cell that is absent or None takes the field's default."""
    model, key = TABLES[name]
    columns: dict[str, Column] = {}
    for field, info in model.model_fields.items():
        cells = [row.get(field) for row in rows]
        cells = [_default(info.default) if cell is None else cell for cell in cells]
        number = next((m for m in info.metadata if isinstance(m, Number)), None)
        choice = next((m for m in info.metadata if isinstance(m, Choice)), None)
        if number is not None:
            values = [number.parse(cell) for cell in cells]
            columns[field] = NumberColumn.of(
                np.array([v.low for v in values], float),
                np.array([v.high for v in values], float),
                np.array([v.known for v in values], bool),
            )
        elif choice is not None:
            codes = [-1 if not cell else choice.values.index(cell) for cell in cells]
            columns[field] = ChoiceColumn(np.array(codes, np.int16), choice.values)
        else:
            columns[field] = TextColumn.of([str(cell) for cell in cells])
    return Table(name, key, columns, f"{name}.csv")


def _default(default: Any) -> Any:
    if isinstance(default, Quantity) and default.known:
        return default
    return "" if default is None or not isinstance(default, str | int | float) else default


def catalogue(**tables: Sequence[Row]) -> Catalogue:
    """A catalogue of those rows, without frames."""
    made = {name: table(name, tables[name]) for name in TABLES}
    return Catalogue(**made, frames={}, folder=Path("."), digest="")


def question(bike: Row, rider: Row | None = None, wishes: Row | None = None) -> Question:
    """A question from the raw values of its three tables."""
    return Question(
        Bike.model_validate(bike),
        Rider.model_validate(rider or {}),
        Wishes.model_validate(wishes or {}),
        "",
    )
