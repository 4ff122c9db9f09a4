"""How a shop's own export becomes a catalogue table: a small TOML, written once.

[import]
table = "shocks"
file = "stock.csv"            # beside this mapping
decimal = ","

[columns]
part_number = "Item no."
length_mm = { from = "Size", part = 1 }         # '210 x 50': the first number
mass_g = { from = "Weight", unit = "kg" }
spring_kind = { from = "Spring", words = { "air can" = "air", "steel" = "coil" } }

[constants]
currency = "EUR"
"""

from collections.abc import Mapping as Mapped
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from recommender.catalogue.document import read_toml, top_tables, validate
from recommender.catalogue.grid import MOST_COLUMNS, Grid, csv_grid
from recommender.catalogue.workbook import workbook_grid
from recommender.facts.fields import choice_of, numbers, text_of
from recommender.facts.nearest import nearest
from recommender.facts.parts import Row
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import TABLES
from recommender.facts.units import UNITS, units_of

IMPORTED = ("shocks", "kits", "services", "springs")
_Name = Annotated[str, Field(min_length=1, max_length=200)]


class Column(Row):
    """Where a field comes from: a column's name; its unit; which number of '210 x 50'; words."""

    source: _Name = Field(alias="from")
    unit: Annotated[str, Field(max_length=20)] = ""
    part: Annotated[int, Field(ge=1, le=4)] | None = None
    words: dict[str, str] = Field({}, description="the export's word -> the catalogue's")


def _named(raw: Any) -> Any:
    """A bare name stands for {from = name}."""
    return {"from": raw} if isinstance(raw, str) else raw


class Import(Row):
    """The file and how it is written; what is blank is found out."""

    table: Literal["shocks", "kits", "services", "springs"]
    file: Annotated[str, Field(max_length=400)] = ""
    encoding: Literal["", "utf-8", "utf-16", "cp1252"] = ""
    separator: Literal["", ";", ",", "\t", "|"] = ""
    decimal: Literal[".", ","] = "."
    sheet: Annotated[str, Field(max_length=100)] = ""
    header_row: Annotated[int, Field(ge=1, le=1000)] | None = None


class Rules(Row):
    """The whole file but for its [import] table's name."""

    import_: Import = Field(alias="import")
    columns: dict[str, Annotated[Column, BeforeValidator(_named)]]
    constants: dict[str, str | int | float] = Field({})


@dataclass(frozen=True)
class Mapping:
    """A checked mapping. `model` and `key` are the catalogue table's."""

    file: str
    source: Import
    columns: Mapped[str, Column]
    constants: Mapped[str, str]
    folder: Path
    model: type[Row]
    key: str

    def grid(self, path: Path | None = None) -> Grid:
        """The export's rows; `path` overrides the mapping's own file. Raises BadInput."""
        path = self.export(path)
        if path.suffix.lower() in (".xlsx", ".xlsm"):
            return workbook_grid(path, self.source.sheet)
        if path.suffix.lower() in (".xls", ".xlsb", ".ods"):
            message = f"{path.suffix} files are not read: save the sheet as .xlsx or CSV"
            raise BadInput([Problem(str(path), message)])
        return csv_grid(path, self.source.encoding, self.source.separator)

    def export(self, path: Path | None = None) -> Path:
        """The export's file: `path`, else the mapping's own. Raises BadInput."""
        return path or self._inside()

    def _inside(self) -> Path:
        """The mapping's own file, which must not lead out of the mapping's folder."""
        if not self.source.file:
            message = "the export's file must be named here or given with --file"
            raise BadInput([Problem(self.file, message, column="import.file")])
        home = self.folder.resolve()
        try:
            path = (home / self.source.file).resolve()
        except (OSError, ValueError, RuntimeError):
            path = Path("/")
        if not path.is_relative_to(home):
            message = "the file must lie in the mapping's own folder; --file takes any other"
            raise BadInput(
                [Problem(self.file, message, column="import.file", value=self.source.file)]
            )
        return self.folder / self.source.file


def read_mapping(path: Path) -> Mapping:
    """The mapping; BadInput with all its problems."""
    raw, _ = read_toml(path)
    file = str(path)
    tables, problems = top_tables(raw, ("import", "columns", "constants"), file)
    for name in ("import", "columns"):
        if name not in raw:
            problems.append(Problem(file, f"a table [{name}] is wanted"))
    if problems:
        raise BadInput(problems)
    rules, problems = validate(tables, Rules, "", file)
    if rules is None:
        raise BadInput(
            Problem(file, p.message, column=p.column.lstrip("."), value=p.value) for p in problems
        )
    model, key = TABLES[rules.import_.table]
    problems = [
        *_check_columns(rules, model, key, file),
        *_check_constants(rules, model, key, file),
    ]
    if problems:
        raise BadInput(problems)
    constants = {name: str(value) for name, value in rules.constants.items()}
    return Mapping(file, rules.import_, rules.columns, constants, path.parent, model, key)


def _check_columns(rules: Rules, model: type[Row], key: str, file: str) -> list[Problem]:
    out = []
    if len(rules.columns) > MOST_COLUMNS:
        out.append(Problem(file, f"at most {MOST_COLUMNS} columns are accepted", column="columns"))
    if key not in rules.columns:
        out.append(Problem(file, f"{key} must be mapped: it names the row", column="columns"))
    for field, column in rules.columns.items():
        place = f"columns.{field}"
        if field not in model.model_fields:
            near = nearest(field[:80], list(model.model_fields))
            out.append(Problem(file, f"no such field of {rules.import_.table}{near}", column=place))
            continue
        number, choice = numbers(model).get(field), choice_of(model.model_fields[field])
        if column.unit:
            accepted = units_of(UNITS[number.unit][0]) if number and number.unit in UNITS else ()
            if column.unit not in accepted:
                told = ", ".join(accepted) or "none: this field has no unit to choose"
                message = f"accepted units: {told}"
                out.append(Problem(file, message, column=f"{place}.unit", value=column.unit))
        if column.part and number is None:
            message = "a part can be taken for a numeric field only"
            out.append(Problem(file, message, column=f"{place}.part"))
        for word in column.words.values():
            try:
                if choice is not None:
                    choice.parse(word)
            except ValueError as error:
                out.append(Problem(file, str(error), column=f"{place}.words", value=word))
    return out


def _check_constants(rules: Rules, model: type[Row], key: str, file: str) -> list[Problem]:
    out = []
    for field, value in rules.constants.items():
        place = f"constants.{field}"
        if field not in model.model_fields:
            near = nearest(field[:80], list(model.model_fields))
            out.append(Problem(file, f"no such field of {rules.import_.table}{near}", column=place))
            continue
        if field == key:
            out.append(Problem(file, "the key cannot be the same in every row", column=place))
        if field in rules.columns:
            out.append(Problem(file, "mapped from a column too: keep one", column=place))
        number, choice = numbers(model).get(field), choice_of(model.model_fields[field])
        try:
            if number is not None:
                number.parse(value)
            elif choice is not None:
                choice.parse(str(value))
            elif fault := text_of(model.model_fields[field]).fault(str(value)):
                raise ValueError(fault)
        except ValueError as error:
            out.append(Problem(file, str(error), column=place, value=str(value)))
    return out
