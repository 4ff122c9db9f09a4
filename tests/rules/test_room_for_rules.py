"""A set of broken rules holds 64: those that every wish as a must calls for have to fit."""

from recommender.facts.wishes import Wishes
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
    assert len(found.bits) <= 64
    assert len({found.bit(rule) for rule in RULES.values()}) == len(
        {rule.bit for rule in RULES.values()}
    )
