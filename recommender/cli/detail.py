"""Commands about single shocks: bundle, why, compare; and what the catalogue holds."""

from typing import Annotated

import typer

from recommender.cli.complete import shocks
from recommender.cli.inputs import (
    AsJson,
    CatalogueDir,
    Files,
    QuestionFiles,
    Weights,
    again,
)
from recommender.cli.show import show

Shock = Annotated[
    str,
    typer.Argument(
        metavar="SHOCK", help="Part number of a shock; 'fitted' for the one on now.",
        autocompletion=shocks,
    ),
]  # fmt: skip


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command(epilog="Example: recommender bundle SN-210x52.5-D -q bike.toml -q rider.toml")(
        bundle
    )
    app.command(epilog="Example: recommender why YP-210x50-L -q bike.toml -q rider.toml")(why)
    app.command(epilog="Example: recommender compare SN-210x52.5-D fitted -q bike.toml")(compare)
    app.command(epilog="Example: recommender holds bike.toml --family '210 eyelet' --spring air")(
        holds
    )


def bundle(
    shock: Shock,
    question: QuestionFiles = None,
    catalogue: CatalogueDir = None,
    variant: Annotated[
        int, typer.Option(min=1, metavar="NUMBER", help="Which of its bundles, best first.")
    ] = 1,
    weight: Weights = None,
    as_json: AsJson = False,
) -> None:
    """One bundle in full, side by side with keeping the fitted shock."""
    from recommender.answer.replies import BundleAnswer
    from recommender.cli.open import open_case
    from recommender.output import detail

    case = open_case(question, catalogue, weight)
    record, present = case.bundle_of(shock, variant - 1)
    made = BundleAnswer.model_construct(**dict(record))
    currency, named = case.question.wishes.currency, again(None, catalogue)
    show(made, lambda: detail.bundle(made, present, currency, named), as_json)


def why(
    shock: Shock,
    question: QuestionFiles = None,
    catalogue: CatalogueDir = None,
    as_json: AsJson = False,
) -> None:
    """Why a shock does not fit, or can't be said to: every broken rule and what would let it in.

    Of a shock that fits it says so.
    """
    from recommender.answer.explained import explained
    from recommender.answer.replies import TurnedAnswer
    from recommender.cli.open import open_case
    from recommender.output import terminal

    case = open_case(question, catalogue)
    record = TurnedAnswer.model_construct(**dict(explained(case, case.turned_of(shock))))
    more = again(question, catalogue, "-q")
    show(record, lambda: terminal.turned(record, more), as_json)


def compare(
    one: Shock,
    other: Annotated[
        str,
        typer.Argument(
            metavar="OTHER", help="The shock to compare it with.", autocompletion=shocks
        ),
    ],
    question: QuestionFiles = None,
    catalogue: CatalogueDir = None,
    weight: Weights = None,
    as_json: AsJson = False,
) -> None:
    """Why one shock stands above another, and what would put the other first."""
    from recommender.answer.compare import compare as compared
    from recommender.cli.open import open_case
    from recommender.output import detail

    case = open_case(question, catalogue, weight)
    made = compared(case, one, other)
    show(made, lambda: detail.comparison(made, case.question.wishes.currency), as_json)


def holds(
    files: Files = None,
    catalogue: CatalogueDir = None,
    family: Annotated[
        str, typer.Option(metavar="FAMILY", help="Size family: '210 eyelet', or a length.")
    ] = "",
    mount: Annotated[str, typer.Option(metavar="MOUNT", help="eyelet or trunnion.")] = "",
    spring: Annotated[str, typer.Option(metavar="KIND", help="air or coil.")] = "",
    adjuster: Annotated[
        list[str] | None,
        typer.Option(metavar="ADJUSTER", help="An adjuster it must have. Repeatable."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """What the catalogue holds, filtered, with each shock's verdict for this question."""
    from recommender.answer.holdings import holdings
    from recommender.cli.open import open_case
    from recommender.output import detail

    case = open_case(files, catalogue)
    made = holdings(case, family, mount, spring, tuple(adjuster or ()))
    show(made, lambda: detail.holdings(made, case.question.wishes.currency), as_json)
