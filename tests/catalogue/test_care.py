"""Doubts in a catalogue, two versions of it, and its description by the standard's own library."""

import shutil
from pathlib import Path

import pytest

from recommender.advice.outcome import outcome
from recommender.answer.answer import Case
from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.catalogue.compare import compare
from recommender.catalogue.doubts import doubts, near_key
from recommender.catalogue.question import read_question
from recommender.catalogue.schema import write_datapackage
from tests.catalogs.tables import CATALOGUE
from tests.catalogue.build import csv_text, kit, service, shock, write_catalogue

SOURCED = {"source": "invented"}


def told(folder: Path) -> list[str]:
    return [f"{one.column}: {one.message}" for one in doubts(read_catalogue(folder))]


def written(folder: Path, *shocks: dict[str, object], kits: list[dict[str, object]]) -> Path:
    return write_catalogue(folder, shocks=shocks, kits=kits, services=[], springs=[])


def test_a_sound_catalogue_raises_no_doubt(tmp_path: Path) -> None:
    rows = [shock("A-1", model="one", **SOURCED), shock("B-2", model="two", **SOURCED)]
    assert told(written(tmp_path / "c", *rows, kits=[kit(**SOURCED)])) == []


@pytest.mark.parametrize(
    ("one", "other", "near"),
    [("A-10", "A10", True), ("AO1", "A01", True), ("ab-1", "AB-l", True),
     ("A-210x50", "A-210x55", False),
     ("A1", "A2", False), ("S 52.5", "S 525", False)],
)  # fmt: skip
def test_near_twins(tmp_path: Path, one: str, other: str, near: bool) -> None:
    rows = [shock(one, model="one", **SOURCED), shock(other, model="two", **SOURCED)]
    found = told(written(tmp_path / "c", *rows, kits=[kit(**SOURCED)]))
    assert any("nearly the same" in text for text in found) is near
    assert near_key("") == ""


def test_unlikely_combinations(tmp_path: Path) -> None:
    rows = [
        shock("A", model="m", **SOURCED), shock("B", model="m", price=90, **SOURCED),
        shock("C", model="c", length_mm=240, stroke_mm=30, stroke_settings_mm="", mass_g=90,
              price=0),
    ]  # fmt: skip
    kits = [kit(bore_mm=13, **SOURCED)]
    text = "\n".join(told(written(tmp_path / "c", *rows, kits=kits)))
    for wanted in ("alike in every fact to 'A'", "12% of the length", "no usual length", "90 g",
                   "a price of nothing", "no source", "bore_mm 13 does not go into"):  # fmt: skip
        assert wanted in text, wanted


@pytest.mark.parametrize(
    ("shocks", "services", "doubt"),
    [("Tarn plain", "Tarn plain", ""), ("Tarn plian", "Tarn plain", "but for 'Tarn plain'"),
     ("tarn-plain", "Tarn plain", "but for 'Tarn plain'"),
     ("Tarn plan", "Tarn plain", "but for 'Tarn plain'"),
     ("Tarn twin", "Tarn plain", ""), ("Tarn 2", "Tarn 3", ""), ("ab", "ac", ""), ("", "Tarn", "")],
)  # fmt: skip
def test_a_damper_that_is_misspelt(tmp_path: Path, shocks: str, services: str, doubt: str) -> None:
    """Told of the shock only where a service is for nearly that name; of a service, always."""
    rows = [shock(damper=shocks, **SOURCED)]
    offers = [service(damper=services, **SOURCED)]
    found = told(
        write_catalogue(tmp_path / "c", shocks=rows, kits=[], services=offers, springs=[])
    )
    assert [doubt in one for one in found if "no service is offered" in one] == [True] * bool(doubt)
    unused = [one for one in found if one.startswith("damper: no shock has that damper")]
    assert len(unused) == (shocks != services)
    assert not doubt or unused[0].endswith(f"nearest: {shocks}")


@pytest.mark.parametrize(
    ("settings", "stroke", "doubt"),
    [("47.5;50", 50, False), ("47.5;50", 52.5, True), ("47.5;50", 45, False), ("", 50, False),
     ("47.5", "47 to 48", False)],
)  # fmt: skip
def test_a_stroke_beyond_every_setting_that_is_listed(
    tmp_path: Path, settings: str, stroke: object, doubt: bool
) -> None:
    rows = [shock(stroke_mm=stroke, stroke_settings_mm=settings, **SOURCED)]
    found = told(written(tmp_path / "c", *rows, kits=[]))
    beyond = [one for one in found if "longer than every setting" in one]
    assert [one.startswith("stroke_mm: ") for one in beyond] == [True] * doubt


def test_two_versions(tmp_path: Path) -> None:
    old = written(tmp_path / "old", shock("A"), shock("B"), kits=[kit("K", width_mm=22)])
    new = written(
        tmp_path / "new", shock("A", price=120, mass_g=None, lockout_class="firm"), shock("C"),
        kits=[kit("K", width_mm="22 +/- 0.1")],
    )  # fmt: skip
    (new / "delivered_tunes.csv").write_text("part_number\nX\n")
    found = {one.table: one for one in compare(read_catalogue(old), read_catalogue(new))}
    assert set(found) == {"shocks", "kits", "delivered_tunes"}
    assert (found["shocks"].added, found["shocks"].removed) == (("C",), ("B",))
    cells = {(one.key, one.column): (one.old, one.new) for one in found["shocks"].changed}
    assert cells == {
        ("A", "price"): ("100 EUR", "120 EUR"), ("A", "mass_g"): ("420", ""),
        ("A", "lockout_class"): ("medium", "firm"),
    }  # fmt: skip
    assert found["kits"].changed[0].new == "22 +/- 0.1"
    assert compare(read_catalogue(old), read_catalogue(old)) == ()


def test_the_answers_that_change(tmp_path: Path) -> None:
    path = tmp_path / "q.toml"
    sizes = "sizes = [{ length_mm = 210, stroke_ceiling_mm = 55 }]"
    path.write_text(
        f'[bike]\nmount = "eyelet"\n{sizes}\n[rider]\nmass_with_kit_kg = 80\n'
        "[wishes]\nbudget = { must = 300 }\n"
    )

    def case(read: Catalogue) -> Case:
        return Case(read_question([path], {}), read)

    old = read_catalogue(written(tmp_path / "old", shock("A"), shock("B"), kits=[kit()]))
    same = case(old)
    assert not outcome("q", same, case(old)).changes
    rows = [shock("A", price=900), shock("B"), shock("FAR", length_mm=250)]
    new = read_catalogue(written(tmp_path / "new", *rows, kits=[kit()]))
    made = outcome("q", same, case(new))
    assert [(one.shock, one.old, one.new) for one in made.states] == [("A", "open", "ruled out")]
    assert made.first_new.shock == "B"
    assert made.currency == "EUR"
    assert made.moves == ()  # another's place alone is no move


def test_a_price_that_changes_no_place_changes_the_answer_all_the_same(tmp_path: Path) -> None:
    def case(name: str, price: int) -> Case:
        rows = [shock("A"), shock("B", price=price)]
        catalogue = read_catalogue(written(tmp_path / name, *rows, kits=[kit()]))
        question = tmp_path / "q.toml"
        question.write_text('[bike]\nmount = "eyelet"\n', encoding="utf-8")
        return Case(read_question([question], catalogue), catalogue)

    made = outcome("q", case("old", 380), case("new", 399))
    assert (made.states, made.first_old == made.first_new, made.changes) == ((), True, True)
    (move,) = made.moves
    assert (move.shock, move.old_place, move.new_place) == ("B", 2, 2)
    assert move.new.price - move.old.price == 19


@pytest.mark.parametrize("which", ["small", "demo"])
def test_the_description_holds_by_the_standards_own_library(tmp_path: Path, which: str) -> None:
    """Frictionless Data Package and Table Schema, read by their reference library [D]."""
    frictionless = pytest.importorskip("frictionless", reason="the standard's library is not here")
    folder = tmp_path / "c"
    if which == "small":
        rows = [shock("A", length_mm="210 +/- 0.5", mass_lb=1, mass_g=None)]
        rows[0].pop("mass_g")
        write_catalogue(folder, shocks=rows)
        text = csv_text([{"part_number": "X", "shock": "A", "volume_spacers": 1}], "part_number")
        (folder / "delivered_tunes.csv").write_text(text)
    else:
        shutil.copytree(CATALOGUE, folder, ignore=shutil.ignore_patterns("*.py", "invented"))
    write_datapackage(folder)
    report = frictionless.Package(str(folder / "datapackage.json")).validate()
    assert report.valid, report.flatten(["fieldName", "message"])[:5]
    names = [
        resource.name
        for resource in frictionless.Package(str(folder / "datapackage.json")).resources
    ]
    assert "delivered_tunes" in names
    # A cell out of the declared bounds must fail, or the check would prove nothing.
    kits = folder / "kits.csv"
    lines = kits.read_text().splitlines()
    place = lines[0].split(",").index("bore_mm")
    cells = lines[1].split(",")
    cells[place] = "99"
    kits.write_text("\n".join([lines[0], ",".join(cells), *lines[2:]]) + "\n")
    assert not frictionless.Package(str(folder / "datapackage.json")).validate().valid
