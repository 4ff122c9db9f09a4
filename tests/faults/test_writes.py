"""Kill, full disk, odd outputs: what a command writes is whole or absent; one clear message."""

import os
import random
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.faults.child import Ended, ended, killed, run, small_disk, start
from tests.faults.commands import Command, prepared

NAMES = ("page", "papers", "import", "ask", "certify", "fleet page", "fleet orders")
OLD = "[rider]\nmass_with_kit_kg = 70\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("faults")


@pytest.fixture(scope="module")
def commands(folder: Path) -> Mapping[str, Command]:
    return prepared(folder)


@pytest.fixture(autouse=True)
def empty(folder: Path) -> None:
    out = folder / "out"
    for path in out.glob("*") if out.exists() else ():
        path.unlink() if not path.is_dir() or path.is_symlink() else path.rmdir()


def one_message(got: Ended, *parts: str) -> None:
    """Exit code 2, one line on the error stream, nothing on the other, no traceback."""
    assert got.code == 2, got
    lines = got.err.splitlines()
    assert len(lines) == 1, got
    assert all(part in lines[0] for part in parts), got
    assert got.out == ""


def stand(command: Command) -> None:
    """Something of an earlier run where the outputs go."""
    for path in command.outputs:
        path.write_text(OLD, encoding="utf-8")


def visible(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if not path.name.startswith(".unfinished-")}


@pytest.mark.parametrize("name", NAMES)
def test_a_kill_leaves_each_file_old_or_new(
    name: str, commands: Mapping[str, Command], folder: Path
) -> None:
    command, rng = commands[name], random.Random(name)
    stand(command)
    codes = set()
    for most in (0.03, 0.15):
        delay = rng.uniform(0, most)
        codes.add(killed(command.arguments, folder, folder / "out", delay).code)
        assert visible(folder / "out") == {path.name for path in command.outputs}
        for path in command.outputs:
            assert path.read_bytes() == OLD.encode() or command.whole(path), path
    assert -9 in codes


@pytest.mark.parametrize("name", NAMES)
def test_a_full_disk_changes_nothing(
    name: str, commands: Mapping[str, Command], folder: Path
) -> None:
    command = commands[name]
    stand(command)
    got = run(command.arguments, folder, small_disk({"ask": 190}.get(name, 600)))
    one_message(got, "cannot be written", "File too large")
    assert {p.name: p.read_text() for p in (folder / "out").iterdir()} == {
        path.name: OLD for path in command.outputs
    }


def test_files_that_belong_together_stand_or_fall_together(
    commands: Mapping[str, Command], folder: Path
) -> None:
    """The last of four papers cannot be written: the other three are not renewed either."""
    command = commands["papers"]
    stand(command)
    assert run(command.arguments, folder).code == 0
    new = sorted(command.outputs, key=lambda path: path.stat().st_size)
    largest = new[-1].stat().st_size
    assert new[0].stat().st_size < largest - 1
    stand(command)
    one_message(run(command.arguments, folder, small_disk(largest - 1)), new[-1].name)
    assert all(path.read_text() == OLD for path in command.outputs)


@pytest.mark.parametrize("name", ["page", "import", "ask", "fleet orders"])
def test_a_folder_where_the_file_should_be(
    name: str, commands: Mapping[str, Command], folder: Path
) -> None:
    target = commands[name].outputs[0]
    target.mkdir()
    one_message(run(commands[name].arguments, folder), target.name)
    assert [path.name for path in (folder / "out").iterdir()] == [target.name]


@pytest.mark.parametrize("name", ["ask", "certify"])
def test_a_link_to_itself(name: str, commands: Mapping[str, Command], folder: Path) -> None:
    target = commands[name].outputs[0]
    target.symlink_to(target.name)
    one_message(run(commands[name].arguments, folder), target.name)
    assert [path.name for path in (folder / "out").iterdir()] == [target.name]


@pytest.mark.parametrize("name", ["certify", "fleet page"])
def test_a_read_only_folder(name: str, commands: Mapping[str, Command], folder: Path) -> None:
    """/sys takes no file, not even from root."""
    told = [text.replace(str(folder / "out"), "/sys") for text in commands[name].arguments]
    one_message(run(told, folder), "cannot be written", "/sys/")


@pytest.mark.parametrize("name", ["page", "papers", "certify", "fleet page", "fleet orders"])
def test_an_input_is_never_written_over(
    name: str, commands: Mapping[str, Command], folder: Path
) -> None:
    command = commands[name]
    read = folder / ("fleet.csv" if name.startswith("fleet") else "question.toml")
    target = command.outputs[-1]
    for victim in (read, folder / "parts" / "shocks.csv", folder / "parts/frames/bench.toml"):
        before = victim.read_bytes()
        told = [text.replace(str(target), str(victim)) for text in command.arguments]
        if victim == read or name == "papers":
            target.symlink_to(victim)
            told = command.arguments
        one_message(run(told, folder), "is read here", victim.name)
        assert victim.read_bytes() == before
        if target.is_symlink():
            target.unlink()


def test_an_import_does_not_write_over_its_export(
    commands: Mapping[str, Command], folder: Path
) -> None:
    export = folder / "out" / "kits.csv"
    export.write_text("No,W\nK1,22\n")
    told = [*commands["import"].arguments, "--file", str(export)]
    one_message(run(told, folder), "kits.csv", "is read here")
    assert export.read_text() == "No,W\nK1,22\n"


@pytest.mark.parametrize("name", ["page", "certify"])
def test_two_runs_at_once(name: str, commands: Mapping[str, Command], folder: Path) -> None:
    command = commands[name]
    places = [folder / "one", folder / "two"]
    for place in places:
        place.mkdir(exist_ok=True)
    children = [start(command.arguments, place) for place in places]
    assert [ended(c, p).code for c, p in zip(children, places, strict=True)] == [0, 0]
    assert command.whole(command.outputs[0])
    assert [path.name for path in (folder / "out").iterdir()] == [command.outputs[0].name]


def test_a_full_standard_output_is_told(commands: Mapping[str, Command], folder: Path) -> None:
    question = commands["certify"].arguments[3:]

    def full() -> None:
        os.dup2(os.open("/dev/full", os.O_WRONLY), 1)

    one_message(run(["shortlist", *question], folder, full), "the standard output: cannot be",
                "No space left")  # fmt: skip
