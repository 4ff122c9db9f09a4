"""The README: set-up in two commands, and every command of the program by name.

What the commands are shown to print is compared in `test_readme_output.py`.
"""

import re
from pathlib import Path

import pytest
import typer

from recommender.cli.main import app
from recommender.fleet.reading import FleetRow

TEXT = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```$", TEXT, re.DOTALL | re.MULTILINE)
COMMANDS = sorted(typer.main.get_command(app).commands)  # type: ignore[attr-defined]


def test_the_first_two_shell_blocks_set_up_and_run_and_test() -> None:
    first, second = [text for language, text in BLOCKS if language == "sh"][:2]
    for block in (first, second):
        assert block.count("\n") == 1
        assert block.startswith("python3 -m venv .venv && .venv/bin/pip install -q ")
    assert first.rstrip().endswith(".venv/bin/recommender shortlist")
    assert "-e '.[test]'" in second
    assert second.rstrip().endswith(".venv/bin/python -m pytest")


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_is_in_the_readme(name: str) -> None:
    assert re.search(rf"`?recommender {re.escape(name)}\b", TEXT)


def test_every_command_the_readme_names_exists() -> None:
    named = set(re.findall(r"(?:`|^|bin/)recommender ([a-z][a-z-]*)", TEXT, re.MULTILINE))
    assert named <= set(COMMANDS)


@pytest.mark.parametrize("column", FleetRow.model_fields)
def test_every_column_of_a_fleet_is_in_the_readme(column: str) -> None:
    assert f"`{column}`" in TEXT


def test_every_block_names_its_language() -> None:
    assert all(language for language, _ in BLOCKS)
    assert TEXT.count("```") == 2 * len(BLOCKS)


@pytest.mark.parametrize("link", sorted(set(re.findall(r"\]\(([^)#]+)", TEXT))))
def test_links_lead_to_files_of_the_project(link: str) -> None:
    assert (Path(__file__).parent.parent / link).exists()
