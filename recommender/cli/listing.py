"""Help: commands told in whole sentences, arguments and options by what is put in their place."""

import re
from collections.abc import Callable
from typing import Any, TypeVar

import typer
from typer.core import TyperCommand, TyperGroup

Function = TypeVar("Function", bound=Callable[..., Any])

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


class Entry(TyperCommand):
    """A command whose help names no types of the code, and ranges in words."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """As the library's; where files are named in the other commands' way it says how here."""
        try:
            return super().parse_args(ctx, args)
        except typer.TyperException as error:
            error.message += self._files_here(str(error))
            raise

    def _files_here(self, message: str) -> str:
        by_name = {name: param for param in self.params for name in (*param.opts, param.metavar)}
        if "unexpected extra argument" in message and "-q" in by_name:
            return ": here a file of the question stands after -q, each one after a -q of its own"
        if message.startswith("No such option") and message.endswith(("-q", "--question")):
            return ": here files stand by themselves" if "FILE" in by_name else ""
        return ""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Arguments, then options, in the order in which they were declared."""
        rows: dict[str, list[tuple[str, str]]] = {"argument": [], "option": []}
        for param in self.get_params(ctx):
            record = param.get_help_record(ctx)
            if record is not None:
                argument = param.param_type_name == "argument"
                name = param.metavar or record[0] if argument else record[0]
                rows[param.param_type_name].append((name, _range(record[1])))
        for title, told in (("Arguments", rows["argument"]), ("Options", rows["option"])):
            if told:
                with formatter.section(title):
                    formatter.write_dl(told)


class Commands(typer.Typer):
    """Commands whose help is an Entry."""

    def command(self, name: str | None = None, **told: Any) -> Callable[[Function], Function]:
        """As the library's, with another class."""
        return super().command(name, **{"cls": Entry, **told})


def _range(text: str) -> str:
    """'[default: 5; 1<=x<=50]' as '[default: 5; 1 to 50]'."""
    text = re.sub(r"\b([\d.]+)<=x<=([\d.]+)", r"\1 to \2", text)
    return re.sub(r"\bx>=([\d.]+)", r"\1 or more", text)
