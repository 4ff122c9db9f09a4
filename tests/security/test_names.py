"""Names that look alike and texts that a spreadsheet would take for formulas.

OWASP, CSV Injection, the starts of formulas [B]; Unicode UAX 15 (NFKC), Python's own tables [D];
UTS 39 confusables [C].
"""

import csv
import io
from pathlib import Path

import pytest

from recommender.catalogue.read import read_table
from recommender.facts.lookalike import looks
from recommender.facts.problems import BadInput
from recommender.files.cells import guarded
from recommender.fitlist.bikes import read_bikes
from recommender.fleet.reading import read_fleet
from tests.catalogue import build

ALIKE = (
    ("A-1", "\u0410-1", "CYRILLIC CAPITAL LETTER A"),
    ("A-1", "\uff21-1", "FULLWIDTH LATIN CAPITAL LETTER A"),
    ("A-1", "A-1\u200b", "ZERO WIDTH SPACE"),
    ("A-1", "\u202eA-1", "RIGHT-TO-LEFT OVERRIDE"),
    ("A-1", "A\u00ad-1", "SOFT HYPHEN"),
    ("file", "\ufb01le", "LATIN SMALL LIGATURE FI"),
)


def told(read: object, path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        read(path)  # type: ignore[operator]
    return str(bad.value)


@pytest.mark.parametrize(("plain", "other", "name"), ALIKE)
def test_a_part_number_of_other_letters_is_refused_and_the_letter_named(
    plain: str, other: str, name: str, tmp_path: Path
) -> None:
    rows = [build.shock(plain), build.shock(other)]
    text = told(lambda p: read_table(p, "shocks"), tmp_path / "shocks.csv",
                build.csv_text(rows, "part_number"))  # fmt: skip
    assert "row 3, part_number" in text
    assert name in text
    assert text.isprintable()


@pytest.mark.parametrize(("plain", "other", "name"), ALIKE)
def test_bikes_whose_names_look_alike_are_refused(
    plain: str, other: str, name: str, tmp_path: Path
) -> None:
    text = told(read_fleet, tmp_path / "f.csv", f"bike,model\n{plain},a\n{other},a\n")
    assert "row 3, bike" in text
    assert "looks like that of row 2" in text
    assert name in text
    assert text.isprintable()
    listed = f"bike,mount\n{plain},\n{other},\n"
    text = told(lambda p: read_bikes(p, {}), tmp_path / "b.csv", listed)
    assert "row 3, bike" in text
    assert "looks like that of row 2" in text
    assert name in text


def test_names_that_differ_to_the_eye_stay_apart() -> None:
    names = ["A1", "A2", "a1", "AE1", "B-1", "B/1", "Ж1", "雪1", "B 1", "B I", "B l"]
    assert len({looks(name) for name in names}) == len(names)
    assert looks("A 1") == looks("A\u00a0 1") == looks(" A 1 ")


STARTS = ["=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "\u00a0=", "＝", "＋", "－", "＠"]


@pytest.mark.parametrize("start", STARTS)
def test_no_cell_begins_a_formula(start: str) -> None:
    text = f'{start}HYPERLINK("http://a.invalid","x")'
    assert guarded(text) == "'" + text
    out = io.StringIO()
    csv.writer(out).writerow([guarded(text)])
    assert next(csv.reader(io.StringIO(out.getvalue(), newline="")))[0].startswith("'")


@pytest.mark.parametrize("text", ["-12.5", "+3", "1e5", "-1e-3", "A-1", "a=b", "", " "])
def test_numbers_and_plain_texts_stay_as_they_are(text: str) -> None:
    assert guarded(text) == text
