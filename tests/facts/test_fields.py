"""What a model says of its fields."""

import pytest

from recommender.facts.bike import Bike, Mount
from recommender.facts.fields import (
    Text,
    choice_of,
    field_of,
    numbers,
    text_of,
    unknown_field,
)
from recommender.facts.parts import Shock
from recommender.facts.quantity import Quantity
from recommender.facts.rider import Rider
from recommender.facts.tables import TABLES


def test_every_field_of_every_table_is_number_choice_or_text() -> None:
    for model, key in TABLES.values():
        assert key in model.model_fields
        for name, info in model.model_fields.items():
            is_number = name in numbers(model)
            assert is_number == (info.annotation is Quantity)
            assert not (is_number and choice_of(info))
            if not is_number and choice_of(info) is None:
                assert info.annotation is str


def test_text_bounds_come_from_the_field() -> None:
    assert text_of(Shock.model_fields["maker"]) == Text(0, 200, None)
    assert text_of(Shock.model_fields["stroke_settings_mm"]).most == 120
    assert text_of(Shock.model_fields["part_number"]).least == 1
    assert text_of(Shock.model_fields["currency"]).pattern == "^[A-Z]{3}$"


@pytest.mark.parametrize(
    ("field", "text", "told"),
    [
        ("part_number", "A-1 b/2", None),
        ("part_number", "A\n", "a letter or digit first"),
        ("part_number", "", "a blank is not accepted"),
        ("part_number", "A" * 81, "a text of 81 letters"),
        ("currency", "EUR\n", "a currency code"),
        ("maker", "Ash & Elm\tétude", None),
        ("maker", "a\x07", "control characters"),
    ],
)
def test_texts(field: str, text: str, told: str | None) -> None:
    fault = text_of(Shock.model_fields[field]).fault(text)
    assert fault is None if told is None else told in (fault or "")


def test_names() -> None:
    assert field_of("gap_mm", Mount) == ("gap_mm", None)
    assert field_of("gap_in", Mount) == ("gap_mm", "in")
    assert field_of("gap_kg", Mount) is None
    assert unknown_field("gap_kg", Mount) == "unknown unit; accepted: gap_mm, gap_cm, gap_m, gap_in"
    assert unknown_field("bolts_mm", Mount) == "no such field; nearest: bolt_mm"
    assert unknown_field("x" * 500, Bike) == "no such field"


def test_the_nearest_name_has_the_unit_that_was_typed() -> None:
    assert unknown_field("mas_with_kit_lb", Rider).endswith("nearest: mass_with_kit_lb")
    assert unknown_field("mas_with_kit_kg", Rider).endswith("nearest: mass_with_kit_kg")
