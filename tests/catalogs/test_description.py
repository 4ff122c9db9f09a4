"""The demonstration's open description and its delivered tunes agree with its files."""

import json

import pytest

from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.schema import datapackage

from .tables import CATALOGUE, rows


def test_the_description_is_that_of_the_files() -> None:
    written = json.loads((CATALOGUE / "datapackage.json").read_text(encoding="utf-8"))
    assert written == json.loads(json.dumps(datapackage(CATALOGUE)))


@pytest.mark.parametrize("row", rows("delivered_tunes"), ids=lambda row: row["part_number"])
def test_a_delivered_tune_belongs_to_a_shock_and_to_no_other_number(row: dict[str, str]) -> None:
    listed = {one["part_number"] for one in rows("shocks")}
    assert row["shock"] in listed
    assert row["part_number"] not in listed
    assert row["source"] == "invented for the demonstration"


def test_delivered_tunes_are_read_and_enough() -> None:
    table = read_catalogue(CATALOGUE).delivered_tunes
    assert table is not None
    assert len(table) >= 15
    assert not all(table.number("volume_spacers").is_known)
