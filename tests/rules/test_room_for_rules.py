"""A set of broken rules holds 64: those that a question calls for have to fit."""

from dataclasses import replace

import pytest

from recommender.certificate.book import Book
from recommender.facts.problems import BadInput
from recommender.facts.wishes import Wishes
from recommender.rules.live import ROOM
from recommender.rules.registry import RULES
from recommender.search.groups import rules_of

MUSTS = {
    "travel_mm": {"must": [100, 160]}, "sag_percent": {"must": [20, 40]},
    "spring_kind": {"must": "air"}, "adjusters": {"must": ["rebound"]}, "tune": {"must": "medium"},
    "lockout": {"must": "firm"}, "remote": {"must": False}, "reserve_mm": {"must": 10},
    "budget": {"must": 900}, "mass_g": {"must": 2000}, "days": {"must": 40},
    "no_workshop": {"must": True},
}  # fmt: skip
EVERY = Wishes.model_validate(MUSTS)
AT_ONCE = 8
"""Wishes that anyone may make musts at once, whatever rules are added."""


def test_there_is_room_for_the_rules_and_for_many_musts() -> None:
    bare = len(rules_of(Wishes()).bits)
    assert bare + AT_ONCE <= ROOM, "no room for another rule: see DEVELOPERS, 'Room is the limit'"


@pytest.mark.parametrize("name", MUSTS)
def test_every_rule_has_its_bit(name: str) -> None:
    found = rules_of(Wishes.model_validate({name: MUSTS[name]}))
    rules = [rule for rule in RULES.values() if rule.wish in ("", name)]
    assert {rule.bit for rule in rules} <= set(found.bits)
    assert len({found.bit(rule) for rule in rules}) == len({rule.bit for rule in rules})


def test_a_rule_too_many_is_told_to_whoever_makes_every_wish_a_must(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    few = Wishes.model_validate({name: MUSTS[name] for name in [*MUSTS][:AT_ONCE]})
    for k in range(ROOM - (len(rules_of(few).bits) + len(MUSTS) - AT_ONCE) + 1):
        name = f"one more {k}"
        monkeypatch.setitem(RULES, name, replace(RULES["length"], name=name, bit=name))
    for asked in (rules_of, lambda wishes: Book(wishes).number):
        with pytest.raises(BadInput, match=r"1 more than there is room for.*travel_mm, .*remote"):
            asked(EVERY)
        fewer = EVERY.model_copy(update={"remote": Wishes().remote})
        assert asked(fewer)
