"""A question's document as the TOML file that the person keeps; notes in an old one stay."""

import json
import tomllib
from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Null, Table

from recommender.advice.asking import Document

HEAD = "What is known of the bike, its rider and the wishes. '?' is not known yet; lengths in mm."
NOT_LAID = (
    "cannot be written to as it is laid out: give each table a head of its own, as [bike] and "
    "[bike.present_shock], in place of dotted names or tables on one line"
)
_INLINE = ("head_sleeve", "shaft_sleeve")


class NotLaid(ValueError):
    """A file that is written in a way that the document cannot be laid over."""


def toml_text(document: Document, old: str = "") -> str:
    """The document as TOML, laid over the text `old` whose remarks and order are kept; what it no
    longer holds goes. Raises NotLaid."""
    if old:
        book = tomlkit.parse(old)
    else:
        book = tomlkit.document()
        book.add(tomlkit.comment(HEAD))
        book.add(tomlkit.nl())
    try:
        tail = _to_heads(book)
        _lay(book, document, "")
        text = tomlkit.dumps(book) + tail
        got = tomllib.loads(text)
    except (TOMLKitError, ValueError, TypeError, KeyError, AttributeError) as error:
        raise NotLaid from error
    if _told(got) != _told(_plain(document)):
        raise NotLaid
    # tomlkit ends its own lines in a line feed alone.
    return text.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in old else text


def _told(document: Any) -> str:
    """A document for comparison: a NaN that a file has kept is the same NaN."""
    return json.dumps(document, sort_keys=True, default=repr)


def _lay(into: Any, values: Document, path: str) -> None:
    for name in [name for name in into if name not in values]:
        del into[name]
    for name, value in values.items():
        if isinstance(value, dict) and not _is_inline(path, name):
            deep = any(isinstance(inner, dict) for inner in value.values())
            if not isinstance(into.get(name), dict) or (
                deep and isinstance(into[name], InlineTable)
            ):
                into[name] = tomlkit.table()
            _lay(into[name], value, f"{path}.{name}")
        elif name not in into or _unwrapped(into[name]) != value:
            into[name] = _item(value)


def _to_heads(container: Container) -> str:
    """Moves remarks and blank lines that stand before a table's head to that table: the parser has
    them at the end of whatever stands before, where they would go with it or be written between.
    What stands after the last table is taken off and given back."""
    last, since = "", 0
    for place, (key, item) in enumerate(list(container.body)):
        for table in item.body if isinstance(item, AoT) else [item]:
            if not isinstance(table, Table):
                continue
            table.trivia.indent = last + _taken(container, since, place) + table.trivia.indent
            last, since = _to_heads(table.value), place + 1
        if key is not None:
            since = place + 1
    return last + _taken(container, since, len(container.body))


def _taken(container: Container, first: int, end: int) -> str:
    """The text of the remarks and blank lines at those places, which are then empty."""
    taken = [item.as_string() for _, item in container.body[first:end]]
    container.body[first:end] = [(None, Null())] * len(taken)
    return "".join(taken)


def _is_inline(path: str, name: str) -> bool:
    return path == ".wishes" or name in _INLINE


def _item(value: Any) -> Any:
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        table.update(value)
        return table
    if isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
        tables = tomlkit.aot()
        for one in value:
            inner: Table = tomlkit.table()
            inner.update(one)
            tables.append(inner)
        return tables
    return value


def _unwrapped(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    return [_plain(one) for one in value] if isinstance(value, list | tuple) else value
