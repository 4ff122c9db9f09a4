"""How much of the riders' range some build serves, where that is known beforehand."""

import re
from dataclasses import replace
from typing import Any
from unittest.mock import patch

from hypothesis import given
from hypothesis import strategies as st

from recommender.facts.quantity import Quantity
from recommender.fleet.why import CLOSE_KG, widest
from tests.fleet.demo import catalogue, groups

Spans = list[tuple[float, float]]


def told(low: float, high: float, one_setting: Spans, changed: Spans, changes: bool = False) -> str:
    """What is told of riders from low to high, where each build serves one span of masses; and
    those of `changed` where springs may be changed from rider to rider."""

    def feasible(question: Any, catalogue: object, changes: bool, point: float) -> list[int]:
        mass = question.rider.mass_with_kit_kg
        spans = changed if changes else one_setting
        return [k for k, (a, b) in enumerate(spans) if a <= mass.low and mass.high <= b]

    mass = Quantity.exact(low) if low == high else Quantity(low, high, "range")
    group = groups()[0]
    rider = group.question.rider.model_copy(update={"mass_with_kit_kg": mass})
    group = replace(group, question=replace(group.question, rider=rider), changes=changes)
    with patch("recommender.fleet.why.feasible", feasible):
        return widest(group, catalogue())


def test_either_end_and_changing_springs_by_hand() -> None:
    """Riders of 121 to 209 lb [NIST SP 811]: 54.884 to 94.801 kg, told to a tenth."""
    low, high = 54.884, 94.801
    assert told(low, high, [(50, 70), (80, 100)], [(50, 100)]) == (
        "riders of 54.9 to 69.8 kg alone could be served; "
        "riders of 80.2 to 94.8 kg alone could be served; "
        "changing springs or spacers between riders would serve them all"
    )
    nothing = "no part of the riders' range is served by any build"
    assert told(low, high, [(60, 70)], [(60, 90)]) == nothing
    free = told(low, high, [], [(50, 70)], changes=True)
    assert free == "riders of 54.9 to 69.8 kg alone could be served"
    assert told(80, 80, [(50, 70)], [(50, 70)]) == nothing


MASSES = st.floats(25, 200, allow_nan=False)


@given(MASSES, MASSES, st.lists(st.tuples(MASSES, MASSES), max_size=4))
def test_the_part_told_is_served_and_little_more_would_be(a: float, b: float, spans: Spans) -> None:
    """From each end as far as some span that holds this end reaches, less half a kilogram and what
    rounding to a tenth takes."""
    low, high = sorted((a, b))
    text = told(low, high, spans, [])
    parts = [tuple(map(float, m)) for m in re.findall(r"riders of (\S+) to (\S+) kg", text)]
    tops = [top for bottom, top in spans if bottom <= low <= top]
    bottoms = [bottom for bottom, top in spans if bottom <= high <= top]
    if low == high or any(top >= high for top in tops):
        return  # a group that some build serves, or of one mass
    if tops:
        start, end = parts.pop(0)
        assert start == round(low, 1)
        assert end <= max(max(tops), round(low, 1))
        assert end > max(tops) - CLOSE_KG - 0.1 - 1e-9
    if bottoms:
        start, end = parts.pop(0)
        assert end == round(high, 1)
        assert start >= min(min(bottoms), round(high, 1))
        assert start < min(bottoms) + CLOSE_KG + 0.1 + 1e-9
    assert parts == []
