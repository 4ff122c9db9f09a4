"""The README's shown output is what the commands print.

`README_WRITE=1 python -m pytest tests/test_readme_output.py` writes it afresh.
"""

import json
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


def test_the_bike_that_the_readme_writes_by_hand_has_shocks_that_fit(tmp_path: Path) -> None:
    (block,) = re.findall(r"```toml\n(\[bike\].*?)```", README.read_text(), re.DOTALL)
    (tmp_path / "mine.toml").write_text(block, encoding="utf-8")
    got = run("shortlist", "mine.toml", "--json", cwd=tmp_path)
    assert got.returncode == 0, got.stderr
    answer = json.loads(got.stdout)
    assert [one["state"] for one in answer["bundles"]].count("fits") > 0
    bare = re.sub(r"\[bike\.room\].*?\n\n", "", block, flags=re.DOTALL)
    (tmp_path / "bare.toml").write_text(bare, encoding="utf-8")
    # Without the room about the shock nothing can be said to fit.
    told = json.loads(run("shortlist", "bare.toml", "--json", cwd=tmp_path).stdout)
    assert [one["state"] for one in told["bundles"]].count("fits") == 0
