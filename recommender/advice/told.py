"""What the commands that care for catalogues, stock and bike files tell, as records."""

from collections.abc import Sequence
from pathlib import Path

from recommender.advice.outcome import Outcome
from recommender.answer.records import SCHEMA, Record
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.compare import TableChange
from recommender.catalogue.imports import Imported
from recommender.facts.problems import Problem


class ProblemRecord(Record):
    """One remark on a file: its place, the value that stands there, and what is wrong with it."""

    file: str
    message: str
    row: int | None
    column: str
    value: str | None


class Doubts(Record):
    """What looks wrong in a catalogue though it is allowed."""

    schema_version: str = SCHEMA
    doubts: tuple[ProblemRecord, ...]


class Checked(Record):
    """A catalogue without a problem, and how much it holds."""

    schema_version: str = SCHEMA
    folder: str
    holds: dict[str, int]


class CellRecord(Record):
    """A cell that is not what it was; '' for unknown."""

    key: str
    column: str
    old: str
    new: str


class TableRecord(Record):
    """One table: keys that came and went, and cells that changed in the rows of both."""

    table: str
    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[CellRecord, ...]


class Changes(Record):
    """What changed between two versions of a catalogue, and in the answer to one question."""

    schema_version: str = SCHEMA
    tables: tuple[TableRecord, ...]
    answer: Outcome


class RejectedRecord(Record):
    """A row that was not understood: its line, its cells as they stood, and every reason."""

    line: int
    cells: tuple[str, ...]
    why: tuple[str, ...]


class FieldRecord(Record):
    """What a field was taken from, and how many of the accepted rows have it."""

    field: str
    source: str
    filled: int
    example: str


class ImportReport(Record):
    """Accepted rows (catalogue fields, one text each), rejected ones, and the files written."""

    schema_version: str = SCHEMA
    table: str
    header: tuple[str, ...]
    accepted: tuple[dict[str, str], ...]
    lines: tuple[int, ...]
    rejected: tuple[RejectedRecord, ...]
    understood: tuple[FieldRecord, ...]
    unused: tuple[str, ...]
    notes: tuple[str, ...]
    written: tuple[str, ...]


class FitList(Record):
    """The folder that holds a fit list, and for each bike how many shocks are in each state."""

    schema_version: str = SCHEMA
    folder: str
    bikes: dict[str, dict[str, int]]


class WrittenBack(Record):
    """What was measured after fitting and now stands in a bike's file."""

    schema_version: str = SCHEMA
    file: str
    told: tuple[str, ...]


def doubts_record(found: Sequence[Problem]) -> Doubts:
    """The doubts as a record."""
    return Doubts(
        doubts=tuple(
            ProblemRecord(
                file=one.file, message=one.message, row=one.row, column=one.column, value=one.value
            )
            for one in found
        )
    )


def checked_record(read: Catalogue, folder: Path) -> Checked:
    """How much the catalogue holds."""
    tables = ("shocks", "kits", "services", "springs", "frames")
    return Checked(folder=str(folder), holds={name: len(getattr(read, name)) for name in tables})


def changes_record(changed: Sequence[TableChange], made: Outcome) -> Changes:
    """The changes as a record."""
    return Changes(
        tables=tuple(
            TableRecord(
                table=one.table, added=one.added, removed=one.removed,
                changed=tuple(
                    CellRecord(key=cell.key, column=cell.column, old=cell.old, new=cell.new)
                    for cell in one.changed
                ),
            )
            for one in changed
        ),
        answer=made,
    )  # fmt: skip


def import_report(made: Imported, written: Sequence[str]) -> ImportReport:
    """The import as a record."""
    return ImportReport(
        table=made.table, header=made.header, accepted=made.accepted, lines=made.lines,
        rejected=tuple(
            RejectedRecord(line=one.line, cells=one.cells, why=one.why) for one in made.rejected
        ),
        understood=tuple(
            FieldRecord(
                field=one.field, source=one.source, filled=one.filled, example=one.example
            )
            for one in made.understood
        ),
        unused=made.unused, notes=made.notes, written=tuple(written),
    )  # fmt: skip
