"""What keeps a text from being TOML, in words, with its line."""

import re

from recommender.facts.problems import Problem, shorten

_PLACE = re.compile(r"^(.*) \(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL)
_LONG = re.compile(r"(?<![\w.\"'])[-+]?\d[\d_]{4299,}")
_NAME = r"""(?:[\w-]+|"[^"]*"|'[^']*')"""
_KEY = re.compile(rf"\s*({_NAME}(?:\s*\.\s*{_NAME})*)\s*=")
_HEADER = re.compile(r"\s*\[+\s*([^\]]+?)\s*\]")
_QUOTED = re.compile(
    r"\"\"\".*?\"\"\"|'''.*?'''|\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*'|#[^\n]*", re.DOTALL
)
_COMMA = re.compile(r"=\s*([-+]?\d+),(\d+)\s*(?:$|[,}])")
_BARE = re.compile(r"=\s*([A-Za-z][\w -]*?)\s*$")
_AGAIN = ("Cannot overwrite a value", "Cannot mutate immutable namespace", "Cannot declare")


def fault_of(error: Exception, text: str, file: str) -> Problem:
    """The fault that `tomllib` met in the text, by what it raised."""
    if isinstance(error, RecursionError):
        return Problem(file, "nested too deeply", row=_deepest(text))
    match = _PLACE.match(str(error))
    if match is None:
        return _too_long(text, file)
    told, line, column = match.groups()
    if line is None:
        return Problem(file, f"not valid TOML: {told}", row=len(text.splitlines()))
    row = int(line)
    if told.startswith(_AGAIN):
        return _twice(text.splitlines(), row, file)
    lines = text.splitlines()
    hint = _hint(lines[row - 1]) if row <= len(lines) else ""
    return Problem(file, f"not valid TOML: {told} (column {column}){hint}", row=row)


def _hint(line: str) -> str:
    """What was probably meant, where the line holds a comma in a number or a bare text."""
    plain = _plain(line)
    if comma := _COMMA.search(plain):
        return f"; with a decimal point: {comma[1]}.{comma[2]}"
    bare = _BARE.search(plain)
    if bare and bare[1] not in ("true", "false", "inf", "nan"):
        return f'; text stands in quotes: "{shorten(bare[1])}"'
    return ""


def _too_long(text: str, file: str) -> Problem:
    """A whole number of more digits than Python reads."""
    found = _LONG.search(_plain(text))
    row = text.count("\n", 0, found.start()) + 1 if found else None
    digits = f" of {len(found[0])} digits" if found else ""
    return Problem(file, f"not valid TOML: a number{digits} is too large", row=row)


def _twice(lines: list[str], row: int, file: str) -> Problem:
    """A name that was given a value, or a table, before."""
    line = lines[row - 1]
    header, key = _HEADER.match(line), _KEY.match(line)
    if header is not None:
        name, pattern = header[1], _HEADER
    elif key is not None:
        name, pattern = key[1], _KEY
    else:
        return Problem(file, "not valid TOML: a name is given twice", row=row)
    # Within one table only: the same field may stand under another header.
    for at in range(row - 1, 0, -1):
        earlier = lines[at - 1]
        found = pattern.match(earlier)
        if found is not None and found[1] == name:
            message = f"stands in row {at} already: keep one"
            return Problem(file, message, row=row, column=shorten(name))
        if header is None and _HEADER.match(earlier):
            break
    return Problem(file, "is given a value elsewhere already", row=row, column=shorten(name))


def _deepest(text: str) -> int:
    """The line on which brackets and braces stand deepest in each other."""
    depth = most = 0
    row = deepest = 1
    for sign in _plain(text):
        if sign == "\n":
            row += 1
        elif sign in "[{":
            depth += 1
            if depth > most:
                most, deepest = depth, row
        elif sign in "]}":
            depth -= 1
    return deepest


def _plain(text: str) -> str:
    """The text with what is quoted or commented on blotted out, line by line as long as before."""
    return _QUOTED.sub(lambda found: re.sub(r"[^\n]", " ", found[0]), text)
