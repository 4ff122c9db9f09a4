"""A field is told by its title, or else by its own name."""

import pytest

from recommender.answer.names import fact_words, rule_label, unit_of
from recommender.facts.bike import Allows, Bike, Tyre
from recommender.facts.parts import Kit, Shock, Spring
from recommender.facts.rider import Rider

TITLED = [
    (prefix + name, field.title)
    for prefix, model in (
        ("shock_", Shock), ("head_kit_", Kit), ("spring_", Spring), ("bike_", Bike),
        ("bike_allows_", Allows), ("bike_tyre_", Tyre), ("rider_", Rider),
    )
    for name, field in model.model_fields.items() if field.title
]  # fmt: skip


@pytest.mark.parametrize(("fact", "title"), TITLED)
def test_a_title_is_how_the_fact_is_told(fact: str, title: str) -> None:
    assert fact_words(fact) == title


@pytest.mark.parametrize(
    ("fact", "told"),
    [
        ("shock_piston_area_mm2", "the shock's piston area"),
        ("tune_rebound_class", "the tune's rebound class"),
        ("rider_mass_with_kit_kg", "the rider's mass with kit"),
        ("shaft_kit_bore_mm", "the shaft kit's bore"),
        ("bike_leverage", "the leverage curve"),
        ("shock_pressure_max_psi", "the highest pressure the shock may hold"),
        ("bike_allows_coil", "whether the frame maker allows a coil shock"),
        ("bike_room_head_up_mm", "the frame's room at the head third, up side"),
    ],
)
def test_facts_in_words(fact: str, told: str) -> None:
    assert fact_words(fact) == told


def test_units_and_labels() -> None:
    assert (unit_of("shock_piston_area_mm2"), unit_of("sag_mm")) == ("mm2", "mm")
    assert (rule_label("wish: budget"), rule_label("length")) == ("budget wished for", "length")
