"""Foreign cells: decimal marks, units, money and words, read without guessing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.catalogue.encodings import decoded
from recommender.catalogue.foreign import plain_digits, read_choice, read_number, split_money
from recommender.catalogue.grid import Spoilt
from recommender.facts.problems import BadInput
from recommender.facts.quantity import Choice, Number
from recommender.files.cells import guarded

MM = Number("mm", 0.0, 400.0)
MONEY = Number("money", 0.0, 100_000.0)
GRAMS = Number("g", 0.0, 5000.0)


@pytest.mark.parametrize(
    ("text", "decimal", "wanted"),
    [
        ("1.234,50", ",", "1234.50"), ("1234,5", ",", "1234.5"), ("1'234,5", ",", "1234.5"),
        ("1 234,5", ",", "1234.5"), ("1.234", ",", "1234"), ("12", ",", "12"),
        ("1,234.50", ".", "1234.50"), ("1234.5", ".", "1234.5"), ("1'234", ".", "1234"),
    ],
)  # fmt: skip
def test_decimal_marks_as_told(text: str, decimal: str, wanted: str) -> None:
    assert plain_digits(text, decimal) == wanted


@pytest.mark.parametrize(
    ("text", "decimal"),
    [("12.7", ","), ("1,2,3", ","), ("12,75", "."), ("1.2.3", "."), ("1,23", ".")],
)
def test_the_other_mark_is_no_guess(text: str, decimal: str) -> None:
    with pytest.raises(ValueError, match="does not follow the decimal"):
        plain_digits(text, decimal)


@given(st.integers(0, 99_999_999), st.integers(0, 99), st.sampled_from([".", " ", "'", ""]))
def test_every_decimal_comma_amount_reads_back(whole: int, cents: int, mark: str) -> None:
    written = f"{whole:,}".replace(",", mark) + f",{cents:02d}"
    assert float(plain_digits(written, ",")) == pytest.approx(whole + cents / 100, abs=1e-9)


@pytest.mark.parametrize(
    ("cell", "unit", "part", "wanted"),
    [
        # 1 in = 25.4 mm, 1 lb = 453.59237 g exactly (NIST SP 811) [C].
        ("7,5 in", "", None, "190.5"), ("7,5", "in", None, "190.5"), ('8,5"', "", None, "215.9"),
        ("210 x 52,5", "", 2, "52.5"), ("8,5 x 2,5 in", "", 1, "215.9"), ("210*50", "", 1, "210"),
        ("22,2 +/- 0,2", "", None, "22.2 +/- 0.2"), ("", "", None, ""), ("?", "", None, ""),
        (190.0, "", None, "190"), (7.5, "in", None, "190.5"),
    ],
)  # fmt: skip
def test_lengths(cell: str | float, unit: str, part: int | None, wanted: str) -> None:
    got = read_number(cell, MM, ",", unit, part)
    assert (got.text, got.fault) == (wanted, "")


def test_a_value_of_another_unit_says_which() -> None:
    got = read_number("0,45", GRAMS, ",", "", None)
    assert got.fault == ""  # 0.45 g lies within the column's bounds: nothing to tell it by
    length = Number("mm", 100.0, 350.0)
    got = read_number("8,5", length, ",", "", None)
    assert "outside" in got.fault
    assert "in in it would be 215.9 mm" in got.fault


@pytest.mark.parametrize(
    ("text", "amount", "code"),
    [
        ("349,00 €", "349,00", "EUR"), ("€ 349", "349", "EUR"), ("CHF 420.-", "420", "CHF"),
        ("349 EUR", "349", "EUR"), ("349,00EUR", "349,00", "EUR"), ("12", "12", ""),
        ("£99", "99", "GBP"), ("349,-", "349", ""),
    ],
)  # fmt: skip
def test_money(text: str, amount: str, code: str) -> None:
    assert split_money(text) == (amount, code)


def test_money_that_may_be_several() -> None:
    for text in ("$ 10", "10 kr", "€ 10 USD"):
        with pytest.raises(ValueError, match="curren"):
            split_money(text)
    assert read_number("1.049,00 €", MONEY, ",", "", None).currency == "EUR"


def test_words_and_spoilt_cells() -> None:
    choice = Choice(("air", "coil"))
    assert read_choice("Steel", choice, {"steel": "coil"}).text == "coil"
    assert "nearest: coil" in read_choice("coill", choice, {}).fault
    assert read_number(Spoilt("=A1", "a formula"), MM, ".", "", None).fault == "a formula"


@given(st.text(max_size=40), st.sampled_from([".", ","]), st.sampled_from([None, 1, 2]))
def test_no_text_brings_a_number_down(text: str, decimal: str, part: int | None) -> None:
    got = read_number(text, MM, decimal, "", part)
    if not got.fault and got.text:
        assert MM.parse(got.text).known


@given(st.text(max_size=30))
def test_guarded_cells_start_no_formula(text: str) -> None:
    got = guarded(text)
    assert got in (text, "'" + text)
    if got.startswith(("=", "+", "-", "@", "\t", "\r")):
        float(got)


@pytest.mark.parametrize(
    ("data", "name"),
    [
        ("Maß".encode(), "utf-8"), ("\ufeffMaß".encode(), "utf-8"),
        ("Maß".encode("cp1252"), "cp1252"),
        ("Maß;a;b".encode("utf-16"), "utf-16"), ("Maß;a;b".encode("utf-16-le"), "utf-16"),
        ("Maß;a;b".encode("utf-16-be"), "utf-16"),
    ],
)  # fmt: skip
def test_encodings_are_found_out(data: bytes, name: str) -> None:
    text, found = decoded(data, "", "f")
    assert (text[:3], found) == ("Maß", name)


def test_bytes_that_are_no_text() -> None:
    for data in (b"a\nb\x81", b"a\0b", b"\xff\xfea"):
        with pytest.raises(BadInput):
            decoded(data, "", "f")


@given(st.binary(max_size=200), st.sampled_from(["", "utf-8", "utf-16", "cp1252"]))
def test_any_bytes_are_text_or_bad_input(data: bytes, encoding: str) -> None:
    try:
        text, _ = decoded(data, encoding, "f")
    except BadInput:
        return
    assert "\0" not in text
