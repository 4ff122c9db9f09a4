"""The changes year by year, the orders of each year, and the workbook of both."""

import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from types import SimpleNamespace
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.answer.cautions import USUAL
from recommender.facts.problems import BadInput
from recommender.fleet.orders import orders, orders_by_year
from recommender.fleet.rollout import rollout, rollout_record
from recommender.fleet.rollout_records import (
    OrderLineRecord,
    OrderRecord,
    RolloutRecord,
    YearRecord,
)
from recommender.fleet.task import Limits, Part
from recommender.output.order_list import order_workbook
from tests.fleet.demo import demo_fleet


def test_rollout_keeps_the_budget_and_the_urgency() -> None:
    made = demo_fleet().changes
    years, whole = rollout(made, 1500.0)
    assert all(year.cost <= 1500.0 for year in years)
    for year in years:
        assert list(year.changes) == sorted(year.changes, key=lambda one: one.urgency)
    flat = [one for year in years for one in year.changes]
    assert flat[0].row.facts.condition == "broken"
    assert whole == pytest.approx(sum(year.cost for year in years))
    assert {one.bike for one in flat} == {one.bike for one in made if one.needed}
    with pytest.raises(BadInput, match="alone costs"):
        rollout(made, 50.0)


def costing(costs: Sequence[float]) -> list[Any]:
    """Changes that cost so much, the most urgent first."""
    return [
        SimpleNamespace(bike=f"b{k}", cost=cost, needed=True, urgency=k)
        for k, cost in enumerate(costs)
    ]


def by_year(costs: Sequence[float], yearly: float) -> list[list[str]]:
    return [[one.bike for one in year.changes] for year in rollout(costing(costs), yearly)[0]]


def test_a_year_takes_later_bikes_that_still_fit_it() -> None:
    """A year that ended at the first bike that does not fit it would take three."""
    made = by_year([601, 601, 278.5, 278.5, 278.5, 38.5], 1200)
    assert made == [["b0", "b2", "b3", "b5"], ["b1", "b4"]]


@given(st.lists(st.integers(1, 9), min_size=1, max_size=6), st.integers(9, 14))
def test_no_spread_lets_a_more_urgent_bike_wait_less(costs: list[int], yearly: int) -> None:
    """Every spread of so few bikes is tried: the years, read by urgency, are the least."""
    made = by_year(costs, yearly)
    got = tuple(next(k for k, one in enumerate(made) if f"b{n}" in one) for n in range(len(costs)))
    every = product(range(len(costs)), repeat=len(costs))
    able = (
        years for years in every
        if all(
            sum(c for c, y in zip(costs, years, strict=True) if y == k) <= yearly
            for k in set(years)
        )
    )  # fmt: skip
    assert got == min(able)


def test_each_year_has_its_order_and_they_add_up() -> None:
    """By hand: pieces and cost of every part, over the years, are those of the whole order; each
    year's are those of its own bikes."""
    fleet = replace(demo_fleet(), limits=Limits(on_hand={"VS-210x50": 3, "DR-N-8x30": 5}))
    record = rollout_record(fleet, 3000.0)
    assert len(record.years) > 2
    for what in ("pieces", "on_hand", "cost"):
        summed, whole = Counter[str](), Counter[str]()
        for order in (order for year in record.years for order in year.orders):
            summed.update({line.part: getattr(line, what) for line in order.lines})
        for order in record.orders:
            whole.update({line.part: getattr(line, what) for line in order.lines})
        assert summed == pytest.approx(whole)
    for year in record.years:
        needed = Counter(part for one in year.changes for part in one.parts)
        got = {line.part for order in year.orders for line in order.lines}
        assert got == set(needed)
    first = {line.part: line for order in record.years[0].orders for line in order.lines}
    used = first["VS-210x50"]
    assert (used.on_hand, used.pieces) == (2, 0)  # what lies on hand is used first
    assert sum(one.cost for one in record.orders) == pytest.approx(
        sum(order.cost for year in record.years for order in year.orders)
    )


def test_parts_of_a_cent_get_lost_in_no_year() -> None:
    """One in each of three years at 1.005: rounded each for itself they came to a cent more or less
    than the three together."""
    one = SimpleNamespace(parts=(Part("k", 1, 1.005, "x"),))
    plan: Any = SimpleNamespace(from_hand=(), parts=lambda: one.parts, pieces=lambda: {"k": 3})
    (whole,) = orders(plan, {})
    years: Any = [[one]] * 3
    made = [order.cost for (order,) in orders_by_year(plan, years, {})]
    assert sum(made) == pytest.approx(whole.cost)
    assert all(abs(cost - 1.005) < 0.01 for cost in made)


def test_each_year_s_order_is_held_against_the_minimum() -> None:
    """227, 172 and 74 EUR go to Kettlebarrow: all the 473 are enough, the last two years are not.
    """
    fleet = replace(demo_fleet())
    least = {"Kettlebarrow Parts": 200.0}
    vars(fleet)["market"] = replace(demo_fleet().market, order_minimum=least)
    told = [one for one in rollout_record(fleet, 3000.0).cautions if "minimum" in one]
    assert told == [
        "year 2: the order from Kettlebarrow Parts comes to 172 EUR, 28 EUR below its minimum of "
        "200: add spares or some of a later year's parts to it",
        "year 3: the order from Kettlebarrow Parts comes to 74 EUR, 126 EUR below its minimum of "
        "200: add spares to it",
    ]
    assert not [one for one in rollout_record(fleet, None).cautions if "minimum" in one]


def test_order_below_the_minimum_is_told() -> None:
    fleet = demo_fleet()
    listed = orders(fleet.plan, {"Kettlebarrow Parts": 1e4})
    short = {one.supplier: one.short for one in listed}
    assert short["Kettlebarrow Parts"] == pytest.approx(
        1e4 - next(one.cost for one in listed if one.supplier == "Kettlebarrow Parts")
    )


def test_workbook_cells_are_guarded_and_numbers_stay_numbers() -> None:
    hostile = ("=1+1", "+A1", "-A1", "@x", "\tx", "\rx")
    order = OrderRecord(
        supplier="=cmd", cost=1.0, short=0.0,
        lines=tuple(
            OrderLineRecord(part=text, pieces=2, on_hand=0, price=3.5, cost=7.0, stock=None)
            for text in hostile
        ),
    )  # fmt: skip
    made = RolloutRecord(
        currency="EUR", cost=1.0, yearly_budget=None, orders=(order,), unchanged=(), cautions=(),
        years=(YearRecord(year=1, cost=1.0, changes=(), orders=(order,)),),
    )  # fmt: skip
    book = openpyxl.load_workbook(io.BytesIO(order_workbook(made)))
    rows = list(book["orders"].iter_rows(min_row=2))
    assert len(rows) == len(hostile)
    for row in rows:
        assert all(cell.data_type != "f" for cell in row)
        assert str(row[1].value).startswith("'=")
        assert str(row[2].value).startswith("'")
        assert (row[3].value, row[5].value) == (2, 3.5)


def test_order_list_holds_what_the_plan_needs() -> None:
    record = rollout_record(demo_fleet(), 3000.0)
    book = openpyxl.load_workbook(io.BytesIO(order_workbook(record)))
    pieces, years = Counter[str](), set()
    for row in book["orders"].iter_rows(min_row=2, values_only=True):
        years.add(row[0])
        pieces[str(row[2])] += int(str(row[3]))
    assert pieces == demo_fleet().plan.pieces()
    assert years == {1, 2, 3}
    cautions = [row[0] for row in book["cautions"].iter_rows(min_row=2, values_only=True)]
    assert set(USUAL) < set(cautions)
    records = list(book["change records"].iter_rows(min_row=2, values_only=True))
    assert len(records) == sum(len(year.changes) for year in record.years)


def test_what_the_spread_claims_of_fewer_years() -> None:
    """7,896 EUR at 3,000 a year want three years and take three; at 1,000 they want eight and take
    nine, at 600 fourteen and seventeen."""
    for yearly in (600.0, 1000.0, 1500.0, 3000.0):
        record = rollout_record(demo_fleet(), yearly)
        least = -(-sum(year.cost for year in record.years) // yearly)
        sure = len(record.years) == least
        assert ("Fewer years would not have money enough" in record.spread) is sure
        assert (f"no fewer than {least:g}" in record.spread) is not sure
    assert rollout_record(demo_fleet(), None).spread == ""
    assert rollout_record(demo_fleet(), 8000.0).spread == ""
