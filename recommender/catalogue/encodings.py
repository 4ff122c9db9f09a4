"""Bytes of a foreign text file into text: UTF-8, UTF-16 or cp1252, stated or found out."""

import codecs

from recommender.facts.problems import BadInput, Problem

ENCODINGS = ("utf-8", "utf-16", "cp1252")
_LOOKED_AT = 4096


def decoded(data: bytes, encoding: str, file: str) -> tuple[str, str]:
    """The text and the name of its encoding; `encoding` '' finds it out.

    A byte order mark decides; then UTF-16 without one shows by its NULs; then UTF-8 if it is that
    throughout; else cp1252, in which five bytes mean nothing. Raises BadInput naming the line.
    """
    name = encoding or _found(data)
    try:
        text = data.decode(_with_mark(data, name))
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = f"a byte that is no {name}; accepted: {', '.join(ENCODINGS)}"
        raise BadInput([Problem(file, message, row=line)]) from None
    nul = text.find("\0")
    if nul >= 0:
        line = text.count("\n", 0, nul) + 1
        raise BadInput([Problem(file, "a NUL character: this is no text file", row=line)])
    return text.removeprefix("\ufeff"), name


def _with_mark(data: bytes, name: str) -> str:
    """The codec: of UTF-16 the side that the mark, or else the NULs of plain letters, show."""
    if name != "utf-16" or data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return name
    head = data[:_LOOKED_AT]
    return "utf-16-be" if head[0::2].count(0) > head[1::2].count(0) else "utf-16-le"


def _found(data: bytes) -> str:
    if data.startswith(codecs.BOM_UTF8):
        return "utf-8"
    head = data[:_LOOKED_AT]
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) or head.count(0) > len(head) / 4:
        return "utf-16"
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"
