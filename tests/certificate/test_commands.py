"""The commands that certify and re-check, as a user runs them."""

import json
import subprocess
from pathlib import Path

import pytest

from recommender.certificate.records import Certificate
from tests.catalogue import build
from tests.cli.run import run

QUESTION = """
[bike]
mount = "eyelet"
eyelet_axis = "parallel"
head = { gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }
shaft = { gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }
sizes = [{ length_mm = 210, stroke_ceiling_mm = 52.5 }]
leverage = { stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }
[rider]
mass_with_kit_kg = 80
[wishes]
budget = { must = 900 }
"""


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with a question, a small catalogue and its certificate."""
    (tmp_path / "question.toml").write_text(QUESTION, encoding="utf-8")
    build.write_catalogue(
        tmp_path / "parts", shocks=[build.shock("A"), build.shock("B", length_mm=240)]
    )
    done = certified(tmp_path)
    assert done.returncode == 0, done.stderr
    return tmp_path


def certified(place: Path, out: str = "answer.cert.json") -> "subprocess.CompletedProcess[str]":
    return run("certify", "question.toml", "-c", "parts", "-o", out, cwd=place)


def rechecked(place: Path, name: str = "answer.cert.json") -> "subprocess.CompletedProcess[str]":
    return run("recheck", name, "question.toml", "-c", "parts", cwd=place)


def test_certified_and_held(place: Path) -> None:
    done = rechecked(place)
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.startswith("Every claim holds: 2 shocks, ")
    assert done.stderr == ""


def test_edited_weights_are_certified_and_held(place: Path) -> None:
    done = run("certify", "question.toml", "-c", "parts", "-o", "w.json", "-w", "price=3.5",
               cwd=place)  # fmt: skip
    assert done.returncode == 0, done.stderr
    asked = ("recheck", "w.json", "question.toml", "-c", "parts")
    assert run(*asked, "-w", "price=3.5", cwd=place).returncode == 0
    refused = run(*asked, "-w", "price=3", cwd=place)
    assert refused.returncode == 1
    assert "price" in refused.stdout


def test_weights_of_the_certificate_alone_are_not_taken(place: Path) -> None:
    """A comfort weighed otherwise, or dropped, is no answer to the question as it stands."""
    asked = ("recheck", "w.json", "question.toml", "-c", "parts")
    for weight in ("certainty=5", "certainty=0"):
        done = run("certify", "question.toml", "-c", "parts", "-o", "w.json", "-w", weight,
                   cwd=place)  # fmt: skip
        assert done.returncode == 0, done.stderr
        refused = run(*asked, cwd=place)
        assert refused.returncode == 1
        told = "A claim does not hold. criterion certainty: the question weighs it 2"
        assert refused.stdout.startswith(told)
        assert run(*asked, "-w", weight, cwd=place).returncode == 0


def test_refused_with_the_claim_named(place: Path) -> None:
    path = place / "answer.cert.json"
    raw = json.loads(path.read_text(encoding="utf-8"))
    raw["rows"][1]["state"] = "fits"
    path.write_text(json.dumps(raw), encoding="utf-8")
    done = rechecked(place)
    assert done.returncode == 1
    assert done.stdout.startswith("A claim does not hold. seal: ")


def test_a_changed_catalogue(place: Path) -> None:
    build.write_catalogue(place / "parts", shocks=[build.shock("A"), build.shock("B")])
    done = rechecked(place)
    assert done.returncode == 1
    assert "catalogue digest" in done.stdout


@pytest.mark.parametrize(
    "junk",
    [
        "", "null", "[]", "{}", "{", "[" * 100_000, '{"rows": 1e999}', '{"rows": [NaN]}', "\0",
        '{"schema_version": "2"}', '{"rows": [{"shock": 1}]}', b"\xed\xa0\x80",
    ],
    ids=range(12),
)  # fmt: skip
def test_junk_is_told_without_a_traceback(place: Path, junk: str | bytes) -> None:
    data = junk if isinstance(junk, bytes) else junk.encode()
    (place / "junk.json").write_bytes(data)
    done = rechecked(place, "junk.json")
    assert done.returncode == 2
    assert "junk.json" in done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout == ""


def test_no_such_file(place: Path) -> None:
    assert rechecked(place, "none.json").returncode == 2
    assert rechecked(place, ".").returncode == 2


def test_nothing_half_written(place: Path) -> None:
    before = sorted(one.name for one in place.iterdir())
    done = certified(place, "no/such/folder.json")
    assert done.returncode == 2
    assert "does not exist" in done.stderr
    assert sorted(one.name for one in place.iterdir()) == before


def test_hostile_text_is_not_obeyed(place: Path) -> None:
    path = place / "answer.cert.json"
    raw = json.loads(path.read_text(encoding="utf-8"))
    raw["rows"][0]["shock"] = "\x1b[31m[bold]A"
    made = Certificate.model_validate(raw).sealed()
    path.write_text(made.model_dump_json(), encoding="utf-8")
    done = rechecked(place)
    assert done.returncode == 1
    assert "\x1b" not in done.stdout
    assert "[bold]A" in done.stdout
