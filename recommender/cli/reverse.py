"""`serves`: the look-up turned round, from the shock on the shelf to the bikes it serves."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.complete import part_numbers
from recommender.cli.exits import ANSWERED, NOTHING_FITS
from recommender.cli.inputs import AsJson, CatalogueDir

if TYPE_CHECKING:
    from rich.console import RenderableType

    from recommender.advice.reverse import Reverse
    from recommender.catalogue.catalogue import Catalogue
    from recommender.facts.bike import Bike
    from recommender.facts.rider import Rider
    from recommender.facts.wishes import Wishes


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog="Example: recommender serves SN-210x50 -q rider.toml --most 5")(serves)


def serves(
    shocks: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SHOCK", help="Part numbers.", show_default=False, autocompletion=part_numbers
        ),
    ] = None,
    stock: Annotated[
        bool, typer.Option("--stock", help="Every shock that is counted and on the shelf.")
    ] = False,
    question: Annotated[
        list[Path] | None,
        typer.Option("--question", "-q", metavar="FILE", show_default=False,
                     help="TOML with a bike, a rider or wishes to look through besides the "
                     "catalogue's frames. Repeatable."),
    ] = None,
    most: Annotated[
        int,
        typer.Option(min=1, max=10_000, metavar="NUMBER", help="Bikes shown for each shock."),
    ] = 10,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Which known bikes and riders a shock, or the whole stock, serves, and with what hardware.

    Without a rider: three of 60, 80 and 100 kg.
    """
    from rich.progress import Progress

    from recommender.advice.reverse import known, reverse, rows_of
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.cli.inputs import shipped
    from recommender.cli.show import show
    from recommender.facts.problems import BadInput, Problem
    from recommender.output.screen import console

    if bool(shocks) == stock:
        raise BadInput([Problem("serves", "name shocks, or --stock for all on the shelf")])
    read = read_catalogue(catalogue or shipped("catalogs"))
    bikes, riders, wishes = _files(question or [], read)
    rows = rows_of(read, shocks or [], stock)
    among = known(read, riders, bikes)
    with Progress(console=console(stderr=True), transient=True) as bar:
        task = bar.add_task("bikes and riders", total=None)
        made = reverse(
            read, rows, among, wishes, most,
            lambda count, of: bar.update(task, completed=count, total=of),
        )  # fmt: skip
    show(made, lambda: _screen(made, most), as_json)
    raise typer.Exit(ANSWERED if made.served else NOTHING_FITS)


def _files(paths: list[Path], read: "Catalogue") -> "tuple[dict[str, Bike], list[Rider], Wishes]":
    """The bikes, riders and wishes of the files; a file may hold any of the three."""
    from recommender.catalogue.document import read_toml
    from recommender.catalogue.question import read_question
    from recommender.facts.problems import BadInput, Problem
    from recommender.facts.wishes import Wishes

    bikes: dict[str, Bike] = {}
    riders: list[Rider] = []
    wishes: Wishes | None = None
    for path in paths:
        raw, _ = read_toml(path)
        told = read_question([path], read.frames, bike_wanted=False)
        if "bike" in raw:
            bikes[told.bike.name if told.bike.name != "the bike" else path.stem] = told.bike
        if "rider" in raw:
            riders.append(told.rider)
        if "wishes" in raw:
            if wishes is not None:
                message = "a table [wishes] stands in another of these files already: keep one"
                raise BadInput([Problem(str(path), message)])
            wishes = told.wishes
    return bikes, riders, wishes or Wishes()


def _screen(made: "Reverse", most: int) -> "RenderableType":
    from rich.console import Group
    from rich.text import Text

    from recommender.answer.numbers import money
    from recommender.output.screen import heading, line, row, table

    pairs = "pair" if made.asked == 1 else "pairs"
    told = f"{made.asked} {pairs} of bike and rider looked through; the best {most} a shock"
    parts: list[RenderableType] = [heading(told)]
    numbers = ("cost", "points, %")
    for shock in dict.fromkeys(one.shock for one in made.served):
        served = table(("bike and rider", "with", *numbers), numbers)
        for one in made.served:
            if one.shock == shock:
                mark = "" if one.state == "fits" else " (?)"
                with_ = Text("\n").join(line(part) for part in one.parts)
                who = Text("\n").join((line(one.bike + mark), line(one.rider)))
                cost = money(one.price, made.currency)
                row(served, (who, with_, cost, f"{100 * one.share:.0f}"))
        parts += [heading(shock), served]
    if made.unserved:
        parts.append(line(f"Serve none of them: {', '.join(made.unserved)}"))
    if any(one.state != "fits" for one in made.served):
        parts.append(line("(?): can't be said yet."))
    return Group(*parts)
