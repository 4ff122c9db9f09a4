"""The faults of one file, counted in full and kept up to a limit of each kind."""

from collections import Counter
from collections.abc import Callable

from recommender.catalogue.columns import Ints
from recommender.facts.problems import BadInput, Problem, shorten

MOST_OF_A_KIND = 50


class Faults:
    """Collects the problems of one file; a kind is usually a column.

    Beyond `most` of a kind only the count goes on: a column in the wrong unit must not print a
    hundred thousand lines.
    """

    def __init__(self, file: str, most: int = MOST_OF_A_KIND) -> None:
        self.file = file
        self._most = most
        self._problems: list[Problem] = []
        self._count: Counter[tuple[str, str]] = Counter()

    def __bool__(self) -> bool:
        return bool(self._problems)

    def add(
        self,
        message: str,
        row: int | None = None,
        column: str = "",
        value: str | None = None,
        kind: str = "",
    ) -> None:
        key = (kind, column)
        self._count[key] += 1
        if self._count[key] <= self._most:
            shown = None if value is None else shorten(value, 200)
            self._problems.append(
                Problem(self.file, message, row=row, column=shorten(column, 80), value=shown)
            )

    def add_each(
        self,
        lines: Ints,
        column: str,
        fault: Callable[[int], tuple[str, str | None]],
        kind: str = "",
    ) -> None:
        """One fault on each of the lines; `fault(i)` gives message and value of the i-th.

        It is asked only for those that are kept.
        """
        room = max(0, self._most - self._count[(kind, column)])
        for i, line in enumerate(lines[:room].tolist()):
            message, value = fault(i)
            self.add(message, line, column, value, kind)
        self._count[(kind, column)] += max(0, len(lines) - room)

    def problems(self) -> list[Problem]:
        """By row, those of the whole file first; then what was left out."""
        kept = sorted(self._problems, key=lambda p: -1 if p.row is None else p.row)
        for (_, column), count in self._count.items():
            if count > self._most:
                more = f"and {count - self._most} more"
                kept.append(Problem(self.file, more, column=shorten(column, 80)))
        return kept

    def stop(self) -> None:
        """Raise BadInput if any fault was added."""
        if self._problems:
            raise BadInput(self.problems())
