"""The command that writes the page."""

from pathlib import Path
from typing import Annotated

import typer

from recommender.cli.exits import ANSWERED, NOTHING_FITS
from recommender.cli.inputs import CatalogueDir, Files, Weights


def register(app: typer.Typer) -> None:
    """Adds `page`."""

    @app.command(epilog="Example: recommender page bike.toml rider.toml wishes.toml -o answer.html")
    def page(
        files: Files = None,
        out: Annotated[
            Path, typer.Option("--out", "-o", metavar="FILE", help="The file to write.")
        ] = Path("answer.html"),
        catalogue: CatalogueDir = None,
        top: Annotated[
            int, typer.Option(min=1, max=50, metavar="NUMBER", help="Shocks side by side.")
        ] = 5,
        rejected: Annotated[
            int | None,
            typer.Option(
                min=0,
                metavar="NUMBER",
                show_default="all",
                help="How many of the nearest misses are told in full.",
            ),
        ] = None,
        full: Annotated[
            int,
            typer.Option(
                min=0,
                metavar="NUMBER",
                help="How many of those with the least that each limit must give way; "
                "a second or so each.",
            ),
        ] = 12,
        weight: Weights = None,
    ) -> None:
        """The answer as one HTML file: pictures, all that was turned down, wishes to be moved."""
        from recommender.cli.open import open_case
        from recommender.cli.outputs import check_apart, check_folder, tell_written
        from recommender.files.whole import write_whole
        from recommender.output.page.page import page as made

        check_apart([out], files or [], catalogue)
        check_folder(out)
        case = open_case(files, catalogue, weight)
        write_whole(out, made(case, top=top, rejected=rejected, full=full))
        tell_written([out])
        raise typer.Exit(ANSWERED if case.answered else NOTHING_FITS)
