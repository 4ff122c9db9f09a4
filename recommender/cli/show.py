"""Printing an answer: as a screen, or as JSON."""

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pydantic import BaseModel
    from rich.console import RenderableType


def show(record: "BaseModel", screen: "Callable[[], RenderableType]", as_json: bool) -> None:
    """Prints the record as JSON, or the screen made of it."""
    if as_json:
        print(record.model_dump_json(indent=2))
        return
    from recommender.output.screen import put

    put(screen())
