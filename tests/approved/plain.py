"""Anything an answer is made of as lines of text: numbers to nine digits, every field by name."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from textwrap import wrap
from typing import Any

import numpy as np
from pydantic import BaseModel

WIDTH, SHORT = 100, 32
DIGITS, NOTHING = 9, 1e-9
"""Numbers nearer to nothing than this are what rounding leaves of nothing."""


def number(value: float) -> str:
    """'12.3456789'; whole numbers without a point."""
    return "0" if abs(value) < NOTHING else f"{value:.{DIGITS}g}"


def parts(thing: Any) -> Mapping[str, Any] | None:
    """The fields of a record; None for what is no record."""
    if isinstance(thing, BaseModel):
        return {name: getattr(thing, name) for name in type(thing).model_fields}
    if is_dataclass(thing):
        return {one.name: getattr(thing, one.name) for one in fields(thing) if one.repr}
    return thing if isinstance(thing, Mapping) else None


def short(thing: Any) -> str:
    """On one line."""
    if isinstance(thing, np.ndarray | np.generic):
        return short(thing.tolist())
    if isinstance(thing, bool) or thing is None:
        return {True: "yes", False: "no", None: "-"}[thing]
    if isinstance(thing, float | int):
        return number(thing) if isinstance(thing, float) else str(thing)
    if isinstance(thing, str):
        return " ".join(thing.split()) or "''"
    known = parts(thing)
    if known is not None:
        return "{" + ", ".join(f"{name} {short(one)}" for name, one in known.items()) + "}"
    if isinstance(thing, set | frozenset):
        thing = sorted(thing)
    return "[" + ", ".join(short(one) for one in thing) + "]"


def lines(thing: Any, name: str = "", depth: int = 0) -> Iterator[str]:
    """What does not go on one line goes one field, or one member, a line; many that are short go
    side by side."""
    start = "  " * depth + (f"{name}: " if name else "- ")
    text = short(thing)
    known = parts(thing)
    members = known.items() if known is not None else _members(thing)
    if len(start) + len(text) <= WIDTH or all(len(short(one)) <= SHORT for _, one in members):
        yield from wrap(start + text, WIDTH, subsequent_indent="  " * (depth + 2),
                        break_long_words=False, break_on_hyphens=False)  # fmt: skip
        return
    yield start.rstrip()
    for inner, one in members:
        yield from lines(one, inner, depth + 1)


def _members(thing: Any) -> list[tuple[str, Any]]:
    return [("", one) for one in thing] if isinstance(thing, list | tuple) else []
