"""The open description, held against the standard and against the reader."""

import json
import re
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from recommender.catalogue.read import read_table
from recommender.catalogue.schema import IMPRECISE, datapackage, write_datapackage
from recommender.facts.problems import BadInput
from recommender.facts.quantity import Number
from recommender.facts.tables import TABLES
from tests.catalogue.build import csv_text, shock, write_catalogue

# Table Schema v1, section 'Descriptor' and 'Constraints': types, constraints and the types they
# apply to, field properties, keys. [C: from memory of specs.frictionlessdata.io]
STRINGS = {"minLength", "maxLength", "pattern"}
ORDERED = {"minimum", "maximum"}
ANY = {"required", "unique", "enum"}
SCHEMA: dict[str, Any] = {
    "type": "object",
    "required": ["name", "resources"],
    "properties": {
        "name": {"pattern": "^[-a-z0-9._/]+$"},
        "profile": {"const": "tabular-data-package"},
        "resources": {
            "minItems": 1,
            "items": {
                "required": ["name", "path", "schema", "profile"],
                "properties": {
                    "name": {"pattern": "^[-a-z0-9._/]+$"},
                    "profile": {"const": "tabular-data-resource"},
                    "schema": {
                        "required": ["fields"],
                        "properties": {
                            "missingValues": {"items": {"type": "string"}},
                            "primaryKey": {"type": ["string", "array"]},
                            "foreignKeys": {"items": {"required": ["fields", "reference"]}},
                            "fields": {
                                "items": {
                                    "required": ["name", "type"],
                                    "additionalProperties": False,
                                    "properties": {
                                        "name": {"type": "string"},
                                        "type": {"enum": ["string", "number"]},
                                        "description": {"type": "string"},
                                        "constraints": {"type": "object"},
                                    },
                                }
                            },
                        },
                    },
                },
            },
        },
    },
}


@pytest.fixture(name="folder")
def _folder(tmp_path: Path) -> Path:
    inches = {k: v for k, v in shock("B").items() if k != "length_mm"}
    inches["length_in"] = 7.5
    return write_catalogue(
        tmp_path, shocks=[{**inches, "mass_g": "400 +/- 5", "price": None}, {**inches,
                          "part_number": "C", "stroke_mm": "?"}]
    )  # fmt: skip


def fields(folder: Path, name: str) -> dict[str, Any]:
    resource = next(r for r in datapackage(folder)["resources"] if r["name"] == name)
    return {field["name"]: field for field in resource["schema"]["fields"]}


def test_follows_the_standard(folder: Path) -> None:
    package = datapackage(folder)
    jsonschema.validate(package, SCHEMA)
    assert [r["name"] for r in package["resources"]] == list(TABLES)
    for resource in package["resources"]:
        schema = resource["schema"]
        names = [field["name"] for field in schema["fields"]]
        header = (folder / resource["path"]).read_text().splitlines()[0].split(",")
        assert names == header
        assert schema["primaryKey"] in names
        for field in schema["fields"]:
            given = set(field.get("constraints", {}))
            own = ORDERED if field["type"] == "number" else STRINGS
            assert given <= ANY | own
        for key in schema.get("foreignKeys", []):
            assert key["fields"] in names


def test_precise_columns_are_numbers_the_others_texts_with_a_pattern(folder: Path) -> None:
    described = fields(folder, "shocks")
    length = described["length_in"]
    assert length["type"] == "number"
    assert "in in" in length["description"]
    assert length["constraints"]["minimum"] == pytest.approx(100 / 25.4)
    assert length["constraints"]["maximum"] == pytest.approx(350 / 25.4)
    assert described["stroke_mm"]["type"] == described["mass_g"]["type"] == "string"
    assert described["mass_g"]["constraints"] == {"pattern": IMPRECISE}
    assert described["price"]["type"] == "number"
    assert described["spring_kind"]["constraints"] == {"enum": ["air", "coil"]}
    assert described["part_number"]["constraints"]["required"] is True
    assert described["part_number"]["constraints"]["unique"] is True


@pytest.mark.parametrize(
    ("text", "accepted"),
    [
        ("22", True), ("22.5 +/- 0.1", True), ("22 ± .1 mm", True), ("10 to 15", True),
        ("10..15", True), ("0.9 in", True), ('1"', True), ("?", True), ("Unknown", True),
        ("about 22", False), ("22,5", False), ("22 +/-", False), ("nan", False), ("1_0", False),
    ],
)  # fmt: skip
def test_the_pattern_admits_what_the_reader_does(text: str, accepted: bool) -> None:
    assert (re.fullmatch(IMPRECISE, text) is not None) == accepted
    number = Number("mm", 8, 110)
    if accepted:
        number.parse(text)
    else:
        with pytest.raises(ValueError, match="not a number in mm"):
            number.parse(text)


def test_written_beside_the_tables(folder: Path) -> None:
    write_datapackage(folder)
    assert json.loads((folder / "datapackage.json").read_text()) == datapackage(folder)


def test_a_table_that_does_not_read_has_no_description(tmp_path: Path) -> None:
    write_catalogue(tmp_path)
    (tmp_path / "kits.csv").write_text("part_number,widht_mm\n")
    with pytest.raises(BadInput, match="widht_mm"):
        write_datapackage(tmp_path)
    assert not (tmp_path / "datapackage.json").exists()


def test_the_reference_validator_accepts_folder_and_description(folder: Path) -> None:
    frictionless = pytest.importorskip("frictionless")
    write_datapackage(folder)
    report = frictionless.validate(str(folder / "datapackage.json"))
    assert report.valid, report.flatten(["rowNumber", "fieldName", "type", "message"])
    bad = shock("D", supplier="Nobody", mass_g="heavy", spring_kind="gas", length_mm=5)
    (folder / "shocks.csv").write_text(csv_text([bad], "part_number"))
    with pytest.raises(BadInput):
        read_table(folder / "shocks.csv", "shocks")
    assert not frictionless.validate(str(folder / "datapackage.json")).valid
