"""The commands on a generated catalogue that nobody tuned: they answer, agree and hold."""

import json
from pathlib import Path

import pytest

from tests.bench.generate import make_catalogue, write_folder
from tests.cli.run import run

QUESTION = """
[bike]
name = "a bike measured"
mount = "eyelet"
eyelet_axis = "parallel"
yoke = "no"
linkage_stop_mm = 55.5
sizes = [{ length_mm = 210, stroke_ceiling_mm = 52.5 }]
head = { gap_mm = 30, bolt_mm = 8 }
shaft = { gap_mm = 22.2, bolt_mm = 8 }
leverage = { stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }
tyre = { bead_seat_mm = 622, width_mm = 61, gap_mm = 9, gap_eye_to_eye_mm = 158.5, closing = 0.7 }
[rider]
mass_with_kit_kg = 80
bike_mass_kg = 15
[wishes]
travel_mm = { must = [120, 145] }
budget = { must = 900 }
"""


SHOCKS = 150


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("generated")
    write_folder(make_catalogue(SHOCKS, 40, 25, springs=10, seed=77), folder)
    question = folder / "question.toml"
    question.write_text(QUESTION)
    return [question, folder]


def test_the_catalogue_is_sound(asked: list[Path]) -> None:
    done = run("check-catalogue", asked[1])
    assert done.returncode == 0, done.stderr


def test_every_shock_has_one_state_and_the_best_is_shown_in_full(asked: list[Path]) -> None:
    question, folder = asked
    done = run("shortlist", question, "-c", folder, "--json")
    assert done.returncode in (0, 1), done.stderr
    answer = json.loads(done.stdout)
    assert sum(answer["counts"].values()) == SHOCKS
    assert len(answer["bundles"]) >= 1
    best = answer["bundles"][0]
    shown = run("bundle", best["shock"], "-q", question, "-c", folder, "--json")
    assert shown.returncode == 0, shown.stderr
    assert json.loads(shown.stdout)["price"] == best["price"]


def test_what_is_turned_down_says_why(asked: list[Path]) -> None:
    question, folder = asked
    done = run("rejections", question, "-c", folder, "--json", "--all")
    assert done.returncode in (0, 1), done.stderr
    turned = json.loads(done.stdout)["turned_down"]
    assert turned
    assert all(one["broken"] for one in turned)
    shown = run("why", turned[0]["shock"], "-q", question, "-c", folder)
    assert shown.returncode == 0, shown.stderr
    assert turned[0]["shock"] in shown.stdout


def test_its_certificate_holds(asked: list[Path], tmp_path: Path) -> None:
    question, folder = asked
    saved = tmp_path / "answer.json"
    done = run("certify", question, "-c", folder, "-o", saved)
    assert done.returncode == 0, done.stderr
    checked = run("recheck", saved, question, "-c", folder)
    assert checked.returncode == 0, checked.stderr + checked.stdout
