"""The value model, weight intervals and Pareto marks, against outside and naive referees."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from paretoset import paretoset

from recommender.facts.problems import BadInput
from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import Criterion, criteria
from recommender.ranking.order import Score, total
from recommender.ranking.pareto import first_beating
from recommender.ranking.stability import intervals
from recommender.ranking.weights import weighed

# Hwang & Yoon, Multiple Attribute Decision Making (1981), the fighter-aircraft example: speed
# (Mach), range (NM), payload (lb), cost (10^6 $), reliability and manoeuvrability (1-9 scale),
# weights .2 .1 .1 .1 .2 .3. Simple additive weighting ranks A3 > A1 > A4 > A2. Standing: C, from
# memory; the ratios to the best value are the book's linear-scale transformation.
AIRCRAFT = {
    "A1": (2.0, 1500, 20000, 5.5, 5, 9),
    "A2": (2.5, 2700, 18000, 6.5, 3, 5),
    "A3": (1.8, 2000, 21000, 4.5, 7, 7),
    "A4": (2.2, 1800, 20000, 5.0, 5, 5),
}
BEST = (2.5, 2700, 21000, 4.5, 7, 9)
WEIGHTS = (0.2, 0.1, 0.1, 0.1, 0.2, 0.3)


def _aircraft_criteria() -> list[Criterion]:
    made = []
    for k, (best, weight) in enumerate(zip(BEST, WEIGHTS, strict=True)):
        if k == 3:
            # Cost: value = least / cost, a curve; breakpoints at the costs that occur.
            costs = sorted({row[3] for row in AIRCRAFT.values()})
            points = tuple((cost, best / cost) for cost in costs)
        else:
            points = ((0.0, 0.0), (float(best), 1.0))
        made.append(Criterion(str(k), str(k), "", points, weight))
    return made


def test_published_example_through_the_same_value_code() -> None:
    made = _aircraft_criteria()
    points = {
        name: total(Score.of(one, x) for one, x in zip(made, row, strict=True))
        for name, row in AIRCRAFT.items()
    }
    assert sorted(points, key=lambda name: -points[name]) == ["A3", "A1", "A4", "A2"]


VALUES = st.lists(st.lists(st.integers(0, 4), min_size=3, max_size=3), min_size=1, max_size=12)


@given(VALUES)
def test_pareto_marks_agree_with_a_reference_library(rows: list[list[int]]) -> None:
    values = np.array(rows, float)
    beaten = first_beating(values)
    front = paretoset(values, sense=["max"] * 3, distinct=False)
    assert [one is None for one in beaten] == front.tolist()
    for row, by in zip(values, beaten, strict=True):
        if by is not None:
            assert (values[by] >= row).all()
            assert (values[by] > row).any()


@given(
    st.lists(st.integers(1, 5), min_size=3, max_size=3),
    st.lists(st.lists(st.integers(0, 10), min_size=3, max_size=3), min_size=2, max_size=6),
)
def test_weight_intervals_agree_with_a_scan(weights: list[int], rows: list[list[int]]) -> None:
    def leads(w: list[float]) -> bool:
        points = [sum(a * b for a, b in zip(w, row, strict=True)) for row in values]
        return points[0] >= max(points) - 1e-9

    values = [[x / 10 for x in row] for row in rows]
    order = sorted(values, key=lambda row: -sum(a * b for a, b in zip(weights, row, strict=True)))
    values = order
    for k, (low, high, _, _) in enumerate(intervals(weights, values[0], values[1:])):
        for step in range(400):
            at = step / 20
            w = [float(x) for x in weights]
            w[k] = at
            if low + 1e-9 < at < high - 1e-9:
                assert leads(w)
            elif at < low - 1e-9 or at > high + 1e-9:
                assert not leads(w)


@given(st.floats(0, 2000), st.floats(0, 2000))
def test_cheaper_is_never_worth_less(a: float, b: float) -> None:
    price = next(
        one for one in criteria(Wishes(budget={"must": 700, "prefer": 450})) if one.name == "price"
    )
    low, high = sorted((a, b))
    assert price.value(low) >= price.value(high)
    assert 0 <= price.value(high) <= 1


def test_breakpoints_are_anchored_to_the_wish() -> None:
    price = next(
        one for one in criteria(Wishes(budget={"must": 700, "prefer": 450})) if one.name == "price"
    )
    assert price.points == ((0.0, 1.0), (450.0, 0.6), (700.0, 0.0))
    assert price.value(575.0) == pytest.approx(0.3)


def test_weights_by_name() -> None:
    wishes = weighed(Wishes(), {"price": 3, "room to spare": 0})
    names = {one.name: one.weight for one in criteria(wishes)}
    assert names["price"] == 3
    assert "room to spare" not in names
    with pytest.raises(BadInput, match="nearest: price"):
        weighed(Wishes(), {"prise": 1})
