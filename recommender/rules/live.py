"""The rules that hold for a question, and the room there is for them in a set of broken rules."""

from collections.abc import Sequence
from typing import Any

from recommender.facts import words
from recommender.facts.problems import BadInput, Problem
from recommender.facts.wishes import Wishes
from recommender.rules.registry import RULES, Rule

ROOM = 64
"""Rules that a set of broken ones, a machine word, has bits for."""


def live(wishes: Wishes) -> tuple[Rule, ...]:
    """All rules but those of wishes that are no musts."""
    return tuple(rule for rule in RULES.values() if not rule.wish or is_must(rule.wish, wishes))


def is_must(name: str, wishes: Wishes) -> bool:
    """Whether the wish of that field is stated as a must, and so is a rule."""
    must: Any = getattr(wishes, name).must
    if name == "tune":
        return must in words.CLASSES
    return (must is not None and must is not False) or (name == "remote" and must is not None)


def bits_of(wishes: Wishes, joint: Sequence[str]) -> tuple[str, ...]:
    """The bits of the live rules and of the joint ones, in order. Raises BadInput, naming the
    musts of which one has to go, where there is no room for all."""
    bits = tuple(dict.fromkeys([*(rule.bit for rule in live(wishes)), *joint]))
    if len(bits) > ROOM:
        musts = list(dict.fromkeys(rule.wish for rule in live(wishes) if rule.wish))
        message = (
            f"{len(bits)} rules are to be held at once, {len(bits) - ROOM} more than there is room "
            f"for; make a preference ('prefer') of as many of these musts: {', '.join(musts)}"
        )
        raise BadInput([Problem("the question", message, column="wishes")])
    return bits
