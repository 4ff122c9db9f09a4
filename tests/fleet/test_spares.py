"""Spares against textbook examples and a library's own values."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.facts.problems import BadInput
from recommender.fleet.spare_parts import spares_record, unpriced
from recommender.fleet.spares import (
    Policy,
    Use,
    backorders,
    base_stock,
    levels,
    means,
    spares,
)
from tests.fleet.demo import demo_fleet


def test_base_stock_of_hopp_and_spearman() -> None:
    """Factory Physics, 2.4.2 [B]: mean 10, holding 15, backorder 25 give 11; G(14) = 0.916542."""
    assert base_stock(10.0, 25 / (25 + 15)) == 11
    assert math.fsum(math.exp(-10) * 10**k / math.factorial(k) for k in range(15)) == pytest.approx(
        0.916542, abs=5e-7
    )
    assert base_stock(10.0, 0.9165) == 14
    assert base_stock(10.0, 0.9166) == 15


@pytest.mark.parametrize(
    ("stock", "waiting"), [(1, 0.367879), (2, 0.103638), (3, 0.023337), (4, 0.004349)]
)
def test_expected_backorders(stock: int, waiting: float) -> None:
    """Mean 1, closed form of the Poisson loss function [D]."""
    assert backorders(1.0, stock) == pytest.approx(waiting, abs=5e-7)


@pytest.mark.parametrize(
    ("mean", "plain", "fill"), [(0.5, 2, 3), (1.0, 3, 4), (2.0, 5, 6), (5.0, 9, 10)]
)
def test_both_measures_at_95_per_cent(mean: float, plain: int, fill: int) -> None:
    """[D] A fill rate takes one unit more than no stock-out."""
    assert base_stock(mean, 0.95) == plain
    assert base_stock(mean, 0.95, "fill") == fill


@given(st.floats(0.001, 60.0), st.floats(0.01, 0.999))
def test_base_stock_is_the_least_that_reaches_the_level(mean: float, level: float) -> None:
    stock = base_stock(mean, level)

    def reached(most: int) -> float:
        terms = (
            math.exp(-mean + k * math.log(mean) - math.lgamma(k + 1)) for k in range(most + 1)
        )
        return math.fsum(terms)

    assert reached(stock) >= level - 1e-12
    assert stock == 0 or reached(stock - 1) < level + 1e-12


def test_demand_is_failures_over_the_lead_and_services_over_the_turnaround() -> None:
    """40 bikes of 365 h a year: 40 h a day. By hand [D]."""
    use = Use("A", "shock", 40, 40 * 365.0, 100.0, 14.0)
    policy = Policy(
        hours_between_failures=1000.0, hours_between_services=100.0, turnaround_days=7.0
    )
    assert means(use, policy) == pytest.approx((0.56, 2.8))
    found = spares([use], policy)[0]
    assert found.stock == base_stock(3.36, 0.95)
    assert found.pool_only == base_stock(2.8, 0.95)


@given(st.lists(st.floats(0.05, 5.0), min_size=2, max_size=6), st.sampled_from((0.9, 0.95, 0.99)))
def test_pooling_whole_demand_at_high_service_needs_no_more_beyond_one(
    demands: list[float], level: float
) -> None:
    """Parts put together need at most the sum of their stocks: the sum of independent demands that
    each stay within their stock stays within the sum; but the pooled level must hold jointly, so
    the bound is against stocks that reach the level together."""
    together = level ** (1 / len(demands))
    assert base_stock(sum(demands), level) <= sum(base_stock(d, together) for d in demands)


def test_each_level_costs_no_less_than_the_one_below() -> None:
    some = [Use("A", "shock", 9, 3000.0, 300.0, 12.0), Use("K", "kit", 9, 3000.0, 20.0, 5.0)]
    found = levels(some, Policy())
    assert all(b.cost >= a.cost and b.units >= a.units for a, b in pairwise(found))
    assert found[-1].cost - found[0].cost == pytest.approx(sum(one.more for one in found))


def test_policies_out_of_bounds_are_refused() -> None:
    with pytest.raises(BadInput):
        Policy(level=1.0)
    with pytest.raises(BadInput):
        Policy(hours_between_failures=0.0, turnaround_days=float("inf"))


@pytest.mark.parametrize(
    ("option", "bound", "taken"),
    [
        ("level", 0.0, False), ("level", 1.0, False), ("hours_between_failures", 0.0, False),
        ("hours_between_services", 0.0, False), ("hours_between_kits", 0.0, False),
        ("hours_between_kits", math.inf, False), ("turnaround_days", math.inf, False),
        ("lead_days", math.inf, False), ("turnaround_days", 0.0, True), ("lead_days", 0.0, True),
    ],
)  # fmt: skip
def test_bounds_of_a_policy(option: str, bound: float, taken: bool) -> None:
    """What lies on the bound, and beside it on the side that is taken."""
    Policy(**{option: math.nextafter(bound, 0.5)})
    if taken:
        Policy(**{option: bound})
    else:
        with pytest.raises(BadInput, match=option.split("_")[-1][:4]):
            Policy(**{option: bound})


def test_what_has_no_price_is_named() -> None:
    uses = [Use("NEW", "shock", 5, 5000.0, 300.0, 20), Use("OLD", "shock", 5, 5000.0, 0.0, 20)]
    some = spares(uses, Policy())
    assert [text.split(":")[0] for text in unpriced(some)] == ["No price is known of OLD"]
    assert not list(unpriced([one for one in some if one.use.part == "NEW"]))


def test_a_spare_shock_is_revalved_like_those_on_the_bikes() -> None:
    """Of the demo's plan: 420 for the shock and 180 for its tune; as delivered the shock alone."""
    found = {one.part: one for one in spares_record(demo_fleet(), Policy()).after}
    prices = {name: one.price for name, one in found.items() if one.kind == "shock"}
    assert prices["SN-190x45 | 45 mm | S-SP-light"] == 420 + 180
    assert prices["YP-230x60 | 60 mm | as delivered"] == 405
    for one in found.values():
        assert one.cost == round(one.stock * one.price, 2)
