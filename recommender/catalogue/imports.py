"""A shop's export turned into rows of a catalogue table; what cannot be is kept, and why."""

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from recommender.catalogue.check import check_tables
from recommender.catalogue.columns import Table
from recommender.catalogue.foreign import Read, read_choice, read_number, read_text, shown
from recommender.catalogue.grid import Cell, Grid
from recommender.catalogue.mapping import Column
from recommender.catalogue.mapping import Mapping as Told
from recommender.catalogue.read import parse_table
from recommender.facts.fields import choice_of, numbers, text_of
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem, shorten
from recommender.files.cells import guarded

HEADER_WITHIN = 50
"""Rows in which the header is sought."""


@dataclass(frozen=True)
class Reason:
    """Why a row was not understood: what is wrong, and where it is one cell, its column and text.
    Reasons of one `kind` differ in that text alone."""

    message: str
    column: str = ""
    value: str = ""

    @property
    def kind(self) -> str:
        return f"{self.column}: {self.message}" if self.column else self.message

    def __str__(self) -> str:
        shown = repr(shorten(self.value)) if self.value else ""
        return ": ".join(part for part in (self.column, shown, self.message) if part)


@dataclass(frozen=True)
class Rejected:
    """A row that was not understood: its line, its cells as they stood, and every reason."""

    line: int
    cells: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def why(self) -> tuple[str, ...]:
        """The reasons in words."""
        return tuple(map(str, self.reasons))


@dataclass(frozen=True)
class Understood:
    """What a field was taken from, and how many of the accepted rows have it."""

    field: str
    source: str
    filled: int
    example: str


@dataclass(frozen=True)
class Imported:
    """Accepted rows (catalogue fields, one text each, in file order) and rejected ones."""

    table: str
    header: tuple[str, ...]
    accepted: tuple[dict[str, str], ...]
    lines: tuple[int, ...]
    rejected: tuple[Rejected, ...]
    understood: tuple[Understood, ...]
    unused: tuple[str, ...]
    notes: tuple[str, ...]

    def accepted_csv(self) -> str:
        """The catalogue's own CSV; columns that no row fills are left out."""
        return table_csv(self.accepted, self._key_first())

    def rejected_csv(self) -> str:
        """The rows as they stood, with line and reasons; cells guarded against formulas."""
        out = io.StringIO()
        # A cell with either sign of a line's end is quoted only where the writer uses both.
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow(["row in the file", "why", *(guarded(name) for name in self.header)])
        for row in self.rejected:
            why = "; ".join(row.why)
            writer.writerow([row.line, guarded(why), *(guarded(cell) for cell in row.cells)])
        return out.getvalue()

    def _key_first(self) -> str:
        return self.understood[0].field


def table_csv(rows: Iterable[Mapping[str, str]], key: str) -> str:
    """Rows as a catalogue's CSV: the key first, then the columns that some row fills."""
    rows = list(rows)
    names = [key, *dict.fromkeys(n for row in rows for n, text in row.items() if text and n != key)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([guarded(row.get(name, "")) for name in names] for row in rows)
    return out.getvalue()


@dataclass
class _Rows:
    """The rows on their way: texts by field, and the reasons against each row."""

    texts: dict[str, list[str]] = field(default_factory=dict)
    reasons: dict[int, list[Reason]] = field(default_factory=dict)

    def against(self, row: int, message: str, column: str = "", value: str = "") -> None:
        self.reasons.setdefault(row, []).append(Reason(message, column, value))


def import_rows(told: Told, grid: Grid, suppliers: Table | None = None) -> Imported:
    """Every row of the grid by the mapping; `suppliers` are those a row may name.

    Raises BadInput only where no row could be understood: no header, no such column.
    """
    at, places = _header(told, grid)
    header = tuple(shown(cell) for cell in grid.rows[at])
    body = [k for k in range(at + 1, len(grid.rows)) if not _is_header(grid.rows[k], header)]
    again = len(grid.rows) - at - 1 - len(body)
    cells = [grid.rows[k] for k in body]
    lines = [grid.lines[k] for k in body]
    rows = _Rows()
    currencies = _translate(told, cells, places, rows)
    _set_currency(told, rows, currencies, len(cells))
    for name, value in told.constants.items():
        rows.texts[name] = [value] * len(cells)
    for k, row in enumerate(cells):
        extra = [shown(cell) for cell in row[len(header) :] if cell != ""]
        if extra:
            rows.against(k, "more cells than the header has names", value=extra[0])
    _same_key(told.key, rows, lines)
    _check_together(told, grid.file, rows, lines, suppliers)
    return _imported(told, header, cells, lines, rows, _notes(grid, at, again))


def _notes(grid: Grid, at: int, again: int) -> tuple[str, ...]:
    notes = [*grid.notes, f"the names of the columns stand in row {grid.lines[at]}"]
    if again:
        rows = "1 repeated row" if again == 1 else f"{again} repeated rows"
        notes.append(f"{rows} of column names passed over")
    return tuple(notes)


def _folded(cell: Cell) -> str:
    return " ".join(shown(cell).split()).casefold()


def _is_header(row: Sequence[Cell], header: Sequence[str]) -> bool:
    return [_folded(cell) for cell in row if cell != ""] == [_folded(c) for c in header if c]


def _header(told: Told, grid: Grid) -> tuple[int, dict[str, int]]:
    """Row of the header in the grid, and the position of every mapped column."""
    wanted = {column.source: _folded(column.source) for column in told.columns.values()}
    stated = told.source.header_row
    candidates = [
        k for k, line in enumerate(grid.lines[:HEADER_WITHIN] if stated is None else grid.lines)
        if stated in (None, line)
    ]  # fmt: skip
    if not candidates:
        message = f"row {stated} is blank or beyond the end: no header there"
        raise BadInput([Problem(told.file, message, column="import.header_row")])

    def found(k: int) -> int:
        names = {_folded(cell) for cell in grid.rows[k]}
        return sum(name in names for name in wanted.values())

    at = max(candidates, key=lambda k: (found(k), -k))
    names = [_folded(cell) for cell in grid.rows[at]]
    listed = [shown(cell) for cell in grid.rows[at]]
    problems = []
    for source, name in wanted.items():
        times = names.count(name)
        if times != 1:
            near = nearest(source[:80], [one for one in listed if one])
            message = "no such column" + near if times == 0 else f"this column stands {times} times"
            problems.append(Problem(grid.file, message, grid.lines[at], value=source))
    if problems:
        raise BadInput(problems)
    return at, {field: names.index(wanted[c.source]) for field, c in told.columns.items()}


def _translate(
    told: Told, cells: Sequence[Sequence[Cell]], places: Mapping[str, int], rows: _Rows
) -> dict[str, list[str]]:
    """Fill `rows` field by field, each distinct cell looked at once; currencies of money fields."""
    currencies: dict[str, list[str]] = {}
    for name, place in places.items():
        reader = _reader(told, name, told.columns[name])
        index: dict[Cell, Read] = {}
        texts, codes = [], []
        for k, row in enumerate(cells):
            cell = row[place] if place < len(row) else ""
            got = index.get(cell)
            if got is None:
                got = index[cell] = reader(cell)
            if got.fault:
                rows.against(k, got.fault, told.columns[name].source, shown(cell))
            texts.append(got.text)
            codes.append(got.currency)
        rows.texts[name] = texts
        if any(codes):
            currencies[name] = codes
    return currencies


def _reader(told: Told, name: str, column: Column) -> Callable[[Cell], Read]:
    info = told.model.model_fields[name]
    number, choice = numbers(told.model).get(name), choice_of(info)
    decimal = told.source.decimal
    if number is not None:
        return lambda cell: read_number(cell, number, decimal, column.unit, column.part)
    if choice is not None:
        return lambda cell: read_choice(cell, choice, column.words)
    bounds = text_of(info)
    return lambda cell: read_text(cell, bounds, column.words, name == told.key)


def _set_currency(told: Told, rows: _Rows, found: Mapping[str, Sequence[str]], count: int) -> None:
    """The currency written in a price where nothing else tells it; else they must agree."""
    if not found:
        return
    own = rows.texts.get("currency")
    stated = own or [told.constants.get("currency", "")] * count
    out = list(stated)
    for name, codes in found.items():
        for k, code in enumerate(codes):
            if code and out[k] and code != out[k]:
                rows.against(k, f"{name} is in {code}, the row says {out[k]}")
            elif code:
                out[k] = code
    if "currency" not in told.constants:
        rows.texts["currency"] = out


def _same_key(key: str, rows: _Rows, lines: Sequence[int]) -> None:
    first: dict[str, int] = {}
    for k, text in enumerate(rows.texts[key]):
        if not text:
            continue
        line = first.setdefault(text, lines[k])
        if line != lines[k]:
            rows.against(k, f"stands in row {line} already", key, text)


def _check_together(
    told: Told, file: str, rows: _Rows, lines: Sequence[int], suppliers: Table | None
) -> None:
    """What contradicts within a row or with other tables: the catalogue's own checks."""
    good = [k for k in range(len(lines)) if k not in rows.reasons]
    if not good:
        return
    made = [{name: texts[k] for name, texts in rows.texts.items()} for k in good]
    data = table_csv(made, told.key).encode()
    table = parse_table(data, file, told.source.table)
    tables: dict[str, Table] = {told.source.table: table}
    if suppliers is not None:
        tables["suppliers"] = suppliers
    for problem in check_tables(tables, most=len(good) + 1):
        if problem.file == file and problem.row is not None:
            row = good[problem.row - 2]
            rows.against(row, problem.message, problem.column, problem.value or "")


def _imported(
    told: Told, header: tuple[str, ...], cells: Sequence[Sequence[Cell]], lines: Sequence[int],
    rows: _Rows, notes: tuple[str, ...],
) -> Imported:  # fmt: skip
    good = [k for k in range(len(lines)) if k not in rows.reasons]
    fields = [told.key, *(name for name in rows.texts if name != told.key)]
    accepted = tuple({name: rows.texts[name][k] for name in fields} for k in good)
    rejected = tuple(
        Rejected(lines[k], tuple(shown(cell) for cell in cells[k]), tuple(rows.reasons[k]))
        for k in sorted(rows.reasons)
    )
    understood = []
    for name in fields:
        filled = [row[name] for row in accepted if row[name]]
        column = told.columns.get(name)
        own = "the same in every row" if name in told.constants else "the price"
        source = column.source if column else own
        understood.append(Understood(name, source, len(filled), filled[0] if filled else ""))
    used = {_folded(column.source) for column in told.columns.values()}
    unused = tuple(name for name in header if name and _folded(name) not in used)
    return Imported(
        told.source.table, header, accepted, tuple(lines[k] for k in good), rejected,
        tuple(understood), unused, notes,
    )  # fmt: skip
