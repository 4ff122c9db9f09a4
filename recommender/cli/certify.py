"""Commands that save an answer as a certificate, and re-check a saved one."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from recommender.cli.inputs import CatalogueDir, Files, Weights

REFUSED = 1


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command(
        epilog="Example: recommender certify bike.toml rider.toml wishes.toml -o answer.json"
    )(certify)
    app.command(epilog="Example: recommender recheck answer.json bike.toml rider.toml wishes.toml")(
        recheck
    )


def certify(
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FILE", help="File to write, as JSON.")
    ],
    files: Files = None,
    catalogue: CatalogueDir = None,
    weight: Weights = None,
) -> None:
    """Saves the whole answer as claims that can be re-checked one by one."""
    from recommender.certify.certify import certify as made_of
    from recommender.cli.open import open_case
    from recommender.cli.outputs import check_apart, tell_written
    from recommender.files.whole import write_whole

    check_apart([out], files or [], catalogue)
    made = made_of(open_case(files, catalogue, weight), _progress("certified"))
    write_whole(out, made.model_dump_json(indent=1) + "\n")
    tell_written([out])
    print(f"{len(made.rows)} shocks with their verdicts, {len(made.order)} of them ranked.")


def recheck(
    certificate: Annotated[
        Path, typer.Argument(metavar="SAVED", help="The answer that `certify` saved.")
    ],
    files: Files = None,
    catalogue: CatalogueDir = None,
    weight: Weights = None,
) -> None:
    """Re-checks a saved answer claim by claim, by code that shares nothing with the search.

    Weights are those of the question: one saved with --weight is re-checked with the same.
    """
    from recommender.certificate.check import recheck as checked
    from recommender.certificate.read import read_certificate
    from recommender.certificate.refused import Refused
    from recommender.certify.certify import criteria_of
    from recommender.cli.open import open_case
    from recommender.output.screen import safe

    read = read_certificate(certificate)
    case = open_case(files, catalogue, weight)
    asked = criteria_of(case.question.wishes)
    try:
        held = checked(read, case.question, case.catalogue, asked, _progress("re-checked"))
    except Refused as refused:
        print(f"A claim does not hold. {safe(refused.claim)}: {safe(refused.why)}.")
        raise typer.Exit(REFUSED) from None
    print(
        f"Every claim holds: {held.rows} shocks, {held.conflicts} conflicts, "
        f"{held.corrections} ways to let one in, {held.bundles} ranked bundles."
    )


def _progress(word: str) -> Callable[[int, int], None] | None:
    """Counts rows on one line of the error stream, where a person looks at it."""
    if not sys.stderr.isatty():
        return None

    def tell(done: int, of: int) -> None:
        end = "\n" if done == of else ""
        print(f"\r{done} of {of} rows {word}", end=end, file=sys.stderr, flush=True)

    return tell
