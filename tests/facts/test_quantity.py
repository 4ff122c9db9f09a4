"""Numbers as files give them."""

import math
from decimal import Decimal
from typing import Any

import pint
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recommender.facts.fields import numbers
from recommender.facts.nearest import nearest
from recommender.facts.parts import Shock, Spring
from recommender.facts.quantity import Choice, Number, Quantity, dump
from recommender.facts.units import UNITS, split_unit, units_of

MM = Number("mm", 8.0, 110.0)
MONEY = Number("money", 0.0, 1000.0)


@pytest.mark.parametrize(
    ("raw", "expected"),
    [
        (22, Quantity(22, 22)),
        ("22", Quantity(22, 22)),
        (" 2.2e1 ", Quantity(22, 22)),
        ("22 +/- 0.5", Quantity(21.5, 22.5, "measured")),
        ("22±.5", Quantity(21.5, 22.5, "measured")),
        ("22 +- 0", Quantity(22, 22)),
        ("8 +/- 1", Quantity(8, 9, "measured")),
        ({"value": 22, "tolerance": 0.5}, Quantity(21.5, 22.5, "measured")),
        ("10 to 15", Quantity(10, 15, "range")),
        ("10..15", Quantity(10, 15, "range")),
        ({"from": 10, "to": 15}, Quantity(10, 15, "range")),
        ({"low": 10, "high": 15, "kind": "measured"}, Quantity(10, 15, "measured")),
        ("1 in", Quantity(25.4, 25.4)),
        ('1"', Quantity(25.4, 25.4)),
        ("2.2 cm", Quantity(22, 22)),
        ("", Quantity(8, 110, "unknown")),
        ("Unknown", Quantity(8, 110, "unknown")),
        ("?", Quantity(8, 110, "unknown")),
        (None, Quantity(8, 110, "unknown")),
    ],
)
def test_what_is_accepted(raw: object, expected: Quantity) -> None:
    got = MM.parse(raw)
    assert [got.low, got.high] == pytest.approx([expected.low, expected.high], rel=1e-15)
    assert got.kind == expected.kind


@pytest.mark.parametrize(
    "raw",
    [
        True, False, math.nan, math.inf, -math.inf, 10**400, -5, 7.999, 111, "1e400", "-22", "22,5",
        "22 +/- -1", "15 to 10", "22 kg", "22 furlong", "abc", "nan", "2" * 100, [], [22], {},
        {"value": 22}, {"value": True, "tolerance": 1}, {"value": "22", "tolerance": 1},
        {"from": 10, "to": math.nan}, {"from": 0, "to": 10**400}, {"value": 22, "tolerance": -1},
        {"low": 10, "high": 15, "kind": "exact"}, {"low": 1, "high": 2, "kind": "unknown"},
        {"from": 10, "to": 15, "x": 1}, object(), "5 +/- 1",
    ],
)  # fmt: skip
def test_what_is_refused(raw: object) -> None:
    with pytest.raises(ValueError, match=r".") as caught:
        MM.parse(raw)
    assert type(caught.value) is ValueError
    assert len(str(caught.value)) < 300


def test_numbers_without_a_unit_convert_from_none() -> None:
    assert MONEY.parse("12.5") == Quantity(12.5, 12.5)
    with pytest.raises(ValueError, match="a plain number is wanted, not one in mm"):
        MONEY.parse("12 mm")
    with pytest.raises(ValueError, match="no unit is wanted, got 'euro'; accepted: a plain number"):
        MONEY.parse("12 euro")
    with pytest.raises(ValueError, match=r"^-1 is outside what is accepted: 0 to 1000$"):
        MONEY.parse(-1)


def test_names_in_another_unit() -> None:
    shock, spring = numbers(Shock), numbers(Spring)
    assert split_unit("length_in", shock) == ("length_mm", "in")
    assert split_unit("pressure_max_bar", shock) == ("pressure_max_psi", "bar")
    assert split_unit("mass_lb", shock) == ("mass_g", "lb")
    assert split_unit("rate_lbf_per_in", spring) == ("rate_n_per_mm", "lbf_per_in")
    assert split_unit("rate_n_per_m", spring) == ("rate_n_per_mm", "n_per_m")
    for name in ("length_mm", "length_kg", "length_furlong", "price_mm", "stock_g", "length", "in"):
        assert split_unit(name, shock) is None


@settings(deadline=None)
@given(st.sampled_from(sorted(numbers(Shock))), st.data())
def test_every_numeric_field_takes_every_unit_of_its_kind(name: str, data: st.DataObject) -> None:
    """Against pint [D]: a bound in another unit parses to the bound in the field's own."""
    number = numbers(Shock)[name]
    if number.unit not in UNITS:
        for unit in UNITS:
            assert split_unit(f"{name}_{unit}", numbers(Shock)) is None
        return
    unit = data.draw(st.sampled_from(units_of(UNITS[number.unit][0])))
    written = name.removesuffix(number.unit) + unit
    assert split_unit(written, numbers(Shock)) == (None if unit == number.unit else (name, unit))
    middle = (number.low + number.high) / 2
    given_value = PINT_REGISTRY.Quantity(middle, PINT[number.unit]).to(PINT[unit]).magnitude
    assert number.parse(given_value, unit).low == pytest.approx(middle, rel=1e-12)


PINT_REGISTRY: Any = pint.UnitRegistry()
PINT = {
    "mm": "mm", "cm": "cm", "m": "m", "in": "inch", "kg": "kg", "g": "g", "lb": "pound",
    "oz": "ounce", "pa": "Pa", "kpa": "kPa", "bar": "bar", "psi": "psi", "n_s_per_m": "N*s/m",
    "mm2": "mm**2", "m2": "m**2", "cm3": "cm**3", "m3": "m**3", "days": "day", "s": "second",
}  # fmt: skip


@given(st.floats(8, 110), st.floats(0, 1e3))
@example(8.0, 120.22013425260816)
def test_dump_and_parse_return_the_same(value: float, tolerance: float) -> None:
    raws: list[Any] = [
        value,
        {"value": value, "tolerance": tolerance},
        {"from": 8, "to": value},
        "",
    ]
    for raw in raws:
        quantity = MM.parse(raw)
        assert MM.parse(dump(quantity)) == quantity
        assert MM.low <= quantity.low <= quantity.high <= MM.high


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-200, max_value=200))
def test_a_plain_number_is_within_bounds_or_an_error(value: Decimal) -> None:
    try:
        quantity = MM.parse(str(value))
    except ValueError:
        assert not 8 <= float(value) <= 110
    else:
        assert quantity == Quantity(float(value), float(value))


@given(st.text(max_size=90) | st.text("0123456789.+-/to± einm", max_size=30))
def test_any_text_is_within_bounds_or_an_error(text: str) -> None:
    try:
        quantity = MM.parse(text)
    except ValueError as error:
        assert type(error) is ValueError  # noqa: PT017
    else:
        assert MM.low <= quantity.low <= quantity.high <= MM.high


def test_choices() -> None:
    choice = Choice(("no", "yes"))
    assert [choice.parse(raw) for raw in (True, False, " Yes", "", "?", None)] == [
        "yes", "no", "yes", None, None, None,
    ]  # fmt: skip
    refused: list[Any] = ["ja", 1, 2.5, [], {}, "y" * 5000]
    for raw in refused:
        with pytest.raises(ValueError, match="accepted: no, yes") as caught:
            choice.parse(raw)
        assert len(str(caught.value)) < 200


def test_the_nearest_differs_in_case_spaces_and_hyphens_alone_if_any_does() -> None:
    known = ("VS-210x52.5", "UV-210x52.5")
    for text in ("uv-210x52.5", "UV 210X52.5", "uv210x52.5"):
        assert nearest(text, known) == "; nearest: UV-210x52.5"
