"""The options that make a fleet's plan, the same for every command about a fleet."""

import functools
import inspect
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.inputs import CatalogueDir, shipped

if TYPE_CHECKING:
    from recommender.fleet.fleet import Fleet

FileOption = Annotated[
    Path | None, typer.Option(metavar="FILE", help="Fleet file. Default: the demo's.")
]


@dataclass(frozen=True)
class Planned:
    """What was asked for, option by option; nothing is read before `fleet`."""

    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE", show_default=False,
            help="Fleet file, CSV or XLSX; models' and wishes' TOML files stand beside it. "
            "Default: the demo's fleet.",
        ),
    ] = None  # fmt: skip
    catalogue: CatalogueDir = None
    mapping: Annotated[
        Path | None,
        typer.Option(
            "--mapping", "-m", metavar="FILE", help="TOML that says what the columns mean."
        ),
    ] = None
    budget: Annotated[
        float | None,
        typer.Option(metavar="AMOUNT", help="The most that the whole plan may cost."),
    ] = None
    in_stock: Annotated[
        bool,
        typer.Option(
            "--in-stock",
            help="Order no more than suppliers are known to have; a blank stock counts as enough.",
        ),
    ] = False
    suppliers: Annotated[
        int,
        typer.Option(min=0, metavar="NUMBER", help="Buy shocks from at least so many suppliers."),
    ] = 0
    share: Annotated[
        float | None,
        typer.Option(
            metavar="SHARE", help="Largest share of bikes on one part number of shock; 0.5 is half."
        ),
    ] = None
    builds: Annotated[
        int | None,
        typer.Option(min=1, metavar="NUMBER", help="Exactly so many distinct builds."),
    ] = None
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep every fitted shock that still works.")
    ] = False
    on_hand: Annotated[
        list[str] | None,
        typer.Option(
            metavar="PART=NUMBER", help="Pieces you have, such as 'VS-210x50=3'. Repeatable."
        ),
    ] = None
    point: Annotated[
        float,
        typer.Option(min=0, metavar="AMOUNT", help="Money that one point is worth, per bike."),
    ] = 20.0
    seconds: Annotated[
        float,
        typer.Option(min=1, metavar="SECONDS", help="Time for the proof; then the gap is told."),
    ] = 60.0

    def fleet(self) -> "Fleet":
        """The fleet with its catalogue, read. Raises BadInput."""
        from recommender.catalogue.catalogue import read_catalogue
        from recommender.fleet.fleet import Fleet
        from recommender.fleet.groups import read_groups
        from recommender.fleet.task import Limits

        limits = Limits(
            self.budget, self.in_stock, self.suppliers, self.share, self.builds,
            _pieces(self.on_hand or []),
        )  # fmt: skip
        path = self.file or shipped("demo") / "fleet" / "fleet.csv"
        catalogue = read_catalogue(self.catalogue or shipped("catalogs"))
        groups = read_groups(path, catalogue, self.mapping)
        return Fleet(groups, catalogue, limits, self.point, self.keep, self.seconds)

    def check_apart(self, output: Path | None) -> None:
        """BadInput for an output that is the fleet file, or one beside it to be read."""
        from recommender.cli.outputs import check_apart

        if output is not None:
            beside = () if self.file is None else self.file.parent.glob("*.toml")
            check_apart([output], [self.file, self.mapping, *beside], self.catalogue)


def planned(command: Callable[..., None]) -> Callable[..., None]:
    """The command with the options of Planned, given to it together as its first parameter; one of
    its own by the same name stands in for theirs."""
    own = list(inspect.signature(command).parameters.values())[1:]
    names = {one.name for one in own}
    shared = inspect.signature(Planned).parameters.values()
    every = [
        one.replace(kind=inspect.Parameter.KEYWORD_ONLY)
        for one in (*(one for one in shared if one.name not in names), *own)
    ]

    @functools.wraps(command)
    def run(**given: object) -> None:
        asked = {one.name: given[one.name] for one in shared}
        rest = {name: value for name, value in given.items() if name not in asked}
        command(Planned(**asked), **rest)  # type: ignore[arg-type]

    run.__signature__ = inspect.Signature(every)  # type: ignore[attr-defined]
    run.__annotations__ = {one.name: one.annotation for one in every}
    return run


def _pieces(options: list[str]) -> dict[str, int]:
    from recommender.facts.problems import BadInput, Problem

    out: dict[str, int] = {}
    problems = []
    for option in options:
        name, _, number = option.rpartition("=")
        if not name or not number.strip().isdecimal() or len(number) > 6:
            message = "accepted: a part and a whole number, 'VS-210x50=3'"
            problems.append(Problem("--on-hand", message, value=option))
        else:
            out[name.strip()] = int(number)
    if problems:
        raise BadInput(problems)
    return out
