"""`fit-list`: every bike of many against every shock of the catalogue."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.exits import ANSWERED, NOTHING_FITS
from recommender.cli.inputs import AsJson, CatalogueDir

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rich.console import RenderableType

SHOWN = 10


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: recommender fit-list bikes.csv --question rider.toml --out fits")(
        fit_list
    )


def fit_list(
    out: Annotated[
        Path,
        typer.Option("--out", "-o", metavar="FOLDER",
                     help="Folder for the list; named again, a stopped run goes on."),
    ],
    bikes: Annotated[
        Path | None,
        typer.Argument(metavar="BIKES", show_default=False,
                       help="CSV with a bike in each row, or a folder of bike files. Default: "
                       "the frames of the catalogue."),
    ] = None,
    question: Annotated[
        list[Path] | None,
        typer.Option("--question", "-q", metavar="FILE", show_default=False,
                     help="TOML with [rider] or [wishes], for all bikes. Repeatable."),
    ] = None,
    catalogue: CatalogueDir = None,
    kind: Annotated[
        str, typer.Option("--format", metavar="FORMAT", help="csv or parquet.")
    ] = "csv",
    closer: Annotated[
        bool,
        typer.Option("--closer", help="Look at what is open along each unknown fact, as the "
                     "commands for one bike do; slow where much is unknown."),
    ] = False,
    processes: Annotated[
        int,
        typer.Option(min=0, max=1024, metavar="NUMBER",
                     help="Processes at work; 0: one for each core."),
    ] = 0,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """The verdict on every bike and shock, written part by part; a stopped run goes on."""
    from rich.progress import Progress

    from recommender.advice.told import FitList
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.catalogue.question import read_question
    from recommender.cli.inputs import shipped
    from recommender.cli.outputs import tell_written
    from recommender.cli.show import show
    from recommender.facts.bike import Bike
    from recommender.facts.problems import BadInput, Problem
    from recommender.fitlist.bikes import read_bikes
    from recommender.fitlist.fits import STATES
    from recommender.fitlist.parts import Job
    from recommender.fitlist.run import make_list
    from recommender.fitlist.sheet import check_format
    from recommender.output.screen import console

    check_format(kind)
    read = read_catalogue(catalogue or shipped("catalogs"))
    asked = read_question(question or [], read.frames, bike_wanted=False)
    if asked.bike != Bike():
        message = "a [bike] stands there: the bikes are told by folder or CSV"
        raise BadInput([Problem(", ".join(map(str, question or [])), message)])
    found = read_bikes(bikes, read.frames)
    job = Job(read, asked.rider, asked.wishes, closer, kind, out)
    made_of = {"the catalogue": read.digest, "the bikes": found.digest,
               "rider and wishes": asked.digest}  # fmt: skip
    screen = console(stderr=True)
    with Progress(console=screen, transient=True, disable=not screen.is_terminal) as bar:
        task = bar.add_task("bikes", total=len(found.bikes))
        counts = make_list(
            job, found.bikes, made_of, processes or _cores(),
            lambda count, of: bar.update(task, completed=count, total=of),
        )  # fmt: skip
    bikes_told = {name: dict(zip(STATES, states, strict=True)) for name, states in counts.items()}
    record = FitList(folder=str(out), bikes=bikes_told)
    show(record, lambda: _screen(counts), as_json)
    tell_written([out], as_json)
    some = any(fits or doubt or waits for fits, doubt, _, waits in counts.values())
    raise typer.Exit(ANSWERED if some else NOTHING_FITS)


def _cores() -> int:
    import os

    told = getattr(os, "sched_getaffinity", None)
    return len(told(0)) if told else os.cpu_count() or 1


def _screen(counts: "Mapping[str, list[int]]") -> "RenderableType":
    """Counts in all, and the bikes that nothing fits for certain."""
    from rich.console import Group

    from recommender.fitlist.fits import STATES
    from recommender.output.screen import bullets, heading, line
    from recommender.output.terminal import STATE_WORDS

    sums = [sum(states) for states in zip(*counts.values(), strict=True)]
    told = [f"{number:,} {STATE_WORDS[name]}" for name, number in zip(STATES, sums, strict=True)
            if number]  # fmt: skip
    parts: list[RenderableType] = [
        heading(f"{len(counts):,} bikes, {sum(sums):,} verdicts"), *bullets(told),
    ]  # fmt: skip
    lacking = [name for name, (fits, _, _, waits) in counts.items() if not fits + waits]
    if lacking:
        more = f" and {len(lacking) - SHOWN:,} more" if len(lacking) > SHOWN else ""
        parts.append(line(f"Nothing fits for certain: {', '.join(lacking[:SHOWN])}{more}."))
    return Group(*parts)
