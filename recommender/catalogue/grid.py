"""A foreign table as rows of cells, before anybody says what its columns mean."""

import csv
import io
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from recommender.catalogue.encodings import decoded
from recommender.catalogue.source import MEBIBYTE, read_bytes
from recommender.facts.problems import BadInput, Problem

LARGEST = 256 * MEBIBYTE
SEPARATORS = (";", ",", "\t", "|")
MOST_ROWS = 1_000_000
MOST_COLUMNS = 500


@dataclass(frozen=True, slots=True)
class Spoilt:
    """A cell whose value cannot be relied on: what it shows, and why."""

    text: str
    why: str


Cell = str | float | Spoilt
"""A text less the blanks around it, a spreadsheet's own number, or a spoilt cell."""


@dataclass(frozen=True)
class Grid:
    """The rows that are not blank, with their numbers in the file; `notes`: how it was read."""

    file: str
    rows: Sequence[Sequence[Cell]]
    lines: Sequence[int]
    notes: tuple[str, ...]


def check_size(path: Path, most: int) -> None:
    """BadInput for a file larger than `most` bytes, before any of it is read."""
    try:
        size = os.stat(path).st_size
    except (OSError, ValueError):
        return  # read_bytes tells what is wrong
    if size > most:
        message = f"{size / MEBIBYTE:.0f} MiB; at most {most / MEBIBYTE:g} MiB are accepted"
        raise BadInput([Problem(str(path), message)])


def csv_grid(path: Path, encoding: str = "", separator: str = "") -> Grid:
    """A CSV file; blank encoding and separator are found out. Raises BadInput."""
    check_size(path, LARGEST)
    file = str(path)
    text, name = decoded(read_bytes(path, LARGEST), encoding, file)
    if not text.strip():
        raise BadInput([Problem(file, "the file is empty")])
    mark = separator or _separator(text)
    rows: list[list[Cell]] = []
    lines: list[int] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    line = 1
    try:
        for row in reader:
            cells: list[Cell] = [cell.strip() for cell in row]
            if any(cells):
                rows.append(cells)
                lines.append(line)
            line = reader.line_num + 1
            if len(rows) > MOST_ROWS or len(cells) > MOST_COLUMNS:
                raise BadInput([too_many(file, len(rows), len(cells), lines[-1])])
    except csv.Error as error:
        raise BadInput([Problem(file, f"the row cannot be read: {error}", row=line)]) from None
    if not rows:
        raise BadInput([Problem(file, "the file is empty")])
    shown = "tab" if mark == "\t" else mark
    return Grid(file, rows, lines, (f"read as {name}, cells separated by {shown!r}",))


def too_many(file: str, rows: int, columns: int, line: int) -> Problem:
    """The problem of a table beyond its bounds."""
    if columns > MOST_COLUMNS:
        return Problem(file, f"{columns} cells; at most {MOST_COLUMNS} are accepted", row=line)
    return Problem(file, f"over {MOST_ROWS} rows; at most as many are accepted", row=line)


def _separator(text: str) -> str:
    """The separator that parts the most lines of the beginning into the same number of cells."""
    head = [line for line in text[:65536].splitlines()[:50] if line.strip()]

    def parted(mark: str) -> tuple[int, int]:
        counts = [line.count(mark) for line in head]
        usual = max(set(counts), key=counts.count) if counts else 0
        return (counts.count(usual) if usual else 0, usual)

    return max(SEPARATORS, key=parted)
