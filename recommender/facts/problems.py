"""Bad input: what is wrong, where, and what would be accepted."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of one input. `row` counts as the user sees it: line 1 is a CSV's header."""

    file: str
    message: str
    row: int | None = None
    column: str = ""
    value: str | None = None

    def __str__(self) -> str:
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column:
            place += f", {self.column}"
        shown = "" if self.value is None else f" {shorten(self.value)!r}:"
        return _printable(f"{place}:{shown} {self.message}")


class BadInput(Exception):
    """All problems found, never the first alone. The command line prints them and exits with 2."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: Sequence[Problem] = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    def __reduce__(self) -> tuple[type["BadInput"], tuple[Sequence[Problem]]]:
        """From one process to another with its problems, not their text."""
        return BadInput, (self.problems,)


def shorten(text: str, most: int = 60) -> str:
    """The text on one line, cut to `most` characters, control characters shown as '?'."""
    flat = _printable(text)
    return flat if len(flat) <= most else flat[: most - 1] + "…"


def _printable(text: str) -> str:
    """The text on one line, with nothing in it that a terminal would obey."""
    return "".join(c if c.isprintable() else "?" for c in text)
