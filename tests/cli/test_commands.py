"""Every command on the demo: exit codes, widths, JSON against the exported schema, colour, help."""

import json
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import typer
from jsonschema import Draft202012Validator

from recommender.cli.main import app
from tests.catalogue import build
from tests.cli.run import installed, run, snapshot
from tests.cli.test_schemas import QUESTION

FITTING, RULED_OUT = "SN-210x52.5-D", "YP-210x50-L"
ANSWERING = {
    "shortlist": ("answer", ("shortlist",), ("Perrin's Ledda", FITTING, "Cautions")),
    "rejections": ("answer", ("rejections", "--most", "3"), ("rule", "length", "more: --all")),
    "bundle": ("bundle", ("bundle", FITTING), (FITTING, "135.8 mm")),
    "why": ("turned-down", ("why", RULED_OUT), (RULED_OUT, "ruled out", "eyelet axis")),
    "compare": ("comparison", ("compare", FITTING, "fitted"), (FITTING, "the fitted", "price")),
    "holds": ("holdings", ("holds", "--family", "210 eyelet"), (FITTING,)),
}  # fmt: skip
"""Command -> its answer's schema, a call of it, and words that must be on the screen."""

ESCAPE, COLOURED = "\x1b", re.compile(r"\x1b\[[0-9;]*\b(?:3[0-7]|9[0-7])m")


def commands() -> dict[str, Any]:
    """Every command by name."""
    group = typer.main.get_command(app)
    found: dict[str, Any] = getattr(group, "commands")  # noqa: B009
    return found


def usable(schema: str) -> Draft202012Validator:
    """A validator of the schema that the command itself exports."""
    got = run("schema", schema)
    assert got.returncode == 0
    told = json.loads(got.stdout)
    assert told["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(told)
    return Draft202012Validator(told)


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("name", ANSWERING)
def test_answers_on_the_demo_within_the_width(name: str, columns: int) -> None:
    _, arguments, words = ANSWERING[name]
    got = run(*arguments, columns=columns)
    assert (got.returncode, got.stderr) == (0, "")
    assert ESCAPE not in got.stdout
    assert max(map(len, got.stdout.splitlines())) <= columns
    assert not [line for line in got.stdout.splitlines() if line != line.rstrip()]
    assert "\n\n\n" not in got.stdout
    flat = " ".join(got.stdout.split())
    for word in words:
        assert word in flat


@pytest.mark.parametrize("name", ANSWERING)
def test_json_keeps_to_the_exported_schema(name: str) -> None:
    schema, arguments, _ = ANSWERING[name]
    got = run(*arguments, "--json")
    assert (got.returncode, got.stderr) == (0, "")
    made = json.loads(got.stdout, parse_constant=lambda word: pytest.fail(f"{word} in the JSON"))
    validator = usable(schema)
    assert not list(validator.iter_errors(made))
    # The schema is closed: it would notice a field that nobody declared, and one that is gone.
    assert list(validator.iter_errors({**made, "undeclared": 1}))
    required = validator.schema["required"]
    assert list(validator.iter_errors({k: v for k, v in made.items() if k != required[0]}))


def test_every_command_that_answers_is_tried() -> None:
    answering = {
        name for name, command in commands().items()
        if any("--json" in option.opts for option in command.params)
    }  # fmt: skip
    spine = {"shortlist", "rejections", "bundle", "why", "compare", "holds"}
    assert spine <= answering
    assert spine == set(ANSWERING)


def test_checks_the_demo_catalogue_and_tells_what_it_holds() -> None:
    from recommender.cli.inputs import shipped

    got = run("check-catalogue", shipped("catalogs"))
    assert (got.returncode, got.stderr) == (0, "")
    assert re.search(r"no problem found in 1\d\d shocks, \d+ kits, \d+ services", got.stdout)


def test_exits_1_when_nothing_fits_and_says_where_the_reasons_are(tmp_path: Path) -> None:
    folder = build.write_catalogue(tmp_path / "parts")
    question = tmp_path / "question.toml"
    question.write_text(
        '[bike]\nmount = "trunnion"\nsizes = [{ length_mm = 165, stroke_ceiling_mm = 40 }]\n'
        "[rider]\nmass_with_kit_kg = 80\n"
    )
    before = snapshot(tmp_path)
    got = run("shortlist", question, "-c", folder)
    assert (got.returncode, got.stderr) == (1, "")
    assert "No bundle meets every must" in got.stdout
    assert "recommender rejections" in got.stdout
    assert "recommender give-up" in " ".join(got.stdout.split())
    got = run("rejections", question, "-c", folder)
    assert got.returncode == 1
    assert "mount style: the shock's head is eyelet, the frame takes trunnion" in got.stdout
    got = run("shortlist", question, "-c", folder, "--json")
    assert got.returncode == 1
    counts = json.loads(got.stdout)["counts"]
    assert (counts["ruled out"], sum(counts.values())) == (1, 1)
    assert snapshot(tmp_path) == before


def test_colour_only_where_it_is_wanted() -> None:
    arguments = ("rejections", "--most", "1")
    assert COLOURED.search(run(*arguments, FORCE_COLOR="1").stdout)
    assert not COLOURED.search(run(*arguments, FORCE_COLOR="1", NO_COLOR="1").stdout)


@pytest.mark.parametrize("name", sorted(commands()))
def test_help_shows_an_example(name: str) -> None:
    got = run(name, "--help")
    assert got.returncode == 0
    assert f"Example: recommender {name}" in " ".join(got.stdout.split())
    types = re.findall(r"<\w[^>]*>|<=|\bTEXT$|\bINTEGER\b|list\[", got.stdout, re.MULTILINE)
    assert not types, "what is put in a place is named in the trade's words"
    assert max(map(len, got.stdout.splitlines())) <= 80


def test_help_by_one_letter_is_the_same_help() -> None:
    assert run("-h").stdout == run("--help").stdout
    assert run("shortlist", "-h").stdout == run("shortlist", "--help").stdout


def test_why_on_a_shock_that_fits_says_so_and_where_to_look() -> None:
    got = run("why", FITTING)
    assert (got.returncode, got.stderr) == (0, "")
    assert "fits" in got.stdout.splitlines()[0]
    assert f"`recommender bundle {FITTING}`" in " ".join(got.stdout.split())


def test_a_hint_asks_the_same_question_again(tmp_path: Path) -> None:
    shocks = [build.shock("AIR-1", compression_class="firm")]
    folder = build.write_catalogue(tmp_path / "my parts", shocks=shocks)
    question = tmp_path / "question.toml"
    question.write_text(QUESTION)
    got = run("shortlist", question, "-c", folder, "-w", "mass=2", columns=400)
    hint = re.search(r"`recommender (bundle \S+ [^`]*)`", got.stdout)
    assert hint is not None
    assert run(*shlex.split(hint[1])).returncode == 0
    assert f"'{folder}'" in hint[1]
    assert "mass=2" in hint[1]


@pytest.mark.parametrize("words", [("shortlist",), ("why", "no-such")])
def test_the_installed_program_says_the_same(words: tuple[str, ...]) -> None:
    """The other tests run the commands within their own process."""
    apart, here = installed(*words), run(*words)
    assert (apart.returncode, apart.stdout) == (here.returncode, here.stdout)
    assert apart.stderr == here.stderr


def test_completion_knows_the_commands() -> None:
    words = {"COMP_WORDS": "recommender sh", "COMP_CWORD": "1"}
    got = installed(_RECOMMENDER_COMPLETE="complete_bash", **words)
    assert got.stdout.split() == ["shortlist", "sheet"]


@pytest.mark.parametrize("words", [(), ("fleet",)])
def test_help_cuts_no_sentence_short(words: tuple[str, ...]) -> None:
    told = run(*words, "--help").stdout
    assert "..." not in told.partition("Commands:")[2]
    assert "Example: " in told
    assert max(map(len, told.splitlines())) <= 80


def test_help_names_every_command() -> None:
    got = run("--help", columns=120)
    assert got.returncode == 0
    for name in commands():
        assert re.search(rf"(?m)^\W*{re.escape(name)}\s", got.stdout), name


@pytest.mark.parametrize("name", sorted(commands()))
def test_the_example_names_only_what_the_command_takes(name: str) -> None:
    command = commands()[name]
    example = command.epilog.removeprefix("Example: ")
    assert example != command.epilog
    options = {option for parameter in command.params for option in parameter.opts}
    words = example.split(">")[0].split("'")[::2]
    used = {word for part in words for word in part.split() if word.startswith("-")}
    assert used <= options | {"--help"}


def test_a_command_ends_without_going_through_all_that_stands() -> None:
    # Registered before the command's own, so told after it.
    told = "import atexit, gc; atexit.register(lambda: print(gc.get_freeze_count() > 10_000))\n"
    told += "from recommender.cli.main import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", told, "schema"], capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "True"
