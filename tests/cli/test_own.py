"""The commands for one's own bikes, stock and finds, run as a user runs them."""

import csv
import json
import os
import pty
import re
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from recommender.answer.cautions import OPENING
from recommender.catalogue.catalogue import read_catalogue
from tests.catalogs.tables import CATALOGUE, DEMO, TITLE
from tests.catalogue.build import shock, write_catalogue
from tests.cli.run import PROGRAM, Done, run, snapshot

SHOP = DEMO / "shop"

def no_traceback(got: Done) -> None:
    assert "Traceback" not in got.stdout + got.stderr


def test_asked_without_a_terminal_then_answered(tmp_path: Path) -> None:
    """ask -> file -> shortlist."""
    answers = ("frame=nevelstrand-ledda", "mass=176 lb", "budget=700", "shock=ML-210x50", "yoke=n")
    options = [word for one in answers for word in ("--answer", one)]
    got = run("ask", "mine.toml", *options, cwd=tmp_path)
    assert got.returncode == 0, got.stderr
    assert "Not answered yet" in got.stdout
    listed = run("shortlist", "mine.toml", cwd=tmp_path)
    assert listed.returncode == 0, listed.stderr
    assert "of 151 shocks" in listed.stdout


def test_asked_twice_nothing_is_overwritten_unasked(tmp_path: Path) -> None:
    assert run("ask", "a.toml", "-a", "tyre=61", cwd=tmp_path).returncode == 0
    before = snapshot(tmp_path)
    got = run("ask", "a.toml", "-a", "tyre=64", cwd=tmp_path)
    assert got.returncode == 2
    assert "--go-on" in got.stderr
    got = run("ask", "a.toml", "-a", "tyre=x", "-a", "nonsense=1", "-a", "frame=ledda", "--go-on",
              cwd=tmp_path)  # fmt: skip
    assert got.returncode == 2
    assert len(got.stderr.splitlines()) == 3
    no_traceback(got)
    assert snapshot(tmp_path) == before
    assert run("ask", "a.toml", "-a", "axis=c", "--go-on", cwd=tmp_path).returncode == 0
    text = (tmp_path / "a.toml").read_text()
    assert "61" in text
    assert "crosswise" in text


def test_asked_at_a_terminal_and_stopped(tmp_path: Path) -> None:
    """A wrong answer is asked again, 'back' goes back, 'stop' keeps what there is."""
    lines = ["Tess", "", "eylet", "trunnion", "back", "eyelet", "210 x 50", "stop"]
    text = talk(["ask", "talk.toml"], lines, tmp_path)
    assert "nearest: eyelet" in text
    written = (tmp_path / "talk.toml").read_text()
    assert 'name = "Tess"' in written
    assert 'mount = "eyelet"' in written
    assert "210" in written


def talk(arguments: list[str], lines: list[str], folder: Path) -> str:
    """What the program prints at a terminal, each line typed once it waits for one."""
    master, slave = pty.openpty()
    environment = {**os.environ, "COLUMNS": "100", "TERM": "dumb"}
    program = subprocess.Popen(
        [str(PROGRAM), *arguments], stdin=slave, stdout=slave, stderr=slave, cwd=folder,
        env=environment,
    )  # fmt: skip
    os.close(slave)
    seen, since, left = b"", 0, list(lines)
    end = time.monotonic() + 90
    while time.monotonic() < end and program.poll() is None:
        if select.select([master], [], [], 0.2)[0]:
            try:
                seen += os.read(master, 4096)
            except OSError:
                break
        if left and re.search(rb": ?$", seen[since:]):
            since = len(seen)
            os.write(master, left.pop(0).encode() + b"\n")
    program.wait(timeout=30)
    os.close(master)
    return seen.decode(errors="replace")


def test_the_sheet_goes_to_a_new_file_only(tmp_path: Path) -> None:
    assert "MEASURING SHEET" in run("sheet").stdout
    got = run("sheet", "-o", "s.txt", "--html", "s.html", cwd=tmp_path)
    assert (got.returncode, got.stdout) == (0, "Written: s.txt, s.html\n")
    assert run("sheet", "-o", "s.txt", cwd=tmp_path).returncode == 2
    assert run("sheet", "-o", "s.txt", "--replace", cwd=tmp_path).returncode == 0
    assert run("sheet", "-o", "no/such/s.txt", cwd=tmp_path).returncode == 2


def test_stock_is_imported_and_both_halves_are_saved(tmp_path: Path) -> None:
    dry = run("import-stock", SHOP / "stock.toml", "--dry-run", cwd=tmp_path)
    assert dry.returncode == 2
    assert snapshot(tmp_path) == {}
    assert "Rejected, by reason" in dry.stdout
    got = run("import-stock", SHOP / "stock.toml", cwd=tmp_path)
    assert got.returncode == 2
    assert set(snapshot(tmp_path)) == {"shocks.csv", "shocks-rejected.csv"}
    with (tmp_path / "shocks-rejected.csv").open(encoding="utf-8", newline="") as file:
        rejected = list(csv.DictReader(file))
    assert [row["row in the file"] for row in rejected] == ["11", "12", "13", "14"]
    again = run("import-stock", SHOP / "stock.toml", cwd=tmp_path)
    assert "--replace" in again.stderr
    ok = run("import-stock", SHOP / "stock.toml", "--replace", "--accept", cwd=tmp_path)
    assert ok.returncode == 0
    told = json.loads(run("import-stock", SHOP / "drawer.toml", "--dry-run", "--json").stdout)
    assert len(told["accepted"]) == 4


def test_stock_is_imported_into_a_folder_that_is_made(tmp_path: Path) -> None:
    got = run("import-stock", SHOP / "stock.toml", "-o", "new/one", "--accept", cwd=tmp_path)
    assert got.returncode == 0, got.stderr
    folder = tmp_path / "new" / "one"
    assert {one.name for one in folder.iterdir()} == {"shocks.csv", "shocks-rejected.csv"}


def test_imported_stock_answers_a_question(tmp_path: Path) -> None:
    """map -> catalogue -> check -> shortlist."""
    folder = tmp_path / "c"
    shutil.copytree(CATALOGUE, folder, ignore=shutil.ignore_patterns("*.py", "invented"))
    (folder / "delivered_tunes.csv").unlink()
    got = run("import-stock", SHOP / "stock.toml", "-o", folder, "--replace", "--accept",
              "-c", CATALOGUE)  # fmt: skip
    assert got.returncode == 0, got.stderr
    assert len(read_catalogue(folder).shocks) == 6
    assert run("check-catalogue", folder).returncode == 0
    bike = tmp_path / "b.toml"
    bike.write_text('[bike]\nframe = "nevelstrand-ledda"\n[rider]\nmass_with_kit_kg = 80\n')
    listed = run("shortlist", bike, "-c", folder, "--json")
    assert listed.returncode == 0, listed.stderr
    assert json.loads(listed.stdout)["counts"]["open"] >= 1


def test_the_shops_exports_are_made_by_their_script(tmp_path: Path) -> None:
    for mapping in SHOP.glob("*.toml"):
        assert mapping.read_text(encoding="utf-8").startswith(TITLE)
    subprocess.run([sys.executable, str(SHOP / "make.py"), str(tmp_path)], check=True, timeout=60)
    assert (tmp_path / "stock.csv").read_bytes() == (SHOP / "stock.csv").read_bytes()
    made = subprocess.run([sys.executable, str(SHOP / "make.py"), str(tmp_path)], check=False)
    assert made.returncode == 0
    assert (tmp_path / "drawer.xlsx").read_bytes()[:2] == b"PK"


FIND = ("--size", "210x50", "--mount", "eyelet", "--spring", "air", "--price", "180")


def test_a_find_by_options_or_a_file(tmp_path: Path) -> None:
    got = run("find", *FIND)
    assert got.returncode == 0, got.stderr
    assert "can't be said yet" in got.stdout
    assert "Look at before paying" in got.stdout
    about = tmp_path / "find.toml"
    about.write_text('[find]\nlength_in = 9.5\nstroke_mm = 76\nspring_kind = "coil"\n')
    ruled = run("find", "--about", about)
    assert ruled.returncode == 1
    assert "length" in ruled.stdout
    told: dict[str, Any] = json.loads(run("find", "--about", about, "--json").stdout)
    assert told["state"] == "ruled out"


@pytest.mark.parametrize(
    "arguments", [("sheet",), ("measure",), ("ask", "x.toml", "--questions")]
)
def test_whoever_is_told_to_measure_is_warned_first(arguments: tuple[str, ...]) -> None:
    """One text, before the first thing to take out or to press together."""
    told = " ".join(run(*arguments).stdout.split())
    assert told.count(OPENING) == 1
    assert told.index(OPENING) < 200
    assert "magnet" not in told


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("papers", "--day", "x"), "'x': accepted: a day such as 2026-12-31"),
        (("find", "--price", "180EUR"), "got 'EUR'; accepted: a plain number, such as 180"),
        (("holds", "--family", "211"), "nearest: 210"),
        (("holds", "--family", "211 eyelet"), "nearest: 210 eyelet"),
        (("serves", "NOPE"), "accepted: a part number of its shocks.csv"),
        (("serves", "SN-210x5"), "nearest: SN-210x50"),
    ],
)
def test_a_mistake_is_told_with_what_is_accepted(arguments: tuple[str, ...], told: str) -> None:
    got = run(*arguments)
    assert got.returncode == 2
    assert told in " ".join(got.stderr.split())


@pytest.mark.parametrize(
    "arguments",
    [
        ("find", "--size", "x"), ("find", "--fact", "nothing"), ("find", "--fact", "lenght_mm=210"),
        ("find", "--about", "no-such.toml"), ("serves",), ("serves", "NO-SUCH"),
        ("serves", "SN-210x50", "--stock"), ("advise", "-x", "squeaks"),
        ("brief", "-o", "/dev/null"),
        ("import-stock", "no-such.toml"), ("doubts", "no-such"), ("describe", "no-such"),
        ("changes", "no-such", "no-such"),
    ],
)  # fmt: skip
def test_mistakes_are_told_on_one_line_each(arguments: tuple[str, ...], tmp_path: Path) -> None:
    got = run(*arguments, cwd=tmp_path)
    assert got.returncode == 2
    assert got.stderr.strip()
    no_traceback(got)
    assert snapshot(tmp_path) == {}


def test_serves(tmp_path: Path) -> None:
    rider = tmp_path / "r.toml"
    rider.write_text("[rider]\nname = 'Odd [bold]One'\nmass_with_kit_kg = 80\n")
    got = run("serves", "SN-210x50", "--question", rider, "--json")
    assert got.returncode == 0, got.stderr
    told = json.loads(got.stdout)
    assert told["asked"] == 25
    assert {one["rider"] for one in told["served"]} == {"Odd [bold]One"}
    shown = run("serves", "SN-210x50", "-q", rider, "--most", "1")
    assert "[bold]" in shown.stdout
    assert max(map(len, shown.stdout.splitlines())) <= 80


def test_a_find_without_a_price_is_not_the_cheapest() -> None:
    told = " ".join(run("find", "--size", "210x50", "--mount", "eyelet", "--spring", "air")
                    .stdout.split())  # fmt: skip
    assert "Asked: unknown; a service of 95 EUR comes on top" in told
    assert re.search(r"the whole not known, \d+ EUR or more", told)
    ways = told[told.index("Per year of use") : told.index("Look at before paying")]
    assert ways.rindex("the find (?)") > ways.index("keep it, with a")
    assert ways.rstrip().endswith("not known")


def test_advice_and_brief(tmp_path: Path) -> None:
    got = run("advise", "-x", "bottoms")
    assert got.returncode == 0, got.stderr
    assert "157 psi, 2 spacers" in got.stdout
    assert max(map(len, got.stdout.splitlines())) <= 80
    assert json.loads(run("advise", "--json").stdout)["complaints"]
    got = run("advise", "-x", "packs")
    assert "Not this, by the figures:" in got.stdout
    assert "Release all air" in run("advise", "-x", "bottoms").stdout
    got = run("brief", "-x", "packs", "-o", "b.txt", cwd=tmp_path)
    assert (got.returncode, got.stdout) == (0, "Written: b.txt\n")
    assert "BRIEF FOR THE TUNER" in (tmp_path / "b.txt").read_text()
    assert run("brief", "-o", "b.txt", cwd=tmp_path).returncode == 2


def test_care_for_a_catalogue(tmp_path: Path) -> None:
    old = write_catalogue(tmp_path / "old", shocks=[shock("A-1"), shock("A1", model="x")])
    new = write_catalogue(tmp_path / "new", shocks=[shock("A-1", price=99)])
    assert "nearly the same" in run("doubts", old).stdout
    assert json.loads(run("doubts", old, "--json").stdout)
    assert run("describe", old).returncode == 0
    assert json.loads((old / "datapackage.json").read_text())["resources"]
    bike = tmp_path / "b.toml"
    bike.write_text('[bike]\nmount = "eyelet"\n')
    got = run("changes", old, new, "-q", bike)
    assert got.returncode == 0, got.stderr
    assert "A-1, price: 100 EUR -> 99 EUR" in got.stdout
    assert "gone: A1" in got.stdout


def test_a_delivered_tune_fills_in_what_is_fitted(tmp_path: Path) -> None:
    bike = tmp_path / "b.toml"
    bike.write_text(
        '[bike]\nframe = "halvorine-birrel"\n[bike.present_shock]\n'
        'part_number = "VS-210x50/HABI"\ncondition = "good"\n[rider]\nmass_with_kit_kg = 80\n'
    )
    got = run("advise", bike, "-x", "bottoms")
    assert got.returncode == 0, got.stderr
    assert "2 spacers" in got.stdout  # one delivered, one more advised
    bike.write_text(bike.read_text().replace("HABI", "HABX"))
    wrong = run("advise", bike)
    assert wrong.returncode == 2
    assert "nearest: VS-210x50/HABI" in wrong.stderr


def test_stock_goes_to_a_folder_that_can_be_made(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    got = run("import-stock", SHOP / "stock.toml", "--out", "taken", cwd=tmp_path)
    assert got.returncode == 2
    assert "taken: cannot be made a folder" in got.stderr
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "a file"


def test_lines_that_nobody_asks_for_are_refused(tmp_path: Path) -> None:
    """What is piped in is not read: better no answer than answers lost."""
    got = run("ask", "mine.toml", cwd=tmp_path)
    assert got.returncode == 2
    assert "--answer" in got.stderr
    no_traceback(got)
    assert snapshot(tmp_path) == {}
    assert run("ask", "mine.toml", "--only-options", cwd=tmp_path).returncode == 0


def test_what_was_said_of_the_shock_that_came_off_is_told(tmp_path: Path) -> None:
    (tmp_path / "bike.toml").write_text(
        '[bike]\nframe = "nevelstrand-ledda"\n[bike.present_shock]\npart_number = "ML-210x50"\n'
        "sag_mm = 14\nhead_sleeve = { width_mm = 22.2, bore_mm = 8 }\n"
    )
    got = run("fitted", "bike.toml", "--shock", "SN-210x50", cwd=tmp_path)
    assert got.returncode == 0, got.stderr
    assert "sag_mm = 14; head_sleeve = width_mm 22.2, bore_mm 8" in " ".join(got.stdout.split())
    assert "head_sleeve" not in (tmp_path / "bike.toml").read_text()


def test_files_named_in_another_command_s_way(tmp_path: Path) -> None:
    (tmp_path / "rider.toml").write_text("[rider]\nmass_with_kit_kg = 80\n")
    got = run("why", "SN-210x50", "rider.toml", cwd=tmp_path)
    assert got.returncode == 2
    assert "after -q" in got.stderr
    got = run("shortlist", "-q", "rider.toml", cwd=tmp_path)
    assert got.returncode == 2
    assert "files stand by themselves" in got.stderr
