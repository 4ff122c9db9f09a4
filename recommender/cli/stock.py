"""`import-stock`: a shop's own export as rows of a catalogue table."""

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.exits import ANSWERED, BAD_INPUT
from recommender.cli.inputs import AsJson, CatalogueDir

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recommender.catalogue.imports import Imported

REASONS_SHOWN = 12


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        epilog="Example: recommender import-stock demo/shop/stock.toml --dry-run"
    )(import_stock)  # fmt: skip


def import_stock(
    mapping: Annotated[
        Path, typer.Argument(metavar="FILE", help="TOML that says what the columns mean.")
    ],
    file: Annotated[
        Path | None,
        typer.Option("--file", "-f", metavar="FILE",
                     help="The export, instead of the mapping's own."),
    ] = None,
    out: Annotated[
        Path,
        typer.Option("--out", "-o", metavar="FOLDER",
                     help="Folder for the accepted and the rejected rows."),
    ] = Path(),
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what was understood; write nothing.")
    ] = False,
    accept: Annotated[
        bool, typer.Option("--accept", help="Succeed although some rows were rejected.")
    ] = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Write over files that are there.")
    ] = False,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Reads a shop's CSV or XLSX by a mapping; keeps accepted and rejected rows apart.

    With --catalogue the suppliers that rows name are looked up there.
    """
    from recommender.advice.told import import_report
    from recommender.catalogue.imports import import_rows
    from recommender.catalogue.mapping import read_mapping
    from recommender.catalogue.read import read_table
    from recommender.cli.outputs import tell_written
    from recommender.cli.show import show

    told = read_mapping(mapping)
    suppliers = read_table(catalogue / "suppliers.csv", "suppliers") if catalogue else None
    made = import_rows(told, told.grid(file), suppliers)
    inputs = (told.export(file), mapping)
    written = () if dry_run else _write(made, out, replace, *inputs)
    show(import_report(made, written), lambda: _report(made, written), as_json)
    tell_written(map(Path, written), as_json)
    raise typer.Exit(BAD_INPUT if made.rejected and not accept else ANSWERED)


def _write(made: "Imported", out: Path, replace: bool, *inputs: Path) -> tuple[str, ...]:
    """Both files or neither, and over no file that was read."""
    from recommender.cli.outputs import check_apart, check_new, make_folder
    from recommender.files.whole import write_together

    rejected, accepted = out / f"{made.table}-rejected.csv", out / f"{made.table}.csv"
    if not replace:
        check_new((rejected, accepted), "--replace writes over it, --out takes another folder")
    check_apart((rejected, accepted), inputs, None)
    make_folder(out)
    write_together({rejected: made.rejected_csv(), accepted: made.accepted_csv()})
    return str(accepted), str(rejected)


def _report(made: "Imported", written: tuple[str, ...]) -> "RenderableType":
    from rich.console import Group

    from recommender.output.screen import bullets, heading, line, row, table

    understood = table(("field", "taken from", "filled", "for example"))
    for one in made.understood:
        row(understood, (one.field, one.source, one.filled, one.example))
    parts: list[RenderableType] = [
        heading(f"{made.table}: {len(made.accepted)} rows accepted, {len(made.rejected)} rejected"),
        *bullets(made.notes), understood,
    ]  # fmt: skip
    if made.unused:
        parts.append(line(f"Columns not used: {', '.join(made.unused)}"))
    if made.rejected:
        parts.append(heading("Rejected, by reason"))
        counts = Counter(one.kind for row in made.rejected for one in row.reasons)
        parts += bullets(f"{n} x {why}" for why, n in counts.most_common(REASONS_SHOWN))
        parts.append(heading("The first of them"))
        parts += bullets(f"row {row.line}: {'; '.join(row.why)}" for row in made.rejected[:5])
    if not written:
        parts.append(line("Nothing was written.", "italic"))
    return Group(*parts)
