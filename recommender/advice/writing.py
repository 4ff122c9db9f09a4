"""A question's document as the TOML file that the person keeps; notes in an old one stay."""

import json
import tomllib
from typing import Any

import tomlkit
from tomlkit.items import Table

from recommender.advice.asking import Document

HEAD = "What is known of the bike, its rider and the wishes. '?' is not known yet; lengths in mm."
_INLINE = ("head_sleeve", "shaft_sleeve")


def toml_text(document: Document, old: str = "") -> str:
    """The document as TOML, laid over the text `old` whose remarks and order are kept; what it no
    longer holds goes."""
    if old:
        book = tomlkit.parse(old)
    else:
        book = tomlkit.document()
        book.add(tomlkit.comment(HEAD))
        book.add(tomlkit.nl())
    _lay(book, document, "")
    text = tomlkit.dumps(book)
    if _told(tomllib.loads(text)) != _told(_plain(document)):
        raise RuntimeError("the file written would not read back as what was answered")
    return text


def _told(document: Any) -> str:
    """A document for comparison: a NaN that a file has kept is the same NaN."""
    return json.dumps(document, sort_keys=True, default=repr)


def _lay(into: Any, values: Document, path: str) -> None:
    for name in [name for name in into if name not in values]:
        del into[name]
    for name, value in values.items():
        if isinstance(value, dict) and not _is_inline(path, name):
            if not isinstance(into.get(name), dict):
                into[name] = tomlkit.table()
            _lay(into[name], value, f"{path}.{name}")
        elif name not in into or _unwrapped(into[name]) != value:
            into[name] = _item(value)


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
