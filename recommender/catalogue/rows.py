"""The cells of a CSV file, in chunks, each row with the line it starts on.

pandas reads what is well formed. A file with a ragged row is read again by the csv module, which
knows the line of every fault; both yield the same cells.
"""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

import numpy as np
import pandas as pd

from recommender.catalogue.columns import Ints
from recommender.catalogue.faults import Faults

CHUNK = 50_000
MOST_COLUMNS = 500
LONGEST_HEADER = 2**20


@dataclass(frozen=True)
class Cells:
    """One column of a chunk: `texts[codes[i]]` is the cell of row i, less blanks around it."""

    codes: Ints
    texts: list[str]

    def keep(self, rows: Any) -> "Cells":
        return Cells(self.codes[rows], self.texts)

    def blank(self) -> Any:
        """Mask of the rows whose cell is blank."""
        return np.array([text == "" for text in self.texts], bool)[self.codes]


@dataclass(frozen=True)
class Chunk:
    """Columns in the header's order, and the line on which each row starts."""

    columns: list[Cells]
    lines: Ints


def header_of(text: str, faults: Faults) -> list[str]:
    """The names in the first line, blanks around them stripped; [] and a fault if there are none.

    Blank names at the end (a spreadsheet's empty columns) stand as ''.
    """
    try:
        header = next(csv.reader(io.StringIO(text[:LONGEST_HEADER], newline="")), [])
    except csv.Error as error:
        faults.add(f"the first line cannot be read: {error}", row=1)
        return []
    names = [name.strip() for name in header]
    if not any(names):
        empty = not text.strip()
        faults.add("the file is empty" if empty else "the first line must name the columns", row=1)
        return []
    if len(names) > MOST_COLUMNS:
        faults.add(f"{len(names)} columns; at most {MOST_COLUMNS} are accepted", row=1)
        return []
    return names


def read_fast(data: bytes, width: int) -> Iterator[Chunk]:
    """The rows by pandas; raises pandas.errors.ParserError at a row with too many cells.

    Missing cells at the end of a row are blank. The header is read as a row, so that every row is
    measured against its width (pandas lets the first row of data go unmeasured).
    """
    frames = pd.read_csv(
        io.BytesIO(data),
        header=None,
        names=list(range(width)),
        index_col=False,
        dtype=object,
        na_filter=False,
        chunksize=CHUNK,
        engine="c",
        skip_blank_lines=False,
        encoding="utf-8-sig",
    )
    line = 1
    with frames:
        for number, frame in enumerate(frames):
            columns = [frame[i].to_numpy(dtype=object) for i in range(width)]
            if number == 0:
                line += 1 + sum(_line_ends(column[0]) for column in columns)
                columns = [column[1:] for column in columns]
            chunk, line = _chunk(columns, line)
            yield _filled(chunk)


def read_slow(text: str, width: int, faults: Faults) -> Iterator[Chunk]:
    """The rows of the right width by the csv module; the others become faults.

    Blank cells beyond the header's width are no fault.
    """
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows = _measured(reader, width, faults)
    # A tenth of a chunk: here every cell is an object of its own for a while.
    while block := list(islice(rows, max(1, CHUNK // 10))):
        lines = np.array([line for line, _ in block], np.int64)
        columns = [_column(texts) for texts in zip(*(row for _, row in block), strict=True)]
        yield _filled(Chunk([_factorized(column) for column in columns], lines))


def _measured(reader: Any, width: int, faults: Faults) -> Iterator[tuple[int, list[str]]]:
    start = 1
    try:
        for row in reader:
            line, start = start, reader.line_num + 1
            extra = [cell for cell in row[width:] if cell.strip()]
            if extra:
                faults.add(
                    f"{len(row)} cells, the header has {width} columns; "
                    "a text with a comma in it needs quotation marks around it",
                    row=line,
                    value=extra[0],
                    kind="ragged",
                )
            elif line > 1:
                yield line, (row + [""] * (width - len(row)))[:width]
    except csv.Error as error:
        faults.add(f"the row cannot be read: {error}", row=start)


def _chunk(columns: list[Any], line: int) -> tuple[Chunk, int]:
    """Chunk whose first row starts on `line`, and the line after its last row."""
    cells = [_factorized(column) for column in columns]
    breaks = np.zeros(len(columns[0]), np.int64)
    for column in cells:
        joined = "".join(column.texts)
        if "\n" in joined or "\r" in joined:
            inside = [_line_ends(text) for text in column.texts]
            breaks += np.array(inside, np.int64)[column.codes]
    ends = line + np.cumsum(breaks + 1)
    return Chunk(cells, ends - breaks - 1), int(ends[-1]) if len(ends) else line


def _filled(chunk: Chunk) -> Chunk:
    """The rows that are not wholly blank, the blanks around their texts stripped."""
    columns = [
        Cells(column.codes, [text.strip() for text in column.texts]) for column in chunk.columns
    ]
    filled = np.zeros(len(chunk.lines), bool)
    for column in columns:
        filled |= ~column.blank()
        if filled.all():
            return Chunk(columns, chunk.lines)
    return Chunk([column.keep(filled) for column in columns], chunk.lines[filled])


def _factorized(column: Any) -> Cells:
    codes, texts = pd.factorize(column)
    return Cells(codes, list(texts))


def _column(texts: tuple[str, ...]) -> Any:
    column = np.empty(len(texts), object)
    column[:] = texts
    return column


def _line_ends(text: str) -> int:
    return text.count("\n") + text.count("\r") - text.count("\r\n")
