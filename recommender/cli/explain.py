"""Commands about the whole question: clashing wishes, and what to measure next."""

import typer

from recommender.cli.inputs import AsJson, CatalogueDir, Files
from recommender.cli.show import show


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command(epilog="Example: recommender give-up bike.toml rider.toml wishes.toml")(give_up)
    app.command(epilog="Example: recommender measure bike.toml rider.toml wishes.toml")(measure)


def give_up(files: Files = None, catalogue: CatalogueDir = None, as_json: AsJson = False) -> None:
    """Which wishes clash, the least to give up, and what each would let in."""
    from recommender.answer.explained import whole_question
    from recommender.cli.open import open_case
    from recommender.output import explanations

    case = open_case(files, catalogue)
    made = whole_question(case)
    show(made, lambda: explanations.clash(made, case.question.wishes.currency), as_json)
    raise typer.Exit(0 if case.answered else 1)


def measure(files: Files = None, catalogue: CatalogueDir = None, as_json: AsJson = False) -> None:
    """Which single fact, once known, would settle most of what can't be said yet."""
    from recommender.answer.measured import measure_next
    from recommender.cli.open import open_case
    from recommender.output import explanations

    case = open_case(files, catalogue)
    made = measure_next(case)
    show(made, lambda: explanations.measures(made), as_json)
