"""The console command `recommender`."""

import atexit
import gc
import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from recommender.cli import certify, detail, explain, fleet, own, page, papers
from recommender.cli.exits import ANSWERED, BAD_INPUT, INTERRUPTED, NOTHING_FITS
from recommender.cli.inputs import AsJson, CatalogueDir, Files, Weights, again
from recommender.cli.listing import Commands, Listing
from recommender.cli.show import show
from recommender.facts.problems import BadInput, Problem

app = Commands(
    name="recommender",
    cls=Listing,
    epilog="Example: recommender shortlist bike.toml rider.toml wishes.toml",
    help="Chooses a rear shock for a full-suspension bicycle: what fits, in order, and why "
    "everything else does not.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback()
def _top() -> None:
    """Chooses a rear shock for a full-suspension bicycle."""


@app.command(epilog="Example: recommender shortlist bike.toml rider.toml wishes.toml --top 3")
def shortlist(
    files: Files = None,
    catalogue: CatalogueDir = None,
    top: Annotated[
        int, typer.Option(min=1, max=1000, metavar="NUMBER", help="How many shocks to show.")
    ] = 5,
    weight: Weights = None,
    varied: Annotated[
        bool,
        typer.Option("--varied", help="Best of each kind: spring, size, price, keeping yours."),
    ] = False,
    stands: Annotated[
        bool,
        typer.Option("--stands", help="How far each weight may move before first place falls."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """The bundles that fit, in order, with the whole shopping list of the first."""
    from recommender.answer.answer import answer
    from recommender.cli.open import open_case
    from recommender.output import terminal

    case = open_case(files, catalogue, weight)
    made = answer(case, top=top, rejected=20 if as_json else 0)
    told = (again(files, catalogue), again(files, catalogue, "-q", weight))
    show(made, lambda: terminal.shortlist(made, varied, stands, *told), as_json)
    raise typer.Exit(ANSWERED if case.answered else NOTHING_FITS)


@app.command(epilog="Example: recommender rejections bike.toml rider.toml wishes.toml --all")
def rejections(
    files: Files = None,
    catalogue: CatalogueDir = None,
    most: Annotated[
        int, typer.Option(min=1, metavar="NUMBER", help="How many of the nearest misses.")
    ] = 10,
    every: Annotated[bool, typer.Option("--all", help="Every shock that does not fit.")] = False,
    as_json: AsJson = False,
) -> None:
    """Everything that was turned down: all broken rules with what was needed and by how much."""
    from recommender.answer.answer import answer
    from recommender.cli.open import open_case
    from recommender.output import terminal

    case = open_case(files, catalogue)
    made = answer(case, top=0, rejected=None if every else most)
    show(made, lambda: terminal.rejections(made), as_json)
    raise typer.Exit(ANSWERED if case.answered else NOTHING_FITS)


detail.register(app)
explain.register(app)
own.register(app)
fleet.register(app)
page.register(app)
papers.register(app)
certify.register(app)


@app.command(epilog="Example: recommender check-catalogue my-catalogue")
def check_catalogue(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of the catalogue.")],
    as_json: AsJson = False,
) -> None:
    """Reads a catalogue and tells every problem in it."""
    from recommender.advice.told import checked_record
    from recommender.catalogue.catalogue import read_catalogue
    from recommender.output.screen import line

    made = checked_record(read_catalogue(folder), folder)
    held = ", ".join(f"{count} {name}" for name, count in made.holds.items())
    show(made, lambda: line(f"{folder}: no problem found in {held}."), as_json)


@app.command(epilog="Example: recommender schema answer > answer.schema.json")
def schema(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="One of those that --list names.")
    ] = "answer",
    every: Annotated[
        bool, typer.Option("--list", help="The schemas by name, with the commands they are for.")
    ] = False,
) -> None:
    """The JSON Schema (2020-12) of what a command prints with --json."""
    import json

    from recommender.cli.schemas import COMMANDS, json_schema
    from recommender.facts.nearest import nearest

    if every:
        for one, commands in COMMANDS.items():
            print(f"{one:<14} {commands}")
        return
    if name not in COMMANDS:
        near = nearest(name[:80], list(COMMANDS))
        raise BadInput([Problem("schema", f"accepted: {', '.join(COMMANDS)}{near}", value=name)])
    print(json.dumps(json_schema(name), indent=2))


def main() -> None:
    """Runs the command line; a user's mistake is told without a traceback."""
    # What stands at the end goes with the process; going through it for cycles takes 0.2 s.
    atexit.register(gc.freeze)
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except BadInput as bad:
        for problem in bad.problems:
            print(problem, file=sys.stderr)
        sys.exit(BAD_INPUT)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        # The reader of a pipe has gone; what it took is whole lines.
        sys.stderr.close()
    except OSError as error:
        # Of a full disk under the standard output or a library's own scratch files.
        place = "the standard output" if error.filename is None else error.filename
        print(Problem(str(place), f"cannot be written: {error.strerror}"), file=sys.stderr)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what is left in it is not tried again
        sys.exit(BAD_INPUT)


if __name__ == "__main__":
    main()
