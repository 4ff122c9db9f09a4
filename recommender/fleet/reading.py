"""The fleet file: one row for some alike bikes, from CSV or XLSX, by its own names or a mapping.

    bike,model,count,rider_mass_with_kit_kg,spring_changes,condition,hours_per_year,due
    A1,trail-hire,6,55 to 95,no,service due,420,2027-03-01

A mapping, written once, says what an owner's own columns mean:

    [fleet]
    decimal = ","
    sheet = "bikes"

    [columns]
    model = "Type"
    rider_mass_with_kit_kg = { from = "Riders", unit = "lb" }
    condition = { from = "State", words = { "dead" = "broken" } }
"""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from recommender.catalogue.document import read_toml, top_tables, validate
from recommender.catalogue.faults import Faults
from recommender.catalogue.foreign import read_choice, read_number, read_text, shown
from recommender.catalogue.grid import Cell, Grid, Spoilt, csv_grid
from recommender.catalogue.mapping import Column
from recommender.catalogue.workbook import workbook_grid
from recommender.facts import words
from recommender.facts.fields import choice_of, field_of, numbers, text_of, unknown_field
from recommender.facts.lookalike import foreign_letter, looks
from recommender.facts.parts import Row, Text, YesNo
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import UNKNOWN, Choice, Number, Quantity

MOST_BIKES = 20_000
HOURS_PER_YEAR = 300.0
"""Riding hours of a bike whose row does not tell them. From memory."""
CONDITIONS = ("good", "service due", "broken")


class FleetRow(Row):
    """Some alike bikes. Blank: as the model's own file says, else the default."""

    bike: Text = Field("", description="its name; blank: the model and the row's number")
    model: Text = Field("", description="a TOML file beside the fleet file, or a frame's id")
    count: Annotated[Quantity, Number("count", 1, MOST_BIKES)] = 1  # type: ignore[assignment]
    rider_mass_with_kit_kg: Annotated[Quantity, Number("kg", 25.0, 200.0)] = Field(
        UNKNOWN, description="the range to be served, '55 to 95'"
    )
    taste: Annotated[str | None, Choice(words.TASTES)] = None
    wishes: Text = Field("", description="a TOML file with [wishes] beside the fleet file")
    spring_changes: YesNo = Field(
        None, description="another spring or spacer may be put in for another rider; blank: no"
    )
    present_shock: Text = Field("", description="part number; 'none' where there is none")
    condition: Annotated[str | None, Choice(CONDITIONS)] = None
    hours_per_year: Annotated[Quantity, Number("hours", 0.0, 8760.0)] = UNKNOWN
    due: Annotated[str, Field(max_length=10)] = Field("", description="next service, 2027-03-01")


@dataclass(frozen=True)
class Bikes:
    """A row as it was read. `number` is its line in the file; `unread` are the fields whose cells
    could not be read, and stand as if blank."""

    name: str
    number: int
    facts: FleetRow
    file: str = "the fleet"
    unread: frozenset[str] = frozenset()

    @property
    def count(self) -> int:
        return round(self.facts.count.low)

    @property
    def hours(self) -> float:
        told = self.facts.hours_per_year
        return told.mid if told.known else HOURS_PER_YEAR

    @property
    def due(self) -> datetime.date | None:
        return datetime.date.fromisoformat(self.facts.due) if self.facts.due else None

    def names(self) -> list[str]:
        """One name per bike: 'A1', or 'A1/1', 'A1/2' where the row stands for several."""
        if self.count == 1:
            return [self.name]
        return [f"{self.name}/{k}" for k in range(1, self.count + 1)]


def _named(raw: Any) -> Any:
    return {"from": raw} if isinstance(raw, str) else raw


class _File(Row):
    decimal: Literal[".", ","] = "."
    separator: Literal["", ";", ",", "\t", "|"] = ""
    encoding: Literal["", "utf-8", "utf-16", "cp1252"] = ""
    sheet: Annotated[str, Field(max_length=100)] = ""


class _Told(Row):
    fleet: _File = _File()
    columns: dict[str, Annotated[Column, BeforeValidator(_named)]] = Field({})


def read_fleet(path: Path, mapping: Path | None = None) -> tuple[Bikes, ...]:
    """Every row of a fleet file. Raises BadInput with all problems of the file."""
    rows, problems = read_rows(path, mapping)
    if problems:
        raise BadInput(problems)
    return rows


def read_rows(
    path: Path, mapping: Path | None = None
) -> tuple[tuple[Bikes, ...], Sequence[Problem]]:
    """Every row of a fleet file as far as it can be read, and all problems of the file. Raises
    BadInput where the columns themselves cannot be told."""
    told = _read_mapping(mapping) if mapping else _Told()
    grid = _grid(path, told.fleet)
    columns = _columns(grid, told.columns)
    faults = Faults(str(path))
    bikes = []
    for line, cells in zip(grid.lines[1:], grid.rows[1:], strict=True):
        extra = [shown(cell) for cell in cells[len(grid.rows[0]) :] if cell != ""]
        if extra:
            faults.add("more cells than the header has names", line, value=extra[0])
        else:
            facts, unread = _row(line, cells, columns, told.fleet.decimal, faults)
            name = facts.bike or f"{facts.model} {line}"
            bikes.append(Bikes(name, line, facts, str(path), unread))
    if len(grid.rows) < 2:
        faults.add("the fleet holds no bike: no row follows the header")
    written = columns["bike"].written if "bike" in columns else "bike"
    _check_names([one for one in bikes if not one.unread & {"bike", "model"}], written, faults)
    return tuple(bikes), faults.problems()


def _check_names(bikes: list[Bikes], column: str, faults: Faults) -> None:
    """A row and each of its bikes are looked up by name, so no two rows share one."""
    first: dict[str, tuple[int, str]] = {}
    for one in bikes:
        for name in dict.fromkeys((one.name, *one.names())):
            there, same = first.setdefault(looks(name), (one.number, name))
            if there != one.number:
                message = f"this name stands in row {there} already"
                if same != name:
                    odd = foreign_letter(name + same)
                    message = f"this name looks like that of row {there}{odd}"
                faults.add(message, one.number, column, name, "twice")
                break
    if sum(one.count for one in bikes) > MOST_BIKES:
        faults.add(f"more than {MOST_BIKES} bikes")


def _grid(path: Path, file: _File) -> Grid:
    if path.suffix.lower() in (".xlsx", ".xlsm"):
        return workbook_grid(path, file.sheet)
    return csv_grid(path, file.encoding, file.separator)


def _read_mapping(path: Path) -> _Told:
    raw, _ = read_toml(path)
    file = str(path)
    tables, problems = top_tables(raw, ("fleet", "columns"), file)
    told, more = validate(tables, _Told, "", file)
    problems += [Problem(file, p.message, column=p.column.lstrip("."), value=p.value) for p in more]
    for name in tables.get("columns", {}):
        if name not in FleetRow.model_fields:
            problems.append(Problem(file, unknown_field(name, FleetRow), column=f"columns.{name}"))
    if problems or told is None:
        raise BadInput(problems)
    return told


@dataclass(frozen=True)
class _Place:
    """Where a field stands, and how its cells are to be read."""

    position: int
    unit: str = ""
    part: int | None = None
    words: Mapping[str, str] | None = None
    written: str = ""


def _columns(grid: Grid, mapped: Mapping[str, Column]) -> dict[str, _Place]:
    """Where each field stands; the first row that is not blank names the columns."""
    names = [" ".join(shown(cell).split()) for cell in grid.rows[0]]
    faults = Faults(grid.file)
    out: dict[str, _Place] = {}
    if mapped:
        folded = [name.casefold() for name in names]
        for field, column in mapped.items():
            source = " ".join(column.source.split())
            if folded.count(source.casefold()) != 1:
                message = f"the mapping wants one column of this name for {field}"
                faults.add(message, grid.lines[0], value=source)
                continue
            at = folded.index(source.casefold())
            out[field] = _Place(at, column.unit, column.part, column.words, names[at])
    else:
        for at, name in enumerate(names):
            meant = field_of(name, FleetRow)
            if meant is None:
                message = unknown_field(name, FleetRow)
                faults.add(message, grid.lines[0], value=name or "a column without a name")
            elif meant[0] in out:
                faults.add("this column stands twice", grid.lines[0], value=name)
            else:
                out[meant[0]] = _Place(at, meant[1] or "", None, None, name)
    if "model" not in out and not faults:
        faults.add("a column 'model' is wanted: a TOML file beside this one, or a frame's id")
    faults.stop()
    return out


def _row(
    line: int, cells: Any, columns: Mapping[str, _Place], decimal: str, faults: Faults
) -> tuple[FleetRow, frozenset[str]]:
    """What can be read of a row, and the fields that cannot."""
    got: dict[str, Any] = {}
    unread = set()
    for field, place in columns.items():
        cell: Cell = cells[place.position] if place.position < len(cells) else ""
        text, fault = _text(field, cell, place, decimal)
        if field == "model" and not text and not fault:
            fault = "blank: a model is wanted"
        if field == "count" and not fault and text and not _whole(text):
            fault = "a whole number is wanted"
        if fault:
            faults.add(fault, line, place.written, shown(cell), "cell")
            unread.add(field)
        elif text:
            got[field] = text
    return FleetRow.model_validate(got), frozenset(unread)


def _whole(text: str) -> bool:
    """Whether a count, as `written` gives it, is one number ('2 to 3' is none) and whole."""
    try:
        return float(text).is_integer()
    except ValueError:
        return False


def _text(field: str, cell: Cell, place: _Place, decimal: str) -> tuple[str, str]:
    """A cell in the fleet's own writing, and what is wrong with it."""
    info = FleetRow.model_fields[field]
    if field == "due":
        return _date(cell)
    number, choice = numbers(FleetRow).get(field), choice_of(info)
    if number is not None:
        got = read_number(cell, number, decimal, place.unit, place.part)
    elif choice is not None:
        got = read_choice(cell, choice, place.words or {})
    else:
        got = read_text(cell, text_of(info), place.words or {}, False)
    return got.text, got.fault


def _date(cell: Cell) -> tuple[str, str]:
    """A date, which a spreadsheet may hold as one of its own."""
    text = (cell.text.split(" ")[0] if isinstance(cell, Spoilt) else shown(cell)).strip()
    if not text or text in ("?", "unknown"):
        return "", ""
    try:
        return datetime.date.fromisoformat(text).isoformat(), ""
    except ValueError:
        return "", "a date is wanted: year-month-day, such as 2027-03-01"
