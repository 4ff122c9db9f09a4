"""The order of a real question: stable, monotone, and free of irrelevant candidates."""

from functools import cache
from pathlib import Path

import numpy as np

from recommender.answer.answer import Case
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import Question, read_question
from recommender.ranking.order import Ranked, ranked
from recommender.ranking.stability import stability
from recommender.ranking.variety import variety
from recommender.ranking.weights import weighed

ROOT = Path(__file__).parent.parent.parent


@cache
def case(*weights: tuple[str, float]) -> Case:
    catalogue = read_catalogue(ROOT / "catalogs")
    files = [ROOT / "demo" / f"{name}.toml" for name in ("bike", "rider", "wishes")]
    asked = read_question(files, catalogue.frames)
    wishes = weighed(asked.wishes, dict(weights))
    return Case(Question(asked.bike, asked.rider, wishes, asked.digest), catalogue)


def shock_of(one: Ranked) -> str:
    return one.bundle.whole.market.shocks.keys()[one.bundle.whole.shock]


def best(one: Case) -> list[Ranked]:
    return [found[0] for found in one.order]


def test_first_places_in_figures_are_the_bundles_first() -> None:
    for first, bundles in zip(case().order.firsts, case().order, strict=True):
        best = bundles[0]
        assert first.name == shock_of(best)
        assert (first.sure, first.points, first.price, first.mass, first.values) == (
            best.bundle.sure, best.points, best.price, best.mass, best.values
        )  # fmt: skip
        dear = min(bundles, key=lambda one: (one.price, one.key))
        assert first.cheapest == (dear.price, -dear.points, dear.mass)
        assert first.bundles == len(bundles)


def test_an_irrelevant_candidate_never_changes_the_order_of_two_others() -> None:
    whole = [shock_of(one) for one in best(case())]
    some = np.array([case().row(name) for name in whole[::2]])
    fewer = ranked(case().market, case().question.wishes, case().verdicts, np.sort(some))
    assert [shock_of(found[0]) for found in fewer] == whole[::2]


def test_better_on_one_and_equal_elsewhere_never_ranks_lower() -> None:
    every = [one for found in case().order for one in found]
    for a in every[:60]:
        for b in every:
            if a.bundle.sure == b.bundle.sure and _covers(a, b):
                assert a.points >= b.points


def _covers(a: Ranked, b: Ranked) -> bool:
    return all(x >= y for x, y in zip(a.values, b.values, strict=True)) and a.values != b.values


def test_first_place_stands_inside_the_interval_and_falls_outside() -> None:
    every = [one for found in case().order for one in found]
    stands = {one.criterion: one for one in stability(case().order)}
    price = stands["price"]
    assert price.low <= price.weight <= price.high
    inside = case(("price", round(price.high * 0.99, 3)))
    outside = case(("price", round(price.high * 1.01, 3)))
    assert shock_of(best(inside)[0]) == shock_of(every[0])
    assert shock_of(best(outside)[0]) == price.above


def test_variety_names_each_shock_once() -> None:
    found = variety(case().order)
    names = [shock_of(one) for _, one in found]
    assert len(set(names)) == len(names)
    assert found[0][0] == "the best"


def test_currency_changes_nothing_but_the_amounts() -> None:
    here = case()
    wishes = here.question.wishes
    rate = 2.0
    doubled = wishes.model_copy(
        update={
            "currency": "XTS",
            "rates": {"EUR": rate},
            "budget": wishes.budget.model_copy(
                update={"must": wishes.budget.must * rate, "prefer": wishes.budget.prefer * rate}
            ),
        }
    )  # fmt: skip
    asked = Question(here.question.bike, here.question.rider, doubled, "")
    other = Case(asked, here.catalogue)
    assert [shock_of(one) for one in best(other)] == [shock_of(one) for one in best(here)]
    for a, b in zip(best(here), best(other), strict=True):
        assert abs(a.points - b.points) < 1e-4
