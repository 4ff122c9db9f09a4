"""What every command prints with --json, against the schema that the program itself exports."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import typer
from jsonschema import Draft202012Validator
from typer.testing import CliRunner

from recommender.cli.main import app
from recommender.cli.planned import Planned
from recommender.cli.schemas import COMMANDS, json_schema
from tests.catalogue import build

SHOP = Path(__file__).parents[2] / "demo" / "shop"
QUESTION = """
[bike]
mount = "eyelet"
eyelet_axis = "parallel"
head = { gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }
shaft = { gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }
sizes = [{ length_mm = 210, stroke_ceiling_mm = 50 }]
leverage = { stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }
tyre = { gap_mm = 30, closing = 0.5 }
allows = { coil = "yes", remote = "yes" }
room = { measured = "whole travel", ROOM }
present_shock = { part_number = "AIR-1", condition = "service due" }
[rider]
mass_with_kit_kg = 80
[wishes]
budget = { must = 700 }
""".replace("ROOM", ", ".join(
    f"{third}_{side}_mm = 80"
    for third in ("head", "middle", "shaft") for side in ("up", "down", "left", "right")
))  # fmt: skip
ASKED: dict[str, tuple[str, ...]] = {
    "shortlist": ("q.toml", "-c", "c"), "rejections": ("q.toml", "-c", "c"),
    "bundle": ("AIR-1", "-q", "q.toml", "-c", "c"), "why": ("LONG", "-q", "q.toml", "-c", "c"),
    "compare": ("AIR-1", "AIR-2", "-q", "q.toml", "-c", "c"), "holds": ("q.toml", "-c", "c"),
    "give-up": ("q.toml", "-c", "c"), "measure": ("q.toml", "-c", "c"),
    "find": ("q.toml", "-c", "c", "--size", "210x50", "--price", "180"),
    "fit-list": ("-c", "c", "-q", "r.toml", "--out", "fits", "--processes", "1"),
    "serves": ("AIR-1", "-c", "c"), "advise": ("q.toml", "-c", "c"),
    "brief": ("q.toml", "-c", "c", "-x", "packs down"),
    "import-stock": (str(SHOP / "stock.toml"), "--dry-run"), "check-catalogue": ("c",),
    "doubts": ("c",), "changes": ("c", "d", "-q", "q.toml"),
    "fitted": ("q.toml", "-c", "c", "--sag-down", "14.5", "--sag-up", "15.5"),
    "fleet plan": (), "fleet bikes": ("guide 2",), "fleet without": ("VS-210x50",),
    "fleet spares": (), "fleet rollout": (), "fleet charts": (),
}  # fmt: skip


def leaves(group: Any, before: str = "") -> Iterator[tuple[str, Any]]:
    """Every command that does something, by its whole name."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from leaves(command, f"{before}{name} ")
        else:
            yield before + name, command


ANSWERING = {
    name for name, command in leaves(typer.main.get_command(app))
    if any("--json" in option.opts for option in command.params)
}  # fmt: skip
demo_fleet = cache(Planned().fleet)
"""The demo's fleet, planned once for all of its commands."""
SCHEMA_OF = {command: name for name, listed in COMMANDS.items() for command in listed.split(", ")}


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a question and two versions of a small catalogue."""
    folder = tmp_path_factory.mktemp("place")
    (folder / "q.toml").write_text(QUESTION, encoding="utf-8")
    (folder / "r.toml").write_text("[rider]\nmass_with_kit_kg = 80\n", encoding="utf-8")
    shocks = [
        build.shock("AIR-1", compression_class="firm"),
        build.shock("AIR-2", price=150, compression_class="firm", eyelet_axis=None),
        build.shock("AIR1", price=800), build.shock("LONG", length_mm=240),
    ]  # fmt: skip
    frames = {"one": QUESTION.partition("present_shock")[0]}
    build.write_catalogue(folder / "c", shocks=shocks, frames=frames)
    build.write_catalogue(folder / "d", shocks=[*shocks[1:], build.shock("AIR-1", price=90)])
    return folder


def test_every_answer_has_a_schema_and_is_tried() -> None:
    assert set(SCHEMA_OF) == ANSWERING
    assert set(ASKED) == ANSWERING


@pytest.mark.parametrize("command", sorted(ASKED))
def test_json_keeps_to_its_schema(
    command: str, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(place)
    if command.startswith("fleet "):
        monkeypatch.setattr(Planned, "fleet", lambda asked: demo_fleet())
    got = CliRunner().invoke(app, [*command.split(), *ASKED[command], "--json"])
    assert got.stdout, got.stderr or got.exception
    made = json.loads(got.stdout, parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))
    schema = json_schema(SCHEMA_OF[command])
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert not list(validator.iter_errors(made))
    assert schema["$id"].rsplit(":", 1)[1] == made["schema_version"]
    # Closed: a field that nobody declared, and one that is gone, would be noticed.
    assert list(validator.iter_errors({**made, "undeclared": 1}))
    for name in schema["required"]:
        assert list(validator.iter_errors({k: v for k, v in made.items() if k != name}))


def test_the_schemas_are_listed_and_a_slip_is_told() -> None:
    listed = CliRunner().invoke(app, ["schema", "--list"]).stdout
    assert [line.split()[0] for line in listed.splitlines()] == list(COMMANDS)
    for name in COMMANDS:
        told = json.loads(CliRunner().invoke(app, ["schema", name]).stdout)
        assert told["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert told["$id"] == f"urn:recommender:{name}:1"
