"""The commands for one's own bikes, stock and finds, in the order of the help."""

import typer

from recommender.cli import advise, ask, care, find, fitlist, reverse, stock

COMMANDS = (ask, find, stock, care, reverse, fitlist, advise)


def register(app: typer.Typer) -> None:
    """Add them all."""
    for command in COMMANDS:
        command.register(app)
