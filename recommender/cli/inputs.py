"""Where the commands find their catalogue and question."""

import shlex
from pathlib import Path
from typing import Annotated

import typer

Files = Annotated[
    list[Path] | None,
    typer.Argument(
        metavar="FILE",
        help="TOML files with the tables [bike], [rider] and [wishes], in any split. "
        "Default: the demo's question.",
        show_default=False,
    ),
]
QuestionFiles = Annotated[
    list[Path] | None,
    typer.Option("--question", "-q", metavar="FILE", show_default=False,
                 help="A TOML file of the question. Repeatable. Default: the demo's."),
]  # fmt: skip
CatalogueDir = Annotated[
    Path | None,
    typer.Option("--catalogue", "-c", metavar="FOLDER",
                 help="Folder of the catalogue. Default: the demo's."),
]  # fmt: skip
AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]
Weights = Annotated[
    list[str] | None,
    typer.Option("--weight", "-w", metavar="CRITERION=NUMBER",
                 help="Weight of a criterion, such as 'price=2'. Repeatable."),
]  # fmt: skip


def shipped(name: str) -> Path:
    """A folder that travels with the package ('catalogs', 'demo'), or stands beside it."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "data" / name
    return inside if inside.is_dir() else package.parent / name


def demo_question() -> list[Path]:
    """The files of the demo's main question."""
    return [shipped("demo") / f"{name}.toml" for name in ("bike", "rider", "wishes")]


def again(
    files: list[Path] | None, catalogue: Path | None, option: str = "",
    weights: list[str] | None = None,
) -> str:  # fmt: skip
    """What a further command needs to ask the same question of the same catalogue; '' for the
    demo's. `option` stands before each file where the command wants one."""
    out = [word for file in files or () for word in (option, str(file)) if word]
    out += ["-c", str(catalogue)] if catalogue else []
    out += [word for weight in weights or () for word in ("-w", weight)]
    return "".join(f" {shlex.quote(word)}" for word in out)
