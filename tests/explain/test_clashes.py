"""Wishes that clash over a whole catalogue, against every completion and applied."""

from typing import Any

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from recommender.explain.clashes import clashes
from recommender.explain.corrections import mask_of, wish_mask
from recommender.facts.wishes import Wish
from recommender.search.verdicts import FITS, RULED_OUT
from tests.catalogue import build
from tests.explain.markets import Asked, asked, random_asked, some
from tests.explain.naive import berge, both, smallest


def wish_sets(case: Asked, sure: bool) -> dict[int, set[int]]:
    """Of every shock the sets of completions that break nothing but wishes."""
    market, rules = case.market, case.judged().rules
    wishes = wish_mask(rules)
    return {
        shock: {pair[sure] for pair in both(market, case.wishes, shock) if not pair[sure] & ~wishes}
        for shock in range(len(market.shocks))
    }


@some
@given(random_asked(), st.booleans())
def test_same_as_all_completions(case: Asked, sure: bool) -> None:
    verdicts = case.judged()
    found, sets = clashes(verdicts, sure), wish_sets(case, sure)

    def mask(names: tuple[str, ...]) -> int:
        return mask_of(verdicts.rules, names)

    assert found.met == any(0 in mine for mine in sets.values())
    turned = {shock: mine for shock, mine in sets.items() if 0 not in mine}
    for one in found.give_up:
        let_in = {s for s, mine in turned.items() if any(not m & ~mask(one.wishes) for m in mine)}
        assert set(one.shocks) == let_in
        assert one.gain == len(let_in) > 0
    if found.met:
        assert found.clash == ()
        wanted = {m for mine in turned.values() for m in smallest(mine)}
    else:
        wanted = set(smallest(m for mine in turned.values() for m in mine))
        assert {mask(names) for names in found.clash} == set(berge(sorted(wanted)))
    assert {mask(one.wishes) for one in found.give_up} == wanted


@some
@given(random_asked())
def test_giving_up_lets_in_what_it_says(case: Asked) -> None:
    for sure in (True, False):
        for one in clashes(case.judged(), sure).give_up:
            if "sag" in one.wishes:  # never unset: without a wish a usual band stands
                continue
            state = np.array(without(case, one.wishes).states())
            got_in = np.flatnonzero(state == FITS if sure else state != RULED_OUT)
            assert set(one.shocks) <= set(got_in.tolist())


def without(case: Asked, names: tuple[str, ...]) -> Asked:
    """The question with those wishes unset."""
    fields = {
        "wish: travel": "travel_mm", "wish: spring kind": "spring_kind",
        "wish: adjusters": "adjusters", "wish: tune": "tune", "wish: lockout": "lockout",
        "wish: remote": "remote", "wish: reserve": "reserve_mm", "wish: budget": "budget",
        "wish: mass": "mass_g", "wish: days": "days", "wish: no workshop": "no_workshop",
    }  # fmt: skip
    update: dict[str, Any] = {fields[name]: Wish() for name in names}
    question = type(case.question)(
        case.question.bike, case.question.rider, case.wishes.model_copy(update=update), ""
    )
    return Asked(question, case.catalogue)


def test_two_wishes_that_no_shock_meets_together() -> None:
    """One shock is cheap, the other light: budget and mass clash, either may go."""
    case = asked(
        shocks=[
            build.shock("CHEAP", price=200, mass_g=600), build.shock("LIGHT", price=800, mass_g=300)
        ],
        wishes={"budget": {"must": 500}, "mass_g": {"must": 400}, "days": {"must": 30}},
    )  # fmt: skip
    found = clashes(case.judged(), True)
    assert not found.met
    assert found.clash == (("wish: budget", "wish: mass"),)
    assert [(one.wishes, one.shocks) for one in found.give_up] == [
        (("wish: budget",), (1,)), (("wish: mass",), (0,)),
    ]  # fmt: skip


def test_more_gained_comes_first() -> None:
    case = asked(
        shocks=[
            build.shock("A", price=200, mass_g=600), build.shock("B", price=800, mass_g=300),
            build.shock("C", price=100, mass_g=700),
        ],
        wishes={"budget": {"must": 500}, "mass_g": {"must": 400}},
    )  # fmt: skip
    found = clashes(case.judged(), True)
    assert [(one.wishes, one.gain) for one in found.give_up] == [
        (("wish: mass",), 2), (("wish: budget",), 1),
    ]  # fmt: skip


def test_limits_alone() -> None:
    found = clashes(asked(shocks=[build.shock(length_mm=220)]).judged(), True)
    assert (found.met, found.clash, found.give_up) == (False, ((),), ())


def test_what_giving_up_would_add_where_something_fits() -> None:
    case = asked(
        shocks=[
            build.shock("A"), build.shock("B", price=2000), build.shock("C", length_mm=250),
        ],
        wishes={"budget": {"must": 500}},
    )  # fmt: skip
    found = clashes(case.judged(), True)
    assert found.met
    assert found.clash == ()
    assert [(one.wishes, one.shocks) for one in found.give_up] == [(("wish: budget",), (1,))]
