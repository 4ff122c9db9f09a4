"""The outside sources that tests check against, as the tests themselves name them.

A test names its source in a comment or docstring and its standing in brackets behind it:
'Shigley, 10th ed., Example 10-1 [B]: ...'.
"""

import ast
import re
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

TESTS = Path(__file__).resolve().parent
STANDINGS = {
    "A": "its text was read", "B": "a secondary transcription was read", "C": "from memory",
    "D": "closed form or the reference library's own value",
}  # fmt: skip
BEGIN, END = "<!-- sources: made from the tests -->", "<!-- end of sources -->"
_MARK = re.compile(r"\[([ABCD])\]")
_STOP = re.compile(r"(?<=[a-z0-9)])[.;] (?=[A-Z])|\[[ABCD]\]\)?[.,:;]?")
_LONGEST = 150


@dataclass(frozen=True, order=True)
class Source:
    """A source as a test names it. `checks`: the test's name in words."""

    file: str
    checks: str
    standing: str
    text: str


def sources() -> list[Source]:
    """Every source that some test names, by file."""
    paths = [path for path in TESTS.rglob("*.py") if path != Path(__file__).resolve()]
    return sorted({one for path in paths for one in _of_file(path)})


def table() -> str:
    """The sources as a Markdown table between its marks."""
    head = "| source | standing | what it checks | where |\n| --- | --- | --- | --- |\n"
    rows = "".join(
        f"| {one.text.replace('|', '/')} | {one.standing} | {one.checks} | `{one.file}` |\n"
        for one in sources()
    )
    return f"{BEGIN}\n{head}{rows}{END}"


def _of_file(path: Path) -> Iterator[Source]:
    source = path.read_text(encoding="utf-8")
    if not _MARK.search(source):
        return
    tree = ast.parse(source)
    name = path.relative_to(TESTS.parent).as_posix()
    for line, text in (*_comments(path), *_docstrings(tree)):
        for mark in _MARK.finditer(text):
            yield Source(name, _test_at(tree, line), mark[1], _named(text, mark))


def _named(text: str, mark: re.Match[str]) -> str:
    """The words before a mark back to the last stop, or those after it where none are."""
    before = _STOP.split(text[: mark.start()])[-1].strip(" :.,(").removesuffix("Standing")
    after = re.split(r"(?<=[a-z0-9)])[.:;] |\[[ABCD]\]", text[mark.end() :])[0]
    named = (before or after.strip(" :.,")).removeprefix("Against ")
    return named if len(named) <= _LONGEST else "… " + named[-_LONGEST:].partition(" ")[2]


def _comments(path: Path) -> Iterator[tuple[int, str]]:
    """Comments that stand on lines one below the other as one, each with its first line."""
    first, last, parts = 0, 0, []
    with open(path, "rb") as stream:
        for token in tokenize.tokenize(stream.readline):
            if token.type != tokenize.COMMENT:
                continue
            line, alone = token.start[0], token.line.lstrip().startswith("#")
            if parts and (line != last + 1 or not alone):
                yield first, " ".join(parts)
                parts = []
            first = line if not parts else first
            last = line
            parts.append(token.string.lstrip("# "))
    if parts:
        yield first, " ".join(parts)


def _docstrings(tree: ast.Module) -> Iterator[tuple[int, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
            text = ast.get_docstring(node)
            if text is not None:
                yield node.body[0].lineno, " ".join(text.split())


def _test_at(tree: ast.Module, line: int) -> str:
    """The test that a line stands in, with its decorators; else the whole file's purpose."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            start = min([node.lineno, *(one.lineno for one in node.decorator_list)])
            # A comment above a test belongs to it.
            if start - 4 <= line <= (node.end_lineno or line) and node.name.startswith("test_"):
                return node.name.removeprefix("test_").replace("_", " ")
    return "the whole file"
