"""XLSX sheets as rows of cells, read with bounds: a workbook is a ZIP that may unfold without end.

What a cell shows is taken only where the file itself holds it: formulas, error values, dates and
cells of merged ranges are spoilt, each with its reason.
"""

import datetime
import re
import zipfile
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

from recommender.catalogue.grid import (
    MOST_COLUMNS,
    MOST_ROWS,
    Cell,
    Grid,
    Spoilt,
    check_size,
    too_many,
)
from recommender.catalogue.source import MEBIBYTE, read_bytes
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem, shorten

LARGEST = 64 * MEBIBYTE
MOST_UNFOLDED = 256 * MEBIBYTE
MOST_PARTS = 4000
MOST_MERGED = 20_000
_MERGE = re.compile(
    rb"<(?:\w+:)?mergeCell\s[^>]*?ref\s*=\s*[\"']([A-Z]{1,3}[0-9]{1,7}:[A-Z]{1,3}[0-9]{1,7})"
)
_MERGED = "part of merged cells {ref}: unmerge them and fill every cell"


def workbook_grid(path: Path, sheet: str = "") -> Grid:
    """A sheet by its name, '' for the first. Raises BadInput."""
    check_size(path, LARGEST)
    read_bytes(path, LARGEST)
    file = str(path)
    _check_parts(path, file)
    try:
        return _grid(path, file, sheet)
    except BadInput:
        raise
    except Exception as error:
        # Whatever the library stumbles over in a broken file: the file is what is wrong.
        message = f"this workbook cannot be read: {shorten(str(error) or type(error).__name__)}"
        raise BadInput([Problem(file, message)]) from None


def _check_parts(path: Path, file: str) -> None:
    """The bounds, by the sizes the ZIP states; reading stops at those, so none can lie."""
    try:
        with zipfile.ZipFile(path) as folder:
            parts = folder.infolist()
            if len(parts) > MOST_PARTS:
                message = f"{len(parts)} parts; a workbook has at most {MOST_PARTS}"
                raise BadInput([Problem(file, message)])
            size = sum(part.file_size for part in parts)
            if size > MOST_UNFOLDED:
                message = (
                    f"it unfolds to {size / MEBIBYTE:.0f} MiB; at most "
                    f"{MOST_UNFOLDED / MEBIBYTE:g} MiB are accepted"
                )
                raise BadInput([Problem(file, message)])
            for part in parts:
                if part.flag_bits & 1:
                    raise BadInput([Problem(file, "the workbook is locked with a password")])
                if part.filename.endswith((".xml", ".rels")) and b"<!DOCTYPE" in folder.read(part):
                    raise BadInput([Problem(file, "a part declares entities: no workbook does")])
    except BadInput:
        raise
    except Exception as error:
        reason = shorten(str(error) or type(error).__name__)
        message = f"this is no XLSX workbook ({reason}); old .xls files: save as .xlsx or CSV"
        raise BadInput([Problem(file, message)]) from None


def _grid(path: Path, file: str, sheet: str) -> Grid:
    import openpyxl

    book = openpyxl.load_workbook(path, read_only=True, data_only=False, keep_links=False)
    try:
        names = [one.title for one in book.worksheets]
        if not names:
            raise BadInput([Problem(file, "the workbook has no sheet with cells")])
        if sheet and sheet not in names:
            near = nearest(sheet[:80], names)
            message = f"no such sheet; it has: {shorten(', '.join(names), 200)}{near}"
            raise BadInput([Problem(file, message, value=sheet)])
        chosen: Any = book[sheet] if sheet else book.worksheets[0]
        merged = _merged(path, chosen)
        chosen.reset_dimensions()  # what the file states of its extent may be anything
        rows: list[list[Cell]] = []
        lines: list[int] = []
        for number, row in enumerate(chosen.iter_rows(), start=1):
            if number > MOST_ROWS + 50 or len(row) > MOST_COLUMNS:
                raise BadInput([too_many(file, number, len(row), number)])
            cells = [_cell(cell) for cell in row]
            if number in merged:
                cells = _with_merged(cells, merged[number])
            if any(cell != "" for cell in cells):
                rows.append(cells)
                lines.append(number)
    finally:
        book.close()
    if not rows:
        raise BadInput([Problem(file, f"the sheet {chosen.title!r} is empty")])
    return Grid(file, rows, lines, (f"read from the sheet {chosen.title!r}",))


def _cell(cell: Any) -> Cell:
    value, kind = cell.value, cell.data_type
    if value is None:
        return ""
    if kind == "f":
        return Spoilt(shorten(str(value)), "a formula: save the sheet with values only")
    if kind == "e":
        return Spoilt(shorten(str(value)), "an error value of the spreadsheet")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        try:
            return float(value)
        except OverflowError:
            return Spoilt("a very long number", "no number that can be used")
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        return Spoilt(str(value), "a date or time: spreadsheets make dates of numbers such as 5.2")
    return str(value).strip()


def _merged(path: Path, sheet: Any) -> dict[int, dict[int, str]]:
    """Row -> column from 0 -> merged range; the library tells of none when it only reads."""
    from openpyxl.utils.cell import range_boundaries

    part = str(sheet._worksheet_path)
    out: dict[int, dict[int, str]] = {}
    count = 0
    with zipfile.ZipFile(path) as folder:
        for match in _MERGE.finditer(folder.read(part)):
            ref = match[1].decode("ascii")
            for row, column in _places(range_boundaries(ref)):
                out.setdefault(row, {})[column] = ref
                count += 1
                if count > MOST_MERGED:
                    message = f"over {MOST_MERGED} merged cells: unmerge them"
                    raise BadInput([Problem(str(path), message)])
    return out


def _places(bounds: Any) -> Iterator[tuple[int, int]]:
    left, top, right, bottom = bounds
    return product(range(top, bottom + 1), range(left - 1, right))


def _with_merged(cells: list[Cell], merged: dict[int, str]) -> list[Cell]:
    """The row with its merged cells spoilt; those that the file leaves out are put in."""
    out = cells + [""] * (max(merged) + 1 - len(cells))
    for column, ref in merged.items():
        cell = out[column]
        shown = cell.text if isinstance(cell, Spoilt) else str(cell)
        out[column] = Spoilt(shown, _MERGED.format(ref=ref))
    return out
