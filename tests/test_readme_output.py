"""The README's shown output is what the commands print.

`README_WRITE=1 python -m pytest tests/test_readme_output.py` writes it afresh.
"""

import os
import re
import shlex
from pathlib import Path

import pytest

from tests.cli.run import run

README = Path(__file__).parent.parent / "README.md"
SHOWN = re.compile(r"<!-- shown: (recommender [^\n]*) -->\n```text\n(.*?)```", re.DOTALL)


def output(command: str) -> str:
    """What a command prints at 80 columns, trailing blanks cut."""
    program, *rest = shlex.split(command)
    assert program == "recommender"
    got = run(*rest, NO_COLOR="1")
    lines = [line.rstrip() for line in got.stdout.splitlines()]
    return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip() + "\n"


def test_the_readme_shows_what_the_commands_print() -> None:
    text = README.read_text()
    blocks = SHOWN.findall(text)
    assert blocks
    if os.environ.get("README_WRITE"):
        fresh = SHOWN.sub(lambda m: f"<!-- shown: {m[1]} -->\n```text\n{output(m[1])}```", text)
        README.write_text(fresh)
        pytest.skip("written afresh")
    for command, shown in blocks:
        assert shown == output(command), command
