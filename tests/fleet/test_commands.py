"""The commands as their user runs them."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from recommender.cli.main import app

RUN = CliRunner()


def run(*args: str, code: int = 0) -> str:
    got = RUN.invoke(app, ["fleet", *args], env={"COLUMNS": "80", "NO_COLOR": "1"})
    assert got.exit_code == code, got.output
    return got.output


def test_plan_says_that_it_is_proved_within_80_columns(tmp_path: Path) -> None:
    out = run("plan", "--curve", "--page", str(tmp_path / "fleet.html"))
    assert "40 of 40 bikes served" in out
    assert "proved" in out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert (tmp_path / "fleet.html").read_text(encoding="utf-8").startswith("<!doctype html>")


def test_plan_as_json() -> None:
    made = json.loads(run("plan", "--json"))
    assert made["served"] == 40
    assert [one["name"] for one in made["stages"]] == [
        "bikes served", "builds", "hardware kits", "cost and loss",
    ]  # fmt: skip


def test_rollout_writes_the_order_list(tmp_path: Path) -> None:
    out = run("rollout", "--yearly", "3000", "--out", str(tmp_path / "buy.xlsx"))
    assert "Year 1" in out
    assert (tmp_path / "buy.xlsx").stat().st_size > 1000


def test_spares_bikes_and_charts() -> None:
    assert "before standardising" in " ".join(run("spares").split())
    assert "this build is its own best" in " ".join(run("bikes", "guide 2").split())
    assert "end of range" in run("charts")


@pytest.mark.parametrize("command", ["plan", "bikes", "without", "spares", "rollout", "charts"])
def test_help_has_an_example(command: str) -> None:
    assert "Example: recommender fleet" in run(command, "--help")
