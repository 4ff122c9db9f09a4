"""Reading a table: what is accepted, what is told, where."""

import csv
import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recommender.catalogue import faults, rows
from recommender.catalogue.columns import ChoiceColumn, NumberColumn, Table
from recommender.catalogue.read import parse_table, read_table
from recommender.facts.fields import choice_of, numbers, text_of
from recommender.facts.parts import Kit, Shock
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import UNKNOWN
from recommender.facts.tables import TABLES


def kits(text: str | bytes) -> Table:
    data = text.encode() if isinstance(text, str) else text
    return parse_table(data, "kits.csv", "kits")


def faulted(text: str | bytes, name: str = "kits") -> list[Problem]:
    data = text.encode() if isinstance(text, str) else text
    with pytest.raises(BadInput) as caught:
        parse_table(data, f"{name}.csv", name)
    return list(caught.value.problems)


def one(text: str | bytes, name: str = "kits") -> Problem:
    problems = faulted(text, name)
    assert len(problems) == 1, problems
    return problems[0]


def attempt(data: bytes, name: str) -> tuple[Table | None, Sequence[Problem]]:
    try:
        return parse_table(data, name, name), ()
    except BadInput as bad:
        return None, bad.problems


def test_cells_of_every_kind() -> None:
    table = kits(
        "part_number,kind,width_mm,bore_mm,mass_g,maker\n"
        'A-1,Sleeve,22,8.0,25,"Ash, Elm & Co"\n'
        " B-2 ,bearing axle,21.8 +/- 0.1,?,,\n"
        "C-3,,10 to 15,0.5 in,unknown,Ash\n"
    )
    assert table.keys() == ["A-1", "B-2", "C-3"]
    assert table.choice("kind").words() == ["sleeve", "bearing axle", None]
    width = table.number("width_mm")
    np.testing.assert_allclose(width.low, [22, 21.7, 10], rtol=1e-15)
    np.testing.assert_allclose(width.top, [22, 21.9, 15], rtol=1e-15)
    assert width.known is None
    bore = table.number("bore_mm")
    assert bore.low.tolist() == [8.0, 4.0, 12.7]
    assert bore.top.tolist() == [8.0, 16.0, 12.7]
    assert bore.is_known.tolist() == [True, False, True]
    assert table.text("maker").texts() == ["Ash, Elm & Co", "", "Ash"]
    assert table.place(2) == ("kits.csv", 4)


def test_only_cells_that_are_not_exact_hold_a_second_number() -> None:
    table = kits("part_number,width_mm,bore_mm\nA,22,8\nB,21.8 +/- 0.1,\nC,22,\n")
    assert table.number("width_mm").loose.tolist() == [1]
    taken = table.number("bore_mm").take(np.array([2, 0, 1, 2]))
    assert (taken.low.tolist(), taken.top.tolist()) == ([4.0, 8.0, 4.0, 4.0], [16.0, 8.0, 16, 16])
    assert taken.is_known.tolist() == [False, True, False, False]
    assert not len(kits("part_number,width_mm\nA,22\n").number("width_mm").loose)


def test_defaults_fill_blank_cells_and_missing_columns_alike() -> None:
    text = "part_number,currency,preload_turns_min\nA,,\nB,USD,1\nC,,?\n"
    table = parse_table(text.encode(), "s", "shocks")
    assert table.text("currency").texts() == ["EUR", "USD", "EUR"]
    turns = table.number("preload_turns_min")
    assert turns.low.tolist() == [0.5, 1.0, 0.0]
    assert turns.is_known.tolist() == [True, True, False]
    bare = parse_table(b"part_number\nA\n", "s", "shocks")
    assert bare.text("currency").texts() == ["EUR"]
    assert bare.number("preload_turns_min").low.tolist() == [0.5]
    assert bare.number("length_mm").is_known.tolist() == [False]
    assert list(bare.columns) == list(Shock.model_fields)
    assert list(table.columns) == list(Shock.model_fields)


def test_columns_in_other_units_convert() -> None:
    # 1 in = 25.4 mm and 1 lbf/in = 0.175126835246 N/mm: NIST SP 811 [C, equal to scipy, pint].
    springs = b"part_number,rate_lbf_per_in,free_length_in,mass_lb\nS,500,5,1\n"
    table = parse_table(springs, "springs.csv", "springs")
    assert table.number("rate_n_per_mm").low[0] == pytest.approx(87.563418, abs=5e-7)
    assert table.number("free_length_mm").low[0] == 127.0
    assert table.number("mass_g").low[0] == pytest.approx(453.59237, rel=1e-15)
    shock = b"part_number,pressure_max_bar,length_in\nA,13.789515,7.5 +/- 0.02\n"
    shocks = parse_table(shock, "shocks.csv", "shocks")
    assert shocks.number("pressure_max_psi").low[0] == pytest.approx(200, abs=1e-5)
    assert shocks.number("length_mm").low[0] == pytest.approx(189.992, rel=1e-15)
    assert shocks.number("length_mm").top[0] == pytest.approx(191.008, rel=1e-15)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_mark_and_blank_rows(end: str) -> None:
    text = end.join(["part_number,width_mm", "A,22", "", "B,23", ",", "C,24", "", ""])
    table = kits(b"\xef\xbb\xbf" + text.encode())
    assert table.keys() == ["A", "B", "C"]
    assert table.lines is not None
    assert table.lines.tolist() == [2, 4, 6]


def test_lines_count_through_texts_of_several_lines() -> None:
    table = kits('part_number,maker\nA,"one\ntwo\r\nthree"\nB,x\n"C",y\n')
    assert table.lines is not None
    assert table.lines.tolist() == [2, 5, 6]


def test_a_short_row_ends_in_blanks_and_trailing_commas_are_no_fault() -> None:
    assert kits("part_number,maker,width_mm\nA\nB,x\n").text("maker").texts() == ["", "x"]
    assert kits("part_number,maker,\nA,x,\n").keys() == ["A"]
    assert kits("part_number,maker\nA,x,\nB,y,,\n").text("maker").texts() == ["x", "y"]


def test_chunks_join(monkeypatch: pytest.MonkeyPatch) -> None:
    text = "part_number,width_mm,maker\n" + "".join(
        f"P{i},{'22 +/- 0.1' if i == 17 else 20 + i},m{i % 3}\n" for i in range(20)
    )
    whole = kits(text)
    monkeypatch.setattr(rows, "CHUNK", 3)
    for parts in (kits(text), kits(text.replace("\n", ",\n"))):
        assert parts.keys() == whole.keys()
        assert parts.text("maker").texts() == whole.text("maker").texts()
        np.testing.assert_array_equal(parts.number("width_mm").low, whole.number("width_mm").low)
        np.testing.assert_array_equal(parts.number("width_mm").top, whole.number("width_mm").top)
        assert parts.lines is not None
        assert parts.lines.tolist() == list(range(2, 22))


@pytest.mark.parametrize(
    ("cell", "told"),
    [
        ("wide", "not a number in mm"),
        ("nan", "not a number in mm"),
        ("inf", "not a number in mm"),
        ("1e999", "the number is too large"),
        ("-3", "-3 mm is outside what is accepted: 8 to 110 mm"),
        ("1000", "1000 mm is outside what is accepted: 8 to 110 mm"),
        ("22 furlong", "unknown unit 'furlong'"),
        ("22 kg", "'kg' is a mass, 'mm' a length"),
        ("30 to 20", "the range runs backwards: 30 to 20"),
        ("20 +/- -1", "a tolerance must not be negative, got -1"),
        ("2" * 200, "a number in mm is wanted, not a text of 200 letters"),
        ("22 im", "unknown unit 'im'; accepted: mm, cm, m, in; nearest: m"),
        ('"22,5"', "a decimal point is wanted, not a comma"),
        ("1_0", "not a number in mm"),
        ("0x16", "unknown unit 'x16'"),
    ],
)
def test_a_bad_number_is_told_with_its_place(cell: str, told: str) -> None:
    problem = one(f"part_number,width_mm\nA,22\nB,{cell}\n")
    assert (problem.file, problem.row, problem.column) == ("kits.csv", 3, "width_mm")
    assert told in problem.message


def test_money_and_counts_take_no_unit() -> None:
    message = one("part_number,price\nA,12 mm\n").message
    assert message == "a plain number is wanted, not one in mm"
    assert "outside what is accepted: 0 to 100000" in one("part_number,price\nA,-1\n").message


@pytest.mark.parametrize(
    ("name", "column", "key"),
    [(name, "stock", TABLES[name][1]) for name in ("shocks", "kits", "springs", "services")]
    + [("suppliers", "order_minimum", "supplier")],
)
@pytest.mark.parametrize("cell", ["1 to 2", "1.5 +/- 0.5"])
def test_what_is_counted_has_no_tolerance(name: str, column: str, key: str, cell: str) -> None:
    """Whether a shelf holds enough, or an order is large enough, must not rest on one end of it."""
    problem = one(f"{key},{column}\nA,2\nB,\nC,unknown\nD,2 +/- 0\nE,{cell}\n", name)
    assert (problem.row, problem.column, problem.value) == (6, column, cell)
    assert problem.message == "one number is wanted, not 1 to 2; accepted: 12, blank for unknown"


def test_a_bad_word_names_the_nearest() -> None:
    problem = one("part_number,kind\nA,sleve\n")
    assert str(problem) == (
        "kits.csv, row 2, kind: 'sleve': accepted: sleeve, bearing axle, trunnion bolts, "
        "or blank for unknown; nearest: sleeve"
    )


@pytest.mark.parametrize(
    ("text", "row", "column", "told"),
    [
        ("part_number,widht_mm\nA,1\n", 1, "widht_mm", "no such field; nearest: width_mm"),
        ("part_number,width_furlong\nA,1\n", 1, "width_furlong", "unknown unit; accepted: width_m"),
        ("part_number,width_kg\nA,1\n", 1, "width_kg", "unknown unit; accepted: width_mm"),
        ("part_number,maker,maker\nA,1,1\n", 1, "maker", "stands twice"),
        ("part_number,width_mm,width_in\nA,22,1\n", 1, "width_in", "both give width_mm: keep one"),
        ("part_number,,maker\nA,1,2\n", 1, "", "column 2 has no name"),
        ("maker\nA\n", 1, "", "the column part_number is missing"),
        ("part_number;maker\nA;B\n", 1, "", "separated by commas here, not by ';'"),
        ("part_number,maker\n,x\n", 2, "part_number", "a blank is not accepted here"),
        ("part_number\n=A1\n", 2, "part_number", "accepted: a letter or digit first"),
        ("part_number\nA\nB\nA\n", 4, "part_number", "stands in row 2 already"),
        ("part_number,currency\nA,euro\n", 2, "currency", "three capital letters"),
        ("part_number,maker\nA," + "x" * 201 + "\n", 2, "maker", "a text of 201 letters"),
        ("part_number,maker\nA,\x1b[31m\n", 2, "maker", "control characters"),
        ("part_number,maker\nA,x,y\n", 2, "", "3 cells, the header has 2 columns"),
        ('part_number,maker\nA,"x\n', 2, "", "the row cannot be read"),
        ("", 1, "", "the file is empty"),
        ("\n\n", 1, "", "the file is empty"),
        ("\nA\n", 1, "", "the first line must name the columns"),
        (b"part_number\nA\nB\0\n", 3, "", "NUL"),
        (b"part_number,maker\nA,x\nB,\xff\n", 3, "", "byte 0xFF is no UTF-8"),
        ("a," * 600 + "b\n", 1, "", "601 columns; at most 500"),
    ],
)
def test_what_is_refused(text: str | bytes, row: int, column: str, told: str) -> None:
    problem = next(p for p in faulted(text) if told in p.message)
    assert (problem.row, problem.column) == (row, column)


def test_no_shock_is_an_error_and_no_kit_is_none() -> None:
    assert "holds no shock" in one("part_number\n", "shocks").message
    assert len(kits("part_number\n")) == 0
    assert list(kits("part_number\n").columns) == list(Kit.model_fields)


def test_choice_keys() -> None:
    problems = faulted("tune_class\nlight\nfirmm\n\nlight\n,", "tune_classes")
    assert [(p.row, p.message.split(";")[-1].strip()) for p in problems] == [
        (3, "nearest: firm"),
        (5, "stands in row 2 already"),
    ]


def test_every_problem_of_a_file_is_told_at_once() -> None:
    problems = faulted(
        "part_number,width_mm,kind,whidth\nA,wide,sleeve,\nB,22,slave,\nA,22,sleeve,\n"
    )
    assert [(p.row, p.column) for p in problems] == [
        (1, "whidth"), (2, "width_mm"), (3, "kind"), (4, "part_number"),
    ]  # fmt: skip


def test_a_ragged_row_does_not_hide_the_rest() -> None:
    problems = faulted('part_number,width_mm\nA,"1\n"\nB,22,9,\nC,wide\nC,22\n')
    assert [(p.row, p.column) for p in problems] == [
        (2, "width_mm"), (4, ""), (5, "width_mm"), (6, "part_number"),
    ]  # fmt: skip


def test_problems_of_a_kind_are_capped_and_counted() -> None:
    text = "part_number,width_mm,bore_mm\n" + "".join(f"P{i},x,8\n" for i in range(80)) + "Q,22,y\n"
    problems = faulted(text)
    assert len(problems) == faults.MOST_OF_A_KIND + 2
    assert problems[-2].column == "bore_mm"
    assert (problems[-1].column, problems[-1].message) == ("width_mm", "and 30 more")


def test_files_that_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def told(path: Path) -> str:
        with pytest.raises(BadInput) as caught:
            read_table(path, "kits")
        return str(caught.value)

    assert told(tmp_path / "none.csv") == f"{tmp_path / 'none.csv'}: no such file"
    assert "no file: a folder or a device" in told(tmp_path)
    assert "no file: a folder or a device" in told(Path("/dev/zero"))
    (tmp_path / "kits.csv").write_text("part_number\n" + "A\n" * 100)
    monkeypatch.setattr("recommender.catalogue.read.LARGEST", 100)
    assert "the file is too large" in told(tmp_path / "kits.csv")


WORDS = st.sampled_from(
    ["22", "8.0", "1e1", "+9.", ".5", "-0", "9999", "0.1 in", "10 to 15", "10..15", "21.8 +/- 0.1",
     "21.8 ± .1 mm", "?", "unknown", "", " ", "nan", "inf", "1e400", "٣٤", "1_0", "12,7", "x"]
)  # fmt: skip
FLOATS = st.floats(0, 150).map(repr) | st.decimals(0, 120, places=3).map(str)
CELLS = {
    "maker": st.text(max_size=12),
    "kind": st.sampled_from(["sleeve", "Bearing Axle", "trunnion bolts", "", "?", "slave"]),
    "width_mm": WORDS | FLOATS,
    "bore_in": WORDS | FLOATS,
    "mass_g": WORDS | FLOATS,
    "pieces": WORDS,
    "currency": st.sampled_from(["", "EUR", "USD", "eur"]),
}


@st.composite
def tables(draw: st.DrawFn) -> list[list[str]]:
    names = draw(st.lists(st.sampled_from(sorted(CELLS)), unique=True))
    count = draw(st.integers(0, 5))
    header = draw(st.permutations(["part_number", *names]))
    return [header] + [
        [f"P{i}" if name == "part_number" else draw(CELLS[name]) for name in header]
        for i in range(count)
    ]


def referee(data: bytes) -> tuple[list[dict[str, object]], set[tuple[int, str]]]:
    """Cell by cell with the csv module and the fields' own parse: values, places of faults."""
    reader = csv.reader(io.StringIO(data.decode("utf-8"), newline=""))
    header = next(reader)
    out, wrong, line = [], set(), reader.line_num + 1
    for cells in reader:
        given = {name: cell.strip() for name, cell in zip(header, cells, strict=False)}
        row: dict[str, object] = {}
        for field, info in Kit.model_fields.items():
            column, unit = ("bore_in", "in") if field == "bore_mm" else (field, None)
            cell, default = given.get(column, ""), UNKNOWN if info.is_required() else info.default
            try:
                if number := numbers(Kit).get(field):
                    row[field] = number.parse(cell, unit) if cell else number.parse(default)
                elif choice := choice_of(info):
                    row[field] = choice.parse(cell or default)
                else:
                    if cell and text_of(info).fault(cell):
                        raise ValueError(cell)
                    row[field] = cell or default
            except ValueError:
                wrong.add((line, column))
        out.append(row)
        line = reader.line_num + 1
    return out, wrong


@settings(max_examples=300, deadline=None)
@given(tables(), st.booleans())
def test_agrees_with_the_csv_module_cell_by_cell(table: list[list[str]], quoted: bool) -> None:
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, quoting=csv.QUOTE_ALL) if quoted else csv.writer(stream)
    writer.writerows(table)
    text = stream.getvalue()
    if "\0" in text:
        return
    expected, wrong = referee(text.encode())
    got, problems = attempt(text.encode(), "kits")
    assert {(p.row, p.column) for p in problems} == wrong
    if got is None:
        return
    assert len(got) == len(expected)
    for name, column in got.columns.items():
        for i, row in enumerate(expected):
            if isinstance(column, NumberColumn):
                cell = row[name]
                told = (column.low[i], column.top[i], column.is_known[i])
                assert told == (cell.low, cell.high, cell.known)  # type: ignore[attr-defined]
            elif isinstance(column, ChoiceColumn):
                assert column.words()[i] == row[name]
            else:
                assert column[i] == row[name]


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(sorted(TABLES)), st.binary(max_size=300))
@example("kits", b"part_number\n" + b'"' * 7)
@example("kits", b"\xef\xbb\xbf")
@example("kits", b"part_number\n" + b"A" * 140_000 + b",\n")
def test_any_bytes_read_or_raise_bad_input(name: str, data: bytes) -> None:
    for content in (data, b"part_number,width_mm,maker\n" + data):
        table, problems = attempt(content, name)
        assert (table is None) == bool(problems)
        assert all(problem.file == name for problem in problems)


@settings(max_examples=300, deadline=None)
@given(st.text('part_number,width_m"\r\n 0123.+-/to;?é', max_size=120))
def test_anything_like_a_table_reads_or_raises_bad_input(text: str) -> None:
    table, problems = attempt(("part_number,width_mm,bore_in\n" + text).encode(), "kits")
    assert (table is None) == bool(problems)
    if table is not None:
        width = table.number("width_mm")
        assert np.all((width.low >= 8) & (width.top <= 110) & (width.low <= width.top))
        assert len(set(table.keys())) == len(table)
