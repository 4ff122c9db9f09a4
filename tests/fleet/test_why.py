"""How much of the riders' range some build serves, where that is known beforehand."""

import re
from dataclasses import replace
from typing import Any
from unittest.mock import patch

from hypothesis import given
from hypothesis import strategies as st

from recommender.facts.quantity import Quantity
from recommender.fleet.groups import Group
from recommender.fleet.why import CLOSE_KG, reason, widest
from tests.fleet.demo import catalogue, groups

YOUNG = next(group for group in groups() if group.model == "young")
Spans = list[tuple[float, float]]


def told(low: float, high: float, one_setting: Spans, changed: Spans, changes: bool = False) -> str:
    """What is told of riders from low to high, where each build serves one span of masses; and
    those of `changed` where springs may be changed from rider to rider."""

    def feasible(question: Any, catalogue: object, changes: bool, point: float) -> list[int]:
        mass = question.rider.mass_with_kit_kg
        spans = changed if changes else one_setting
        return [k for k, (a, b) in enumerate(spans) if a <= mass.low and mass.high <= b]

    with patch("recommender.fleet.why.feasible", feasible):
        return widest(ridden(low, high, changes), catalogue())


def ridden(low: float, high: float, changes: bool) -> Group:
    """The demo's bikes for young riders, with others on them."""
    mass = Quantity.exact(low) if low == high else Quantity(low, high, "range")
    rider = YOUNG.question.rider.model_copy(update={"mass_with_kit_kg": mass})
    return replace(YOUNG, question=replace(YOUNG.question, rider=rider), changes=changes)


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


def test_reasons_name_what_would_let_the_nearest_in() -> None:
    """The frame's limit is 110 kg, which nobody can change. Riders of 40 to 80 kg are too far apart
    for one setting: then some shocks fit, and it is said that settings and kits go together."""
    with patch("recommender.fleet.why.widest", return_value="half"):
        heavy = reason(ridden(60, 160, False), catalogue())
        wide = reason(ridden(40, 80, False), catalogue())
        changed = reason(ridden(40, 80, True), catalogue())
    assert heavy.why == "no build keeps every rule for riders of 60 to 160 kg"
    assert len(heavy.nearest) == len(heavy.corrections) == 3
    assert heavy.corrections[0] == "ML-190x45 stays out: nobody can change frame's mass limit"
    assert all("frame's mass limit" in told for told in heavy.corrections)
    text = "no build keeps every rule for riders of 40 to 80 kg"
    assert wide.why == f"{text}, spring settings and kits taken together"
    assert wide.least_change == "half"
    assert wide.corrections == (
        "ML-190x45 may be in: measure what it hinges on",
        "HP-190x37.5 would be in with a part for it: tune on offer",
        "HP-190x40 would be in with a part for it: tune on offer",
    )
    assert changed.why == text


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
