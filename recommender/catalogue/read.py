"""A catalogue table read from CSV into typed columns, every problem of the file told at once."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from pandas.errors import ParserError

from recommender.catalogue import cells
from recommender.catalogue.columns import Column, NumberColumn, Table
from recommender.catalogue.faults import Faults
from recommender.catalogue.header import Origin, origins
from recommender.catalogue.rows import Chunk, header_of, read_fast, read_slow
from recommender.catalogue.source import MEBIBYTE, decode, read_bytes
from recommender.facts.fields import choice_of, numbers, text_of
from recommender.facts.parts import Row
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import OPTIONAL, TABLES

LARGEST = 512 * MEBIBYTE
LARGEST_SMALL = 64 * MEBIBYTE
_MODELS = TABLES | OPTIONAL


def read_table(path: Path, name: str) -> Table:
    """A table of TABLES or OPTIONAL from a CSV file (UTF-8, a comma between cells, names first).

    A blank cell, like a column the file does not have, takes the model's default, unknown where
    there is none; 'unknown' and '?' are unknown even where there is one. A column named in
    another unit (`length_in`) converts. Blanks around a cell are stripped, rows wholly blank
    left out. Raises BadInput with all problems of the file.
    """
    return parse_table(read_bytes(path, largest(name)), str(path), name)


def largest(name: str) -> int:
    """The largest file accepted for a table, bytes."""
    return LARGEST if name in ("shocks", "kits") else LARGEST_SMALL


def parse_table(data: bytes, file: str, name: str) -> Table:
    """As `read_table`, from the bytes of the file."""
    table, problems = parsed(data, file, name)
    if problems:
        raise BadInput(problems)
    return table


def parsed(data: bytes, file: str, name: str) -> tuple[Table, list[Problem]]:
    """The table as far as its cells could be read, what could not stands as unknown; and every
    problem. Raises BadInput where there is no header to read by."""
    model, key = _MODELS[name]
    faults = Faults(file)
    names = header_of(decode(data, file), faults)
    faults.stop()
    found = origins(names, model, key, faults)
    try:
        table = _typed(read_fast(data, len(names)), found, name, faults)
    except ParserError:
        faults = Faults(file)
        found = origins(names, model, key, faults)
        table = _typed(read_slow(decode(data, file), len(names), faults), found, name, faults)
    if key in found:
        _check_keys(table, found[key], faults)
    if name == "shocks" and len(table) == 0 and not faults:
        faults.add("the catalogue holds no shock: no row follows the header")
    return table, faults.problems()


def _typed(
    chunks: Iterator[Chunk], found: Mapping[str, Origin], name: str, faults: Faults
) -> Table:
    model, key = _MODELS[name]
    parts: dict[str, list[Column]] = {field: [] for field in model.model_fields}
    lines = [np.zeros(0, np.int64)]
    for chunk in chunks:
        lines.append(chunk.lines)
        for field in parts:
            parts[field].append(_column(chunk, model, field, found.get(field), faults))
    if len(lines) == 1:
        empty = Chunk([], lines[0])
        parts = {field: [_column(empty, model, field, None, faults)] for field in parts}
    columns = {field: _joined(column) for field, column in parts.items()}
    return Table(name, key, columns, faults.file, np.concatenate(lines))


def _column(
    chunk: Chunk, model: type[Row], field: str, origin: Origin | None, faults: Faults
) -> Column:
    info = model.model_fields[field]
    number, choice = numbers(model).get(field), choice_of(info)
    default: Any = "" if info.is_required() else info.default
    rows = len(chunk.lines)
    if origin is None:
        if number is not None:
            return cells.number_default(rows, number, default)
        if choice is not None:
            return cells.choice_default(rows, choice, default)
        return cells.text_default(rows, default)
    given, lines = chunk.columns[origin.position], chunk.lines
    if number is not None:
        return cells.number_cells(given, lines, number, default, origin, faults)
    if choice is not None:
        return cells.choice_cells(given, lines, choice, default, origin, faults)
    return cells.text_cells(given, lines, text_of(info), default, origin, faults)


def _joined(parts: list[Column]) -> Column:
    return parts[0] if len(parts) == 1 else type(parts[0]).join(parts)  # type: ignore[arg-type]


def _check_keys(table: Table, origin: Origin, faults: Faults) -> None:
    """No key twice. Blank keys were told of as cells."""
    column = table.columns[table.key]
    if isinstance(column, NumberColumn) or table.lines is None:
        raise TypeError(f"{table.name}.{table.key} is no column of keys")
    _, first, inverse = np.unique(column.codes, return_index=True, return_inverse=True)
    again = np.flatnonzero(first[inverse] != np.arange(len(table)))
    if not again.size:
        return
    keys, lines = table.keys(), table.lines
    again = again[[keys[row] != "" for row in again.tolist()]]

    def fault(i: int) -> tuple[str, str]:
        row = int(again[i])
        return f"stands in row {lines[first[inverse[row]]]} already", keys[row]

    faults.add_each(lines[again], origin.name, fault, kind="twice")
