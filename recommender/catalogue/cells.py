"""Cells into typed columns. Every distinct text is looked at once, never a row at a time."""

import re
from typing import Any

import numpy as np

from recommender.catalogue.columns import (
    UNKNOWN_CODE,
    ChoiceColumn,
    Floats,
    Ints,
    Mask,
    NumberColumn,
    TextColumn,
)
from recommender.catalogue.faults import Faults
from recommender.catalogue.header import Origin
from recommender.catalogue.rows import Cells
from recommender.facts.fields import Text
from recommender.facts.quantity import Choice, Number, Quantity
from recommender.facts.units import convert

PLAIN_NUMBER = r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?"
NO_BLANK = "a blank is not accepted here: it names the row"
_plain = re.compile(PLAIN_NUMBER).fullmatch


def number_cells(
    cells: Cells, lines: Ints, number: Number, default: Any, origin: Origin, faults: Faults
) -> NumberColumn:
    """Numbers in the field's unit; a blank cell takes the default."""
    texts, unit = cells.texts, origin.unit
    low, high, known = np.zeros(len(texts)), np.zeros(len(texts)), np.ones(len(texts), bool)
    fast, values = _plain_numbers(texts, number, unit)
    low[fast] = high[fast] = values
    wrong: dict[int, str] = {}
    for i in np.flatnonzero(~fast).tolist():
        try:
            quantity = number.parse(texts[i], unit) if texts[i] else number.parse(default)
        except ValueError as error:
            wrong[i] = str(error)
            quantity = Quantity(number.low, number.high, "unknown")
        low[i], high[i], known[i] = quantity.low, quantity.high, quantity.known
    _report(wrong, cells, lines, origin, faults)
    codes = cells.codes
    return NumberColumn.of(low[codes], high[codes], known[codes])


def choice_cells(
    cells: Cells, lines: Ints, choice: Choice, default: Any, origin: Origin, faults: Faults
) -> ChoiceColumn:
    """Words of the closed list, in any case of letters; a blank cell takes the default."""
    table = np.full(len(cells.texts), UNKNOWN_CODE, np.int16)
    wrong: dict[int, str] = {}
    for i, text in enumerate(cells.texts):
        try:
            word = choice.parse(text or default)
        except ValueError as error:
            wrong[i] = str(error)
            continue
        if word is not None:
            table[i] = choice.values.index(word)
        elif origin.required:
            wrong[i] = NO_BLANK
    _report(wrong, cells, lines, origin, faults)
    return ChoiceColumn(table[cells.codes], choice.values)


def text_cells(
    cells: Cells, lines: Ints, bounds: Text, default: str, origin: Origin, faults: Faults
) -> TextColumn:
    """Texts within their bounds; a blank cell takes the default."""
    index: dict[str, int] = {}
    wrong: dict[int, str] = {}
    table = np.zeros(len(cells.texts), np.int32)
    for i, text in enumerate(cells.texts):
        fault = bounds.fault(text) if text else NO_BLANK if origin.required else None
        if fault is not None:
            wrong[i] = fault
        table[i] = index.setdefault(text or default, len(index))
    _report(wrong, cells, lines, origin, faults)
    return TextColumn(table[cells.codes], tuple(index))


def number_default(rows: int, number: Number, default: Any) -> NumberColumn:
    """The column of a field that the file does not have."""
    value = number.parse(default)
    return NumberColumn.of(
        np.full(rows, value.low), np.full(rows, value.high), np.full(rows, value.known)
    )


def choice_default(rows: int, choice: Choice, default: str | None) -> ChoiceColumn:
    """The column of a field that the file does not have."""
    code = UNKNOWN_CODE if default is None else choice.values.index(default)
    return ChoiceColumn(np.full(rows, code, np.int16), choice.values)


def text_default(rows: int, default: str) -> TextColumn:
    """The column of a field that the file does not have."""
    return TextColumn(np.zeros(rows, np.int32), (default,))


def _plain_numbers(texts: list[str], number: Number, unit: str | None) -> tuple[Mask, Floats]:
    """Which texts are a bare number within bounds, and those numbers in the field's unit.

    `float` rounds every decimal correctly, as Number.parse does; whatever else a text may be
    (blank, a tolerance, a unit, out of bounds) is left to Number.parse and its messages.
    """
    fast = np.fromiter((_plain(text) is not None and len(text) <= 80 for text in texts), bool)
    plain = [text for text, is_plain in zip(texts, fast.tolist(), strict=True) if is_plain]
    values = np.fromiter(map(float, plain), np.float64, len(plain))
    if unit is not None:
        with np.errstate(over="ignore"):
            values = convert(values, unit, number.unit)
    inside = (values >= number.low) & (values <= number.high)
    fast[fast] = inside
    return fast, values[inside]


def _report(
    wrong: dict[int, str], cells: Cells, lines: Ints, origin: Origin, faults: Faults
) -> None:
    """One fault for each cell that holds a wrong text."""
    if not wrong:
        return
    rows = np.flatnonzero(np.isin(cells.codes, list(wrong)))
    codes = cells.codes[rows].tolist()
    faults.add_each(
        lines[rows], origin.name, lambda i: (wrong[codes[i]], cells.texts[codes[i]]), kind="cell"
    )
