"""Least changes in words: what is left to measure after one that is not sure."""

from dataclasses import replace
from typing import Any

import pytest

from recommender.answer.answer import Case
from recommender.answer.explained import explained, left_text
from recommender.explain.corrections import Correction
from recommender.facts.wishes import Wishes
from tests.cli.run import demo_case

LENGTH, BOTH = ("length",), ("order minimum", "wish: travel")


@pytest.mark.parametrize(
    ("left", "told"),
    [
        ((LENGTH,), "; even then it hinges on length"),
        ((BOTH,), "; even then it hinges on order minimum and travel wished for"),
        ((LENGTH, BOTH),
         "; even then it hinges on length, or on order minimum and travel wished for"),
        ((LENGTH, BOTH, ("stroke ceiling",)),
         "; even then it hinges on length, or on order minimum and travel wished for"),
        ((), "; even then it can't be said for sure"),
    ],
)  # fmt: skip
def test_what_is_left_to_measure(left: tuple[tuple[str, ...], ...], told: str) -> None:
    assert left_text(Correction(("wish: budget",), "rider", False, left)) == told


def test_an_unsure_change_of_the_demo_says_what_it_hinges_on() -> None:
    """The only one there that shop or rider can make: whether the shock may lie end for end."""
    case = demo_case()
    found = explained(case, case.turned_of("UV-210x52.5")).corrections
    unsure = [one.text for one in found if not one.sure and one.who != "nobody"]
    assert len(unsure) == 1
    assert unsure[0].endswith("; even then it hinges on end for end")
    assert not any("even then" in one.text for one in found if one.sure)


MUSTS = [
    {"adjusters": {"must": ["rebound", "lockout"]}},
    {"adjusters": {"must": ["high-speed compression"]}, "budget": {"must": 300}},
    {"spring_kind": {"must": "coil"}},
    {"remote": {"must": False}},
    {"remote": {"must": True}, "mass_g": {"must": 300}},
    {"no_workshop": {"must": True}},
    {"days": {"must": 2}},
    {"travel_mm": {"must": [128, 129]}, "reserve_mm": {"must": 500}},
]


@pytest.mark.parametrize("musts", MUSTS, ids=str)
def test_every_kind_of_wish_as_a_must_is_explained(musts: dict[str, Any]) -> None:
    """On every shock of the demo that it turns down, whatever else it lacks."""
    case = demo_case()
    wishes = Wishes.model_validate(case.question.wishes.model_dump(exclude=set(musts)) | musts)
    asked = Case(replace(case.question, wishes=wishes), case.catalogue)
    turned = [key for key in asked.keys if asked.state(asked.row(key)) == "ruled out"]
    told = [explained(asked, asked.turned_of(key)) for key in turned[::25]]
    assert told
    assert all(one.corrections for one in told)
