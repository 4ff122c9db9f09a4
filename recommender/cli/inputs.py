"""Where the commands find their catalogue and question."""

from pathlib import Path
from typing import Annotated

import typer

Files = Annotated[
    list[Path] | None,
    typer.Argument(
        help="TOML files with the tables [bike], [rider] and [wishes], in any split. "
        "None: the demo's question.",
        show_default=False,
    ),
]
CatalogueDir = Annotated[
    Path | None,
    typer.Option("--catalogue", "-c", help="Folder of the catalogue. Default: the demo's."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
Weights = Annotated[
    list[str] | None,
    typer.Option("--weight", "-w", help="Weight of a criterion, such as 'price=2'. Repeatable."),
]


def shipped(name: str) -> Path:
    """A folder that travels with the package ('catalogs', 'demo'), or stands beside it."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "data" / name
    return inside if inside.is_dir() else package.parent / name


def demo_question() -> list[Path]:
    """The files of the demo's main question."""
    return [shipped("demo") / f"{name}.toml" for name in ("bike", "rider", "wishes")]
