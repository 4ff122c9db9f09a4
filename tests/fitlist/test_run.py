"""The command and its folder: whole, resumed after a kill with nothing lost or doubled, one run at
a time, refused where inputs changed."""

import csv
import json
import os
import pickle
import signal
import subprocess
import time
from pathlib import Path

import pandas as pd
import pytest
from filelock import FileLock
from hypothesis import given, settings

from recommender.catalogue.catalogue import read_catalogue
from recommender.cli.inputs import shipped
from recommender.facts.problems import BadInput, Problem
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes
from recommender.fitlist import run as running
from recommender.fitlist.bikes import read_bikes
from recommender.fitlist.fits import STATES, Fits
from recommender.fitlist.folder import LOCK, MANIFEST
from recommender.fitlist.sheet import csv_bytes, parquet_bytes
from tests.cli.run import PROGRAM, installed
from tests.search.random_market import Case, cases

RIDER = shipped("demo") / "rider.toml"
CATALOGUE = read_catalogue(shipped("catalogs"))
BIKES = read_bikes(None, CATALOGUE.frames).bikes[:6]


def _job(folder: Path, **changed: object) -> running.Job:
    told = {"catalogue": CATALOGUE, "rider": Rider(), "wishes": Wishes(), "closer": False,
            "format": "csv", "folder": folder, **changed}  # fmt: skip
    return running.Job(**told)  # type: ignore[arg-type]


def _rows(folder: Path) -> list[list[str]]:
    out = []
    for path in sorted(folder.glob("part-*.csv")):
        with open(path, newline="") as stream:
            head, *rows = csv.reader(stream)
        assert head == ["bike", "shock", "verdict", "reasons", "further"]
        out += rows
    return out


@pytest.fixture
def parts_of_two(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "ROWS_OF_A_PART", 2 * len(CATALOGUE.shocks))


def test_every_bike_and_shock_once_and_the_same_by_other_processes(
    tmp_path: Path, parts_of_two: None
) -> None:
    counts = running.make_list(_job(tmp_path / "a"), BIKES, {}, processes=1)
    rows = _rows(tmp_path / "a")
    pairs = [(bike, shock) for bike, shock, *_ in rows]
    assert len(pairs) == len(set(pairs)) == len(BIKES) * len(CATALOGUE.shocks)
    assert {name for name, _ in pairs} == {one.name for one in BIKES}
    for name, states in counts.items():
        told = [row[2] for row in rows if row[0] == name]
        assert [told.count(state) for state in STATES] == states
    assert running.make_list(_job(tmp_path / "b"), BIKES, {}, processes=2) == counts
    assert _rows(tmp_path / "b") == rows


def test_what_was_finished_is_kept_and_what_was_spoilt_is_made_again(
    tmp_path: Path, parts_of_two: None
) -> None:
    whole = running.make_list(_job(tmp_path), BIKES, {}, processes=1)
    rows = _rows(tmp_path)
    kept, spoilt, lost = sorted(tmp_path.glob("part-*.csv"))
    with open(spoilt, "r+b") as stream:
        stream.truncate(100)
    lost.unlink()
    (tmp_path / ".unfinished-x").write_text("half")
    stamp = kept.stat().st_mtime_ns
    heard: list[int] = []
    again = running.make_list(
        _job(tmp_path), BIKES, {}, processes=1, done=lambda bikes, of: heard.append(bikes)
    )
    assert again == whole
    assert _rows(tmp_path) == rows
    assert heard == [2, 4, 6]
    assert kept.stat().st_mtime_ns == stamp
    assert not (tmp_path / ".unfinished-x").exists()


def test_changed_inputs_are_refused_and_nothing_is_touched(tmp_path: Path) -> None:
    running.make_list(_job(tmp_path), BIKES[:1], {"the bikes": "1"}, processes=1)
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(BadInput, match="changed since: the bikes, closer look"):
        running.make_list(_job(tmp_path, closer=True), BIKES[:1], {"the bikes": "2"}, 1)
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("content", ["", "{", '{"made_of": 3}', "[]", "\x00"])
def test_a_manifest_that_is_none(tmp_path: Path, content: str) -> None:
    (tmp_path / MANIFEST).write_text(content)
    with pytest.raises(BadInput, match="no manifest of a fit list"):
        running.make_list(_job(tmp_path), BIKES[:1], {}, 1)


def test_a_folder_with_other_things_and_no_folder(tmp_path: Path) -> None:
    (tmp_path / "thesis.txt").write_text("mine")
    with pytest.raises(BadInput, match="other files stand there"):
        running.make_list(_job(tmp_path), BIKES[:1], {}, 1)
    assert [path.name for path in tmp_path.iterdir()] == ["thesis.txt"]
    with pytest.raises(BadInput, match="cannot be written"):
        running.make_list(_job(tmp_path / "thesis.txt"), BIKES[:1], {}, 1)


def test_two_runs_at_once_are_refused(tmp_path: Path) -> None:
    with FileLock(tmp_path / LOCK), pytest.raises(BadInput, match="another run is writing"):
        running.make_list(_job(tmp_path), BIKES[:1], {}, 1)
    assert running.make_list(_job(tmp_path), BIKES[:1], {}, 1)


def test_what_is_wrong_with_a_bike_is_told_before_anything_is_written(tmp_path: Path) -> None:
    bikes = tmp_path / "bikes.csv"
    bikes.write_text("bike,mount,present_shock.part_number\nA,eyelet,\nB,eyelet,XX-1\n")
    done = installed("fit-list", bikes, "--out", tmp_path / "out")
    assert done.returncode == 2
    assert "XX-1" in done.stderr
    assert f"{bikes}, row 3" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def _twins(folder: Path, count: int) -> Path:
    """A CSV of bikes, each with a linkage of its own so that none shares another's run."""
    path = folder / "bikes.csv"
    rows = [f"B{k},nevelstrand-ledda,{50 + k / 100}" for k in range(count)]
    path.write_text("\n".join(["bike,frame,linkage_stop_mm", *rows, ""]))
    return path


def _finished(out: Path) -> dict[str, object]:
    """The parts that the manifest, which is renamed into place whole, names by now."""
    manifest = out / MANIFEST
    if not manifest.exists():
        return {}
    parts: dict[str, object] = json.loads(manifest.read_text())["parts"]
    return parts


def test_killed_and_gone_on_with(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SIGKILL while parts are being made; the second run keeps the finished ones."""
    bikes, out = _twins(tmp_path, 10), tmp_path / "out"
    # Parts of one bike: sitecustomize is the one way into a program that is run as a user runs it.
    (tmp_path / "sitecustomize.py").write_text(
        "import recommender.fitlist.run as run\nrun.ROWS_OF_A_PART = 1\n"
    )
    monkeypatch.setenv(
        "PYTHONPATH", os.pathsep.join([str(tmp_path), os.environ.get("PYTHONPATH", "")])
    )
    command = [str(PROGRAM), "fit-list", str(bikes), "-q", str(RIDER), "--out", str(out),
               "--processes", "2"]  # fmt: skip
    first = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    deadline = time.monotonic() + 60
    while not _finished(out):
        assert time.monotonic() < deadline
        assert first.poll() is None, "it finished before it could be killed"
        time.sleep(0.01)
    first.send_signal(signal.SIGKILL)
    first.wait()
    finished = _finished(out)
    assert 0 < len(finished) < 10
    stamps = {name: (out / name).stat().st_mtime_ns for name in finished}
    done = installed(*command[1:], "--json")
    assert done.returncode == 0, done.stderr
    assert {name: (out / name).stat().st_mtime_ns for name in finished} == stamps
    rows = _rows(out)
    assert len(rows) == len({(row[0], row[1]) for row in rows}) == 10 * len(CATALOGUE.shocks)
    assert not list(out.glob(".unfinished-*"))
    assert len(json.loads(done.stdout)["bikes"]) == 10


def test_cells_are_guarded_and_parquet_says_the_same(tmp_path: Path) -> None:
    import numpy as np

    state = np.array([0, 1, 2, 2], np.int8)
    reasons = np.array([0, 1, 0b11, 0b11111], np.uint64)
    fits = Fits(("=1+1", 'a"b,c', "C", "D"), state, reasons)
    rules = ("r0", "r1", "r2", "r3", "r4")
    rows = list(csv.reader(csv_bytes([("@x", fits)], rules).decode().splitlines()))
    assert rows[1:] == [
        ["'@x", "'=1+1", "fits", "", ""],
        ["'@x", 'a"b,c', "open", "r0", ""],
        ["'@x", "C", "ruled out", "r0; r1", ""],
        ["'@x", "D", "ruled out", "r0; r1; r2", "2"],
    ]
    path = tmp_path / "part.parquet"
    path.write_bytes(parquet_bytes([("@x", fits), ("y", fits)], rules))
    table = pd.read_parquet(path)
    assert table["bike"].tolist() == ["@x"] * 4 + ["y"] * 4
    assert table["shock"].tolist() == [*fits.keys, *fits.keys]
    assert table["verdict"].tolist()[:4] == ["fits", "open", "ruled out", "ruled out"]
    assert table["reasons"].tolist()[:4] == ["", "r0", "r0; r1", "r0; r1; r2"]
    assert table["further"].tolist()[:4] == [0, 0, 0, 2]


@settings(max_examples=20)
@given(cases())
def test_what_a_worker_is_sent_arrives_as_it_was(case: Case) -> None:
    asked, _ = case.open()
    assert pickle.loads(pickle.dumps(asked)) == asked
    problems = (Problem("f", "m", 3, "c", "v"), Problem("g", "n"))
    assert pickle.loads(pickle.dumps(BadInput(problems))).problems == problems
