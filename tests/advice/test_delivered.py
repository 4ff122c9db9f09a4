"""What is fitted now, filled in from its full part number."""

from pathlib import Path

import pytest

from recommender.advice.delivered import with_delivered
from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.catalogue.question import Question, read_question
from recommender.facts.problems import BadInput
from recommender.facts.quantity import Quantity
from tests.catalogue.build import csv_text, shock, write_catalogue

ROWS = [
    {"part_number": "A/OEM-1", "shock": "A", "compression_class": "firm", "rebound_class": "light",
     "lockout_class": None, "volume_spacers": 2, "head_sleeve_width_mm": 22.2,
     "head_sleeve_bore_mm": 8, "head_sleeve_diameter_mm": 12.7},
    {"part_number": "LOOSE", "shock": None, "compression_class": "medium"},
]  # fmt: skip


@pytest.fixture
def catalogue(tmp_path: Path) -> Catalogue:
    measured = shock("A", rebound_low_n_s_per_m=1000, rebound_high_n_s_per_m=5000)
    folder = write_catalogue(tmp_path / "c", shocks=[measured])
    (folder / "delivered_tunes.csv").write_text(csv_text(ROWS, "part_number"))
    return read_catalogue(folder)


def asked(tmp_path: Path, present: str) -> Question:
    path = tmp_path / "q.toml"
    path.write_text(f"[bike.present_shock]\n{present}\n")
    return read_question([path], {})


def test_tune_spacers_and_sleeves_come_from_the_table(catalogue: Catalogue, tmp_path: Path) -> None:
    bike = with_delivered(asked(tmp_path, 'part_number = "A/OEM-1"'), catalogue).bike
    now = bike.present_shock
    assert now is not None
    assert now.facts is not None
    assert (now.facts.compression_class, now.facts.rebound_class) == ("firm", "light")
    assert now.facts.lockout_class is None  # blank there is unknown, not the other build's
    assert now.facts.length_mm == Quantity.exact(210)
    assert not now.facts.rebound_low_n_s_per_m.known  # measured on the other build
    assert now.volume_spacers == Quantity.exact(2)
    assert now.head_sleeve.width_mm == Quantity.exact(22.2)


def test_what_the_owner_tells_stands(catalogue: Catalogue, tmp_path: Path) -> None:
    told = 'part_number = "A/OEM-1"\nvolume_spacers = 0\nhead_sleeve = { width_mm = 30 }'
    now = with_delivered(asked(tmp_path, told), catalogue).bike.present_shock
    assert now is not None
    assert now.volume_spacers == Quantity.exact(0)
    assert now.head_sleeve.width_mm == Quantity.exact(30)
    assert now.head_sleeve.bore_mm == Quantity.exact(8)


def test_an_unknown_number_says_so_and_asks(catalogue: Catalogue, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"give its facts.*nearest: A/OEM-1"):
        with_delivered(asked(tmp_path, 'part_number = "A/OEM-2"'), catalogue)
    with pytest.raises(BadInput, match="size and mounts are not"):
        with_delivered(asked(tmp_path, 'part_number = "LOOSE"'), catalogue)
    own = 'part_number = "LOOSE"\nfacts = { part_number = "x", length_mm = 210, stroke_mm = 50 }'
    now = with_delivered(asked(tmp_path, own), catalogue).bike.present_shock
    assert now is not None
    assert now.facts is not None
    assert now.facts.compression_class == "medium"


def test_a_plain_part_number_stays_as_it_was(catalogue: Catalogue, tmp_path: Path) -> None:
    question = asked(tmp_path, 'part_number = "A"')
    assert with_delivered(question, catalogue) == question


def test_a_row_naming_no_shock_of_the_catalogue_is_an_error(tmp_path: Path) -> None:
    folder = write_catalogue(tmp_path / "d", shocks=[shock("A")])
    (folder / "delivered_tunes.csv").write_text("part_number,shock\nX,B\n")
    with pytest.raises(BadInput, match="no such part_number"):
        read_catalogue(folder)
