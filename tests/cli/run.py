"""The command, run as a user runs it: within this process, or installed and apart."""

import io
import os
import subprocess
import sys
from contextlib import ExitStack, chdir, redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path

import pytest

from recommender.answer.answer import Case
from recommender.cli import open as opening
from recommender.cli.inputs import demo_question, shipped
from recommender.cli.main import main

PROGRAM = Path(sys.executable).parent / "recommender"
_PLAIN = ("NO_COLOR", "FORCE_COLOR", "CLICOLOR_FORCE", "TTY_COMPATIBLE", "COLORTERM")
Done = subprocess.CompletedProcess[str]


@cache
def demo_case() -> Case:
    """The demo's main question, opened and answered once for all tests that ask for it."""
    return _open(demo_question(), shipped("catalogs"))


_open = opening.open_case


def _demo_once(
    files: list[Path] | None, catalogue: Path | None, weights: list[str] | None = None
) -> Case:
    return _open(files, catalogue, weights) if files or catalogue or weights else demo_case()


def run(
    *arguments: object, columns: int = 80, cwd: Path | None = None, **environment: str
) -> Done:
    """Exit code and what the command printed, at that width; colour variables only if given.

    Within this process, so that the program is imported once, and the demo's question is answered
    once; an error that would print a traceback is raised.
    """
    out, err = io.StringIO(), io.StringIO()
    words = ["recommender", *map(str, arguments)]
    code = 0
    with ExitStack() as stack:
        patch = stack.enter_context(pytest.MonkeyPatch.context())
        for name in _PLAIN:
            patch.delenv(name, raising=False)
        for name, value in {"COLUMNS": str(columns), **environment}.items():
            patch.setenv(name, value)
        patch.setattr(sys, "argv", words)
        patch.setattr(opening, "open_case", _demo_once)
        patch.setattr(sys, "stdin", io.StringIO())
        stack.enter_context(chdir(cwd or Path.cwd()))
        stack.enter_context(redirect_stdout(out))
        stack.enter_context(redirect_stderr(err))
        try:
            main()
        except SystemExit as stopped:
            code = int(stopped.code or 0)
    return Done(words, code, out.getvalue(), err.getvalue())


def installed(
    *arguments: object, columns: int = 80, cwd: Path | None = None, **environment: str
) -> Done:
    """As `run`, by the installed program in a process of its own."""
    inherited = {name: value for name, value in os.environ.items() if name not in _PLAIN}
    return subprocess.run(
        [str(PROGRAM), *map(str, arguments)],
        capture_output=True, text=True, encoding="utf-8", check=False, timeout=120, cwd=cwd,
        env={**inherited, "COLUMNS": str(columns), "PYTHONUTF8": "1", **environment},
    )  # fmt: skip


def snapshot(folder: Path) -> dict[str, bytes | None]:
    """Everything in a folder, to tell whether anything was written."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }
