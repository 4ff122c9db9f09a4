"""A set of broken rules holds 64: those that every wish as a must calls for have to fit."""

from dataclasses import replace

import pytest

from recommender.certificate.book import Book
from recommender.facts.problems import BadInput
from recommender.facts.wishes import Wishes
from recommender.rules.live import ROOM
from recommender.rules.registry import RULES
from recommender.search.groups import rules_of

EVERY = Wishes.model_validate({
    "travel_mm": {"must": [100, 160]}, "sag_percent": {"must": [20, 40]},
    "spring_kind": {"must": "air"}, "adjusters": {"must": ["rebound"]}, "tune": {"must": "medium"},
    "lockout": {"must": "firm"}, "remote": {"must": False}, "reserve_mm": {"must": 10},
    "budget": {"must": 900}, "mass_g": {"must": 2000}, "days": {"must": 40},
    "no_workshop": {"must": True},
})  # fmt: skip


def test_every_rule_has_its_bit_at_once() -> None:
    found = rules_of(EVERY)
    assert {rule.bit for rule in RULES.values()} <= set(found.bits)
    assert len(found.bits) <= ROOM
    assert len({found.bit(rule) for rule in RULES.values()}) == len(
        {rule.bit for rule in RULES.values()}
    )


def test_a_rule_too_many_is_told_to_whoever_makes_every_wish_a_must(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for k in range(ROOM + 1 - len(rules_of(EVERY).bits)):
        name = f"one more {k}"
        monkeypatch.setitem(RULES, name, replace(RULES["length"], name=name, bit=name))
    for asked in (rules_of, lambda wishes: Book(wishes).number):
        with pytest.raises(BadInput, match=r"1 more than there is room for.*travel_mm, .*remote"):
            asked(EVERY)
        fewer = EVERY.model_copy(update={"remote": Wishes().remote})
        assert asked(fewer)
