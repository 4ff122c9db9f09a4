"""What the shell may complete a word to."""

import csv
import re
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import typer

from recommender.cli.inputs import shipped

MOST = 200
"""Completions offered at once."""
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/+-]*")
"""A part number that a shell takes as it stands; a catalogue's other texts are not sent to it."""


def part_numbers(context: typer.Context, incomplete: str) -> list[str]:
    """Part numbers of the catalogue's shocks that begin so; none where it cannot be read."""
    folder = Path(context.params.get("catalogue") or shipped("catalogs"))
    try:
        with (folder / "shocks.csv").open(encoding="utf-8-sig", newline="") as lines:
            return [*islice(_beginning(csv.DictReader(lines), incomplete), MOST)]
    except (OSError, ValueError, csv.Error):
        return []


def shocks(context: typer.Context, incomplete: str) -> list[str]:
    """The same, and the word for the shock on the bike now."""
    own = ["fitted"] if "fitted".startswith(incomplete) else []
    return [*own, *part_numbers(context, incomplete)]


def _beginning(rows: Iterator[dict[str, str]], incomplete: str) -> Iterator[str]:
    for row in rows:
        number = row.get("part_number") or ""
        if number.startswith(incomplete) and _PLAIN.fullmatch(number):
            yield number
