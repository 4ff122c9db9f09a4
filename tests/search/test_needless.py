"""Twins of kits and services that are left out beforehand change no verdict."""

from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

import recommender.search.judging as judging
from recommender.explain.accounts import account_of
from recommender.facts.tables import TABLES
from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.needless import without_needless
from recommender.search.verdicts import Verdicts
from tests.catalogue import build
from tests.search import tables
from tests.search.examples import examples
from tests.search.random_market import Case, cases
from tests.search.test_pinned import BIKE, RIDER, usual

CHANGES: dict[str, list[Any]] = {
    "price": [0, 5, 60, "10 to 80"], "mass_g": [10, 200], "stock": [0, 1, 9],
    "supplier": ["Barn Lane Parts", "Quay Spares"],
}  # fmt: skip


@st.composite
def twins(draw: st.DrawFn) -> Case:
    """A random market with copies of its kits and services that differ in what an order reads."""
    case = draw(cases(loose=3))
    made = dict(case.tables)
    for table in ("kits", "services"):
        key, rows = TABLES[table][1], list(case.tables[table])
        for row in case.tables[table]:
            for n in range(draw(st.integers(0, 2))):
                changed = {name: draw(st.sampled_from(some)) for name, some in CHANGES.items()
                           if name in row and draw(st.booleans())}  # fmt: skip
                rows.append({**row, **changed, key: f"{row[key]}-{n}"})
        made[table] = rows
    return replace(case, tables=made)


def told(verdicts: Verdicts) -> list[Any]:
    accounts = [account_of(verdicts, shock) for shock in range(len(verdicts.state))]
    return [verdicts.state.tolist(), verdicts.broken.tolist(), verdicts.doubtful.tolist(),
            [(one.certain, one.possible) for one in accounts]]  # fmt: skip


@given(twins())
@examples(40)
def test_verdicts_are_those_of_the_whole_market(case: Case) -> None:
    question, catalogue = case.open()
    market = open_market(question, catalogue)
    few = told(judge(market, question.wishes))
    leave, judging.without_needless = judging.without_needless, lambda market, _: market
    try:
        every = told(judge(market, question.wishes))
    finally:
        judging.without_needless = leave
    assert few == every


def left(kits: list[dict[str, Any]], services: Any = ()) -> set[str]:
    """Those of the kits and services that stay."""
    asked = tables.question(BIKE, RIDER, {})
    market = open_market(asked, usual(kits=kits, services=list(services)))
    few = without_needless(market, asked.wishes)
    told = {few.tunes.labels[row] for rows in few.services_of.values() for row in rows.tolist()}
    return told | (set(few.kits.labels) & {one["part_number"] for one in kits})


def test_of_twins_the_cheapest_and_the_lightest_stay() -> None:
    """A twin that an order reads stays too: K-FEW is one piece, and L is half of a pair."""
    kits = [
        build.kit("K", price=20, mass_g=30), build.kit("K-DEAR", price=25, mass_g=30),
        build.kit("K-LIGHT", price=25, mass_g=20), build.kit("K-FEW", price=30, stock=1),
        build.kit("L", price=40, pairs_with="L"), build.kit("M", price=50, width_mm=30),
    ]  # fmt: skip
    services = [build.service("CHEAP", price=50), build.service("DEAR", price=90)]
    assert left(kits, services) == {"K", "K-LIGHT", "K-FEW", "L", "M", "CHEAP"}


def test_both_ends_of_a_sum_count() -> None:
    kits = [build.kit("K", price="20 to 30", mass_g="20 to 30"),
            build.kit("SURE", price=25, mass_g="20 to 30"),
            build.kit("EVEN", price="20 to 30", mass_g=25),
            build.kit("MORE", price="20 to 31", mass_g="20 to 30"),
            build.kit("MASS", price="20 to 30", mass_g="20 to 31")]  # fmt: skip
    assert left(kits) == {"K", "SURE", "EVEN"}


def test_what_fills_an_order_up_stays() -> None:
    suppliers = [{"supplier": "Barn Lane Parts", "order_minimum": 60, "currency": "EUR"}]
    services = [build.service("CHEAP", price=50), build.service("DEAR", price=90)]
    asked = tables.question(BIKE, RIDER, {})
    market = open_market(asked, usual(suppliers=suppliers, services=services))
    assert sum(map(len, without_needless(market, asked.wishes).services_of.values())) == 2
