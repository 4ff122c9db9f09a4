"""Tables as plain arrays, small and without anything that could run, and back again."""

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import (
    UNKNOWN_CODE,
    ChoiceColumn,
    Column,
    Floats,
    NumberColumn,
    Table,
    TextColumn,
)
from recommender.facts.fields import choice_of, numbers
from recommender.facts.tables import OPTIONAL, TABLES

Arrays = dict[str, npt.NDArray[np.generic]]
_MODELS = TABLES | OPTIONAL


def packed(table: Table) -> Arrays:
    """The table's cells as arrays, by names that no two tables share."""
    out: Arrays = {f"{table.name}/lines": _small(table.lines)} if table.lines is not None else {}
    for field, column in table.columns.items():
        at = f"{table.name}/{field}"
        if isinstance(column, NumberColumn):
            out |= _distinct(f"{at}/low", column.low)
            if len(column.loose):
                out |= _distinct(f"{at}/top", column.top)
            if column.known is not None:
                out[f"{at}/known"] = column.known
        else:
            out[f"{at}/codes"] = _small(column.codes)
            if isinstance(column, TextColumn):
                out[f"{at}/words"] = _bytes(column.words)
    return out


def unpacked(name: str, file: str, held: Mapping[str, npt.NDArray[np.generic]]) -> Table:
    """The table of that name again, as read from the file. Raises any exception where the arrays
    are not those of such a table."""
    model, key = _MODELS[name]
    lines = held[f"{name}/lines"].astype(np.int64)
    columns: dict[str, Column] = {}
    for field, info in model.model_fields.items():
        at, choice = f"{name}/{field}", choice_of(info)
        if field in numbers(model):
            column: Column = NumberColumn.of(
                _spread(f"{at}/low", held),
                _spread(f"{at}/top", held) if f"{at}/top/values" in held else None,
                held[f"{at}/known"].astype(bool) if f"{at}/known" in held else None,
            )
        elif choice is not None:
            column = ChoiceColumn(held[f"{at}/codes"].astype(np.int16), choice.values)
            _within(column.codes, UNKNOWN_CODE, len(choice.values))
        else:
            column = TextColumn(held[f"{at}/codes"].astype(np.int32), _words(held[f"{at}/words"]))
            _within(column.codes, 0, len(column.words))
        if len(column.low if isinstance(column, NumberColumn) else column.codes) != len(lines):
            raise ValueError(f"{at} has another number of rows")
        columns[field] = column
    return Table(name, key, columns, file, lines)


def _distinct(at: str, values: Floats) -> Arrays:
    """Numbers as their distinct values and codes of those: of most columns a quarter. The values
    are told apart by their bits, so that what comes out is what went in."""
    bits, codes = np.unique(values.view(np.int64), return_inverse=True)
    return {f"{at}/values": bits.view(np.float64), f"{at}/codes": _small(codes)}


def _spread(at: str, held: Mapping[str, npt.NDArray[np.generic]]) -> Floats:
    out: Floats = held[f"{at}/values"].astype(np.float64)[held[f"{at}/codes"]]
    return out


def _within(codes: npt.NDArray[np.signedinteger], low: int, size: int) -> None:
    if len(codes) and not (codes.min() >= low and codes.max() < size):
        raise ValueError("a code without a word")


def _small(values: npt.NDArray[np.signedinteger]) -> npt.NDArray[np.integer]:
    """The same whole numbers in the narrowest type that holds them."""
    for kind in (np.uint8, np.int16, np.uint16, np.int32):
        bounds = np.iinfo(kind)
        if not len(values) or (values.min() >= bounds.min and values.max() <= bounds.max):
            return values.astype(kind)
    return values


def _bytes(words: tuple[str, ...]) -> npt.NDArray[np.uint8]:
    """Texts, each with a NUL after it: no text of a catalogue holds one."""
    return np.frombuffer("".join(word + "\0" for word in words).encode(), np.uint8)


def _words(data: npt.NDArray[np.generic]) -> tuple[str, ...]:
    return tuple(data.tobytes().decode().split("\0")[:-1])
