"""Spoilt inputs made from sound ones: tokens, lines and bytes changed, hostile values put in."""

import io
import random
import re
import zipfile
from collections.abc import Sequence

from tests.fuzz.hostile import LONG, NAMES, NUMBERS, TEXTS, XML

_TOKEN = re.compile(r"[0-9.+-]+|\w+|\s+|[^\w\s]")
LARGEST_MADE = 20_000
"""Letters: longer ones would slow the run, and bounds on sizes have tests of their own."""


def word(rng: random.Random) -> str:
    """A hostile value, or a name that means something somewhere."""
    kind = rng.random()
    if kind < 0.02:
        return rng.choice(LONG)
    if kind < 0.35:
        return rng.choice(NUMBERS)
    if kind < 0.7:
        return rng.choice(TEXTS)
    if kind < 0.9:
        return rng.choice(NAMES)
    return "".join(chr(_letter(rng)) for _ in range(rng.randrange(1, 12)))


def _letter(rng: random.Random) -> int:
    top = rng.choice((0x80, 0x100, 0x3000, 0xD800, 0x10FFFF))
    code = rng.randrange(top)
    return 0x20 if 0xD800 <= code < 0xE000 else code


def mutated(data: bytes, others: Sequence[bytes], rng: random.Random) -> bytes:
    """The input with one to six changes; a workbook is changed inside its parts."""
    if data[:2] == b"PK" and rng.random() < 0.85:
        return _workbook(data, rng)
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 6))):
        data = _bytes(data, rng) if rng.random() < 0.15 else _text(data, others, rng)
    return data[:LARGEST_MADE]


def _bytes(data: bytes, rng: random.Random) -> bytes:
    out = bytearray(data or b"\0")
    at = rng.randrange(len(out))
    kind = rng.randrange(5)
    if kind == 0:
        out[at] ^= 1 << rng.randrange(8)
    elif kind == 1:
        out[at] = rng.choice((0, 0x0A, 0x0D, 0x22, 0x27, 0x2C, 0x5C, 0x7F, 0x80, 0xFE, 0xFF))
    elif kind == 2:
        del out[at : at + rng.randrange(1, 40)]
    elif kind == 3:
        out[at:at] = rng.randbytes(rng.randrange(1, 5))
    else:
        return (
            bytes(out)
            .decode("utf-8", "replace")
            .encode(rng.choice(("utf-16", "utf-16-le", "cp1252")), "replace")
        )
    return bytes(out)


def _text(data: bytes, others: Sequence[bytes], rng: random.Random) -> bytes:
    text = data.decode("utf-8", "surrogateescape")
    kind = rng.randrange(10)
    if kind < 6:
        text = _tokens(text, rng)
    elif kind < 9:
        text = _lines(text, others, rng)
    else:
        text = _nested(text, rng)
    return text.encode("utf-8", "surrogateescape")


def _tokens(text: str, rng: random.Random) -> str:
    parts = _TOKEN.findall(text) or [""]
    at = rng.randrange(len(parts))
    kind = rng.randrange(6)
    if kind < 3:
        # Values are what readers look at; between blanks and signs a change says little.
        valued = [k for k, part in enumerate(parts) if part.strip() and (part[0].isalnum())]
        parts[rng.choice(valued) if valued else at] = word(rng)
    elif kind == 3:
        parts.insert(at, word(rng))
    elif kind == 4:
        del parts[at : at + rng.randrange(1, 4)]
    else:
        other = rng.randrange(len(parts))
        parts[at], parts[other] = parts[other], parts[at]
    return "".join(parts)


def _lines(text: str, others: Sequence[bytes], rng: random.Random) -> str:
    lines = text.splitlines(keepends=True) or [""]
    at = rng.randrange(len(lines))
    kind = rng.randrange(5)
    if kind == 0:
        lines.insert(at, rng.choice(lines))
    elif kind == 1:
        del lines[at]
    elif kind == 2:
        other = rng.randrange(len(lines))
        lines[at], lines[other] = lines[other], lines[at]
    elif kind == 3:
        theirs = rng.choice(others).decode("utf-8", "surrogateescape").splitlines(keepends=True)
        lines.insert(at, rng.choice(theirs or [""]))
    else:
        lines.insert(at, f"{rng.choice(NAMES)} = {word(rng)}\n")
    return "".join(lines)


def _nested(text: str, rng: random.Random) -> str:
    at = rng.randrange(len(text) + 1)
    depth = rng.choice((2, 20, 200, 2000))
    opening, closing = rng.choice(
        (
            ("[", "]"),
            ("{a=", "}"),
            ('{"a":', "}"),
            ("a.", ""),
            ("[[", "]]"),
            ('"', '"'),
            (",", ""),
            ("\n", ""),
        )
    )
    return text[:at] + opening * depth + "1" + closing * depth + text[at:]


def _workbook(data: bytes, rng: random.Random) -> bytes:
    """The ZIP with one part changed, left out, doubled or renamed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        names = old.namelist()
        # Sheets hold the cells; the rest is read less.
        sheets = [name for name in names if "sheet" in name or "Strings" in name]
        chosen = rng.choice(sheets if sheets and rng.random() < 0.7 else names)
        kind = rng.random()
        for name in names:
            part = old.read(name)
            if name == chosen:
                if kind < 0.03:
                    continue
                if kind < 0.05:
                    name = rng.choice(TEXTS) or "x"
                for _ in range(rng.choice((1, 1, 2, 4))):
                    part = _markup(part, rng)
            new.writestr(name.replace("\0", "?").replace("\ud800", "?"), part[: 4 * LARGEST_MADE])
    return out.getvalue()


def _markup(part: bytes, rng: random.Random) -> bytes:
    text = part.decode("utf-8", "surrogateescape")
    kind = rng.randrange(6)
    if kind == 0:
        return _bytes(part, rng)
    if kind == 1:
        return _tokens(text, rng).encode("utf-8", "surrogateescape")
    if kind == 2:
        places = [m.span() for m in re.finditer(r"<(?:v|t)>[^<]*<", text)]
        if places:
            start, end = rng.choice(places)
            value = word(rng).replace("&", "&amp;").replace("<", "&lt;")
            made = text[: start + 3] + value + text[end - 1 :]
            return made.encode("utf-8", "surrogatepass")
    if kind == 3:
        places = [m.span() for m in re.finditer(r'[\w:]+="[^"]*"', text)]
        if places:
            start, end = rng.choice(places)
            return (text[:start] + rng.choice(XML) + text[end:]).encode("utf-8", "surrogateescape")
    tags = [m.start() for m in re.finditer("<", text)] or [0]
    at, to = rng.choice(tags), rng.choice(tags)
    if kind == 4:
        return (text[:at] + rng.choice(XML) + text[at:]).encode("utf-8", "surrogateescape")
    return (text[: min(at, to)] + text[max(at, to) :]).encode("utf-8", "surrogateescape")
