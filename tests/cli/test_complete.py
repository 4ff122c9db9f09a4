"""Completion as bash asks for it, and what of a catalogue may reach the shell."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.catalogue.build import shock, write_catalogue

ASK = "from recommender.cli.main import main; import sys; sys.argv = ['recommender']; main()"


def complete(*words: str) -> list[str]:
    """The completions of the last word."""
    line = " ".join(("recommender", *words))
    asked = {"_RECOMMENDER_COMPLETE": "complete_bash", "COMP_WORDS": line}
    done = subprocess.run(
        [sys.executable, "-c", ASK], capture_output=True, text=True, check=False,
        env={**os.environ, **asked, "COMP_CWORD": str(len(words))},
    )  # fmt: skip
    assert done.stderr == ""
    return done.stdout.split()


def test_commands_and_options() -> None:
    assert complete("sh") == ["shortlist", "sheet"]
    assert complete("shortlist", "--to") == ["--top"]


@pytest.mark.parametrize("command", ["why", "bundle", "compare", "serves"])
def test_part_numbers_of_the_demo(command: str) -> None:
    assert complete(command, "VT-210x50-") == ["VT-210x50-U"]


def test_the_fitted_shock_too() -> None:
    assert complete("compare", "VT-210x50-U", "fit") == ["fitted"]
    assert complete("serves", "fit") == []


def test_of_the_catalogue_named_and_only_what_a_shell_takes(tmp_path: Path) -> None:
    names = ("AB-1", "AB-2", "AB $(x)", "AB\x1b[2J", "ZZ")
    folder = write_catalogue(tmp_path, shocks=[shock(name) for name in names])
    assert complete("why", "-c", str(folder), "AB") == ["AB-1", "AB-2"]
    assert complete("why", "-c", str(tmp_path / "none"), "AB") == []
    (folder / "shocks.csv").write_bytes(b"part_number\n\xff\xfe\n")
    assert complete("why", "-c", str(folder), "AB") == []
