"""The table that tells how to find a fact out."""

import re

import pytest

from recommender.answer.measuring import MEASURING, how
from recommender.explain.unknowns import Unknown
from recommender.facts.fields import choice_of, numbers
from recommender.facts.parts import Kit, Shock, Spring
from recommender.rules.registry import RULES, entity, leaves

_NOT_MEASURED = ("sound_", "wish_", "total_")


@pytest.mark.parametrize("fact", sorted(MEASURING))
def test_two_sentences(fact: str) -> None:
    text = MEASURING[fact]
    sentences = re.split(r"(?<=[.])\s+(?=[A-Z])", text)
    assert len(sentences) == 2, f"two sentences are wanted, what to do and what to mind: {text}"
    assert text.endswith(".")
    assert "  " not in text
    assert len(text) < 320


def test_every_fact_of_the_question_that_a_rule_reads() -> None:
    read = {leaf for rule in RULES.values() for name in rule.reads for leaf in leaves(name)}
    own = {leaf for leaf in read if not entity(leaf) and not leaf.startswith(_NOT_MEASURED)}
    assert own - set(MEASURING) == set(), "tell in answer/measuring how one finds it out"


def test_every_column_that_may_be_blank() -> None:
    for model, prefix in ((Shock, "shock_"), (Kit, "kit_"), (Spring, "spring_")):
        loose = set(numbers(model)) | {
            name for name, field in model.model_fields.items() if choice_of(field) is not None
        }
        read = {leaf for rule in RULES.values() for name in rule.reads for leaf in leaves(name)}
        names = {one.replace("head_kit_", "kit_").replace("shaft_kit_", "kit_") for one in read}
        wanted = {
            prefix + name for name in loose if not model.model_fields[name].description
        } & names
        assert wanted - set(MEASURING) == set(), (
            "tell in answer/measuring_parts how one finds it out, or give the field a description"
        )


def test_looked_up_by_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    number = ((0.0, 1.0),)
    assert how(Unknown("question", "bike_head_gap_mm", number)).startswith("Take the shock out")
    assert how(Unknown("shocks", "length_mm", number)) == MEASURING["shock_length_mm"]
    assert how(Unknown("kits", "width_mm", number, 3)) == MEASURING["kit_width_mm"]
    seat = Unknown("shocks", "spring_seat_mm", number)
    monkeypatch.setattr("recommender.answer.measuring.MEASURING", {})
    assert how(seat) == (
        "Look it up in the maker's papers, or ask the maker: diameter of the spring seat; the "
        "spring slides over it."
    )
    assert how(Unknown("tunes", "made", number, 0)) == ""
