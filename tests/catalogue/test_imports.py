"""A shop's export by its mapping: nothing lost, nothing guessed, nothing half-written."""

import csv
import io
import os
import shutil
import subprocess
import time
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.imports import Imported, import_rows
from recommender.catalogue.mapping import read_mapping
from recommender.catalogue.read import parse_table
from recommender.facts.problems import BadInput
from tests.catalogue.build import write_catalogue

FUZZ = int(os.environ.get("FUZZ_EXAMPLES", "40"))
"""Short by default; a longer run sets the variable."""
HEAD = '[import]\ntable = "kits"\nfile = "{file}"\n{more}\n'
COLUMNS = """
[columns]
part_number = "No"
kind = { from = "Kind", words = { tube = "sleeve" } }
width_mm = "Wide"
price = "Price"

[constants]
supplier = "Barn Lane Parts"
"""


def mapping(folder: Path, file: str, more: str = "", columns: str = COLUMNS) -> Path:
    path = folder / "map.toml"
    path.write_text(HEAD.format(file=file, more=more) + columns, encoding="utf-8")
    return path


def run(folder: Path, file: str, more: str = "", columns: str = COLUMNS) -> Imported:
    told = read_mapping(mapping(folder, file, more, columns))
    return import_rows(told, told.grid())


def sheet(path: Path, rows: list[list[Any]], merge: str = "") -> Path:
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    for row in rows:
        page.append(row)
    if merge:
        page.merge_cells(merge)
    book.save(path)
    return path


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("separator", [";", ",", "\t", "|"])
def test_the_same_rows_in_every_encoding(tmp_path: Path, encoding: str, separator: str) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerows([["No", "Kind", "Wide", "Price"], ["K1", "tube", "22,2", "1.019,50 €"],
                      ["K2", "sleeve", "30", "21 €"]])  # fmt: skip
    (tmp_path / "a.csv").write_bytes(out.getvalue().encode(encoding))
    got = run(tmp_path, "a.csv", 'decimal = ","')
    assert [row["width_mm"] for row in got.accepted] == ["22.2", "30"]
    assert [row["price"] for row in got.accepted] == ["1019.5", "21"]
    assert {row["currency"] for row in got.accepted} == {"EUR"}
    assert not got.rejected


def test_accepted_rows_make_a_catalogue_that_passes_its_check(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("No,Kind,Wide,Price\nK1,tube,22.2,19\nK2,tube,30,21\n")
    got = run(tmp_path, "a.csv")
    folder = write_catalogue(tmp_path / "catalogue")
    (folder / "kits.csv").write_text(got.accepted_csv(), encoding="utf-8")
    read = read_catalogue(folder)
    assert read.kits.keys() == ["K1", "K2"]
    assert read.kits.number("width_mm").low.tolist() == [22.2, 30.0]


def test_every_fault_is_told_with_its_row(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(
        "Stock list,,,\n\nNo,Kind,Wide,Price\nK1,tube,22.2,19\nK2,wood,900,x\nNo,Kind,Wide,Price\n"
        "K1,tube,22.2,19\n,tube,20,3\nK5,tube,30,2,more\nK6,tube,0.875,2\n"
    )
    got = run(tmp_path, "a.csv")
    assert [row["part_number"] for row in got.accepted] == ["K1"]
    why = {row.line: " ".join(row.why) for row in got.rejected}
    assert set(why) == {5, 7, 8, 9, 10}
    assert "Kind: 'wood'" in why[5]
    kinds = {one.kind for row in got.rejected for one in row.reasons}
    assert "more cells than the header has names" in kinds
    assert not any("'wood'" in one for one in kinds)
    assert "Wide: '900'" in why[5]
    assert "Price: 'x'" in why[5]
    assert "row 4 already" in why[7]
    assert "blank" in why[8]
    assert "more cells" in why[9]
    assert "in in it would be 22.225 mm" in why[10]
    assert any("1 repeated row of column names" in note for note in got.notes)


def test_a_row_that_contradicts_itself_is_rejected(tmp_path: Path) -> None:
    rows = "".join(f"S{k},{100 + k % 3},{60 if k % 2 else 40}\n" for k in range(300))
    (tmp_path / "a.csv").write_text("No,L,S\n" + rows)
    columns = '[columns]\npart_number = "No"\nlength_mm = "L"\nstroke_mm = "S"\n'
    path = tmp_path / "map.toml"
    path.write_text('[import]\ntable = "shocks"\nfile = "a.csv"\n' + columns)
    told = read_mapping(path)
    got = import_rows(told, told.grid())
    assert len(got.accepted) == len(got.rejected) == 150
    assert all("over half the length" in row.why[0] for row in got.rejected)


@settings(max_examples=FUZZ, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            *[st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=8)] * 4
        ),
        max_size=8,
    )
)
def test_no_row_is_lost(tmp_path: Path, rows: list[tuple[str, ...]]) -> None:
    """Each row that is neither blank nor the header again is accepted or rejected, once."""
    out = io.StringIO()
    csv.writer(out).writerows([("No", "Kind", "Wide", "Price"), *rows])
    (tmp_path / "a.csv").write_bytes(out.getvalue().encode())
    got = run(tmp_path, "a.csv", 'separator = ","\nencoding = "utf-8"')
    told = [row for row in rows if any(cell.strip() for cell in row)]
    header = [
        r for r in told if [c.strip().casefold() for c in r] == ["no", "kind", "wide", "price"]
    ]
    assert len(got.accepted) + len(got.rejected) == len(told) - len(header)
    if got.accepted:
        table = parse_table(got.accepted_csv().encode(), "accepted", "kits")
        assert len(table) == len(got.accepted)
    back = list(csv.reader(io.StringIO(got.rejected_csv(), newline="")))
    assert len(back) == len(got.rejected) + 1


def test_xlsx_cells_that_cannot_be_relied_on(tmp_path: Path) -> None:
    sheet(
        tmp_path / "a.xlsx",
        [["No", "Kind", "Wide", "Price"], ["K1", "tube", 22.2, 19.5], ["K2", "tube", "=B1*2", 3],
         ["K3", "tube", "#N/A", 3], ["K4", "tube", 24, 7], ["K5", "tube", 24, 7],
         ["K6", "tube", "1.2 in", 7], [7, "tube", 30, 7], ["K8", "tube", True, 7]],
        merge="D5:D6",
    )  # fmt: skip
    page = openpyxl.load_workbook(tmp_path / "a.xlsx")
    import datetime

    page.active["C10"] = datetime.date(2026, 2, 5)  # type: ignore[index]
    page.active["A10"] = "K9"  # type: ignore[index]
    page.save(tmp_path / "a.xlsx")
    got = run(tmp_path, "a.xlsx")
    assert [row["part_number"] for row in got.accepted] == ["K1", "K6", "7"]
    assert got.accepted[1]["width_mm"] == "30.48"
    why = {row.line: " ".join(row.why) for row in got.rejected}
    assert "a formula" in why[3]
    assert "an error value" in why[4]
    assert "merged cells D5:D6" in why[5]
    assert "merged cells D5:D6" in why[6]
    assert set(why) == {3, 4, 5, 6, 9, 10}
    assert "a date" in why[10]
    assert "'=B1*2" in got.rejected_csv()


def test_a_workbook_of_another_program(tmp_path: Path) -> None:
    """A CSV turned into XLSX by an office program, if one is there."""
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        pytest.skip("no office program here to make the workbook")
    (tmp_path / "a.csv").write_text("No,Kind,Wide,Price\nK1,tube,22.2,19.5\nK2,tube,30,21\n")
    subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to",
         "xlsx", "--outdir", str(tmp_path), str(tmp_path / "a.csv")],
        check=True, timeout=180, capture_output=True,
    )  # fmt: skip
    got = run(tmp_path, "a.xlsx")
    assert [(row["part_number"], row["width_mm"], row["price"]) for row in got.accepted] == [
        ("K1", "22.2", "19.5"), ("K2", "30", "21"),
    ]  # fmt: skip


def test_a_workbook_that_unfolds_without_end(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w", zipfile.ZIP_DEFLATED) as bomb:
        for k in range(40):
            bomb.writestr(f"xl/worksheets/sheet{k}.xml", bytes(8 * 2**20))
    assert (tmp_path / "a.xlsx").stat().st_size < 2**20
    with pytest.raises(BadInput, match="unfolds to"):
        run(tmp_path, "a.xlsx")


def test_a_workbook_that_declares_entities(tmp_path: Path) -> None:
    sheet(tmp_path / "good.xlsx", [["No"]])
    bomb = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bb">]><worksheet>&b;</worksheet>'
    with (
        zipfile.ZipFile(tmp_path / "good.xlsx") as good,
        zipfile.ZipFile(tmp_path / "a.xlsx", "w") as bad,
    ):
        for part in good.infolist():
            data = bomb if part.filename.endswith("sheet1.xml") else good.read(part)
            bad.writestr(part.filename, data)
    with pytest.raises(BadInput, match="declares entities"):
        run(tmp_path, "a.xlsx")


def test_a_file_of_two_gigabytes_is_refused_unread(tmp_path: Path) -> None:
    for name in ("a.csv", "a.xlsx"):
        with open(tmp_path / name, "wb") as file:
            file.truncate(2 * 2**30)  # sparse: takes no room on the disk
        start = time.perf_counter()
        with pytest.raises(BadInput, match="MiB are accepted"):
            run(tmp_path, name)
        assert time.perf_counter() - start < 5


@pytest.mark.parametrize("file", ["../a.csv", "/etc/hostname", "sub/../../a.csv", "link.csv"])
def test_a_mapping_leads_nowhere_outside_its_folder(tmp_path: Path, file: str) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    (tmp_path / "a.csv").write_text("No,Kind,Wide,Price\nK1,tube,22.2,19\n")
    (inner / "link.csv").symlink_to(tmp_path / "a.csv")
    with pytest.raises(BadInput, match="own folder"):
        run(inner, file)


def test_a_mapping_tells_all_its_faults(tmp_path: Path) -> None:
    path = mapping(
        tmp_path, "a.csv", 'decimal = ";"',
        '[columns]\nwidht_mm = "W"\nprice = { from = "P", unit = "mm" }\n'
        'kind = { from = "K", words = { a = "b" }, part = 1 }\n[constants]\npart_number = "x"\n',
    )  # fmt: skip
    with pytest.raises(BadInput) as told:
        read_mapping(path)
    assert "import.decimal" in str(told.value)
    path.write_text(path.read_text().replace('decimal = ";"', ""))
    with pytest.raises(BadInput) as told:
        read_mapping(path)
    text = str(told.value)
    for wanted in ("part_number must be mapped", "nearest: width_mm", "columns.price.unit",
                   "columns.kind.words", "columns.kind.part", "constants.part_number"):  # fmt: skip
        assert wanted in text


def test_a_column_that_is_not_there_names_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("No,Kindly,Wide,Price\nK1,tube,22.2,19\n")
    with pytest.raises(BadInput, match=r"'Kind': no such column; nearest: Kindly"):
        run(tmp_path, "a.csv")


def test_other_office_files_say_what_to_save(tmp_path: Path) -> None:
    (tmp_path / "a.xls").write_bytes(b"\xd0\xcf\x11\xe0")
    with pytest.raises(BadInput, match="save the sheet as"):
        run(tmp_path, "a.xls")


def test_prices_in_two_currencies_stay_apart(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("No;Kind;Wide;Price\nK1;tube;22;19 EUR\nK2;tube;22;19 CHF\n")
    assert [row["currency"] for row in run(tmp_path, "a.csv").accepted] == ["EUR", "CHF"]
    got = run(tmp_path, "a.csv", columns=COLUMNS + 'currency = "EUR"\n')
    assert "is in CHF" in got.rejected[0].why[0]


def test_fifty_thousand_rows(tmp_path: Path) -> None:
    """Told, not asserted in seconds: both files hold every row."""
    lines = [f"K{k};tube;{20 + k % 30},5;{k % 90 + 5},90 €;x{k}" for k in range(50_000)]
    (tmp_path / "a.csv").write_text("No;Kind;Wide;Price;Note\n" + "\n".join(lines))
    start = time.perf_counter()
    got = run(tmp_path, "a.csv", 'decimal = ","')
    print(f"50,000 rows in {time.perf_counter() - start:.1f} s")
    assert len(got.accepted) == 50_000
    assert got.unused == ("Note",)


@settings(max_examples=FUZZ, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300), st.sampled_from(["a.csv", "a.xlsx"]))
def test_any_bytes_are_rows_or_bad_input(tmp_path: Path, data: bytes, name: str) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(BadInput):
        run(tmp_path, name)


@settings(
    max_examples=FUZZ, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.data())
def test_a_damaged_workbook_is_rows_or_bad_input(tmp_path: Path, data: st.DataObject) -> None:
    good = tmp_path / "good.xlsx"
    if not good.exists():
        sheet(good, [["No", "Kind", "Wide", "Price"], ["K1", "tube", 22.2, 19.5]])
    content = bytearray(good.read_bytes())
    for _ in range(data.draw(st.integers(1, 6))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    (tmp_path / "a.xlsx").write_bytes(bytes(content))
    try:
        got = run(tmp_path, "a.xlsx")
    except BadInput:
        return
    assert len(got.accepted) + len(got.rejected) <= 2


@settings(max_examples=FUZZ, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=120))
def test_any_mapping_is_read_or_bad_input(tmp_path: Path, text: str) -> None:
    path = tmp_path / "m.toml"
    path.write_text(text, encoding="utf-8", errors="replace")
    with pytest.raises(BadInput):
        read_mapping(path)
