"""The list of commands in the help, each told in a whole sentence."""

from typing import Any

from typer.core import TyperGroup

LONGEST = 400
"""Letters of a sentence shown; it is folded to the width, never cut."""


class Listing(TyperGroup):
    """A group of commands whose help folds their sentences where others cut them short."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The commands in the order in which they were added."""
        told = [
            (name, command.get_short_help_str(limit=LONGEST))
            for name in self.list_commands(ctx)
            if (command := self.get_command(ctx, name)) is not None and not command.hidden
        ]
        with formatter.section("Commands"):
            formatter.write_dl(told)
