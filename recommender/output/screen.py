"""What every screen is made of: lines, bullets, tables at 80 columns and up, plain without colour.

Texts of catalogue and question are data: markup in them is not obeyed and control characters are
shown as '?'.
"""

from collections.abc import Iterable, Mapping, Sequence

from rich.box import SIMPLE
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.segment import Segment, Segments
from rich.table import Table
from rich.text import Text

INVENTED = "The catalogue is invented for the demonstration."


def safe(text: object) -> str:
    """One line of printable characters."""
    return "".join(c if c.isprintable() else "?" for c in str(text))


def line(text: object, style: str = "") -> Text:
    """Text on one line with nothing in it obeyed."""
    return Text(safe(text), style=style)


def heading(text: str) -> RenderableType:
    """A line that stands out, a blank one before it."""
    return Padding(line(text, "bold"), (1, 0, 0, 0))


def bullets(texts: Iterable[str]) -> list[RenderableType]:
    """One indented bullet a text."""
    out: list[RenderableType] = []
    for text in texts:
        grid = Table.grid(padding=(0, 1))
        grid.add_row("-", line(text))
        out.append(Padding(grid, (0, 0, 0, 2)))
    return out


def table(
    names: Sequence[str], right: Iterable[str] = (), foot: Mapping[str, str] | None = None
) -> Table:
    """A table of those columns; figures stand to the right, sums at the foot."""
    made = Table(box=SIMPLE, pad_edge=False, show_footer=bool(foot))
    numbers = set(right)
    for name in names:
        made.add_column(
            safe(name), justify="right" if name in numbers else "left", overflow="fold",
            footer=(foot or {}).get(name, ""),
        )  # fmt: skip
    return made


def row(made: Table, cells: Iterable[object]) -> None:
    """Adds a line; nothing in its cells is obeyed."""
    made.add_row(*(cell if isinstance(cell, Text) else line(cell) for cell in cells))


def put(screen: RenderableType) -> None:
    """Prints a screen: no blanks at a line's end, no two blank lines together, none at its ends."""
    target = console()
    rows: list[list[Segment]] = []
    for segments in target.render_lines(screen, pad=False):
        row = _trimmed(segments)
        if row or (rows and rows[-1]):
            rows.append(row)
    while rows and not rows[-1]:
        rows.pop()
    for row in rows:
        target.print(Segments([*row, Segment.line()]), end="")


def _trimmed(segments: list[Segment]) -> list[Segment]:
    """A row of segments without the blanks at its end."""
    row = list(segments)
    while row and not row[-1].text.strip():
        row.pop()
    if row:
        row[-1] = Segment(row[-1].text.rstrip(), row[-1].style)
    return row


def console(stderr: bool = False) -> Console:
    """A console that keeps to the terminal's width and obeys NO_COLOR."""
    return Console(stderr=stderr, highlight=False, markup=False, emoji=False)
