"""A margin's interval holds the exact margin at every value inside the tolerances.

Facts are loosened around the worked example; [low, high] is taken at the corners, as the engine
takes it, and the exact margin at values drawn inside must lie within. The damping rules turn along
a chamber's volumes (the engine looks at that apart), so chambers stay exact here.
"""

from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.rules.registry import FIGURES, RULES, leaves
from tests.rules.one import COIL, USUAL, sides, value

NUMBERS = sorted(
    name for name, rule in RULES.items()
    if not rule.categorical and not rule.couples and name != "length"
)  # fmt: skip
STILL = ("shock_piston", "shock_chamber", "shock_negative", "shock_equalise", "shock_volume_spacer",
         "shock_length", "bike_nominal")  # fmt: skip


def loosened(rule: str) -> list[str]:
    """Up to five measured facts that the rule rests on."""
    found = dict.fromkeys(leaf for read in RULES[rule].reads for leaf in leaves(read))
    return [
        leaf for leaf in found
        if leaf.endswith(("_mm", "_kg", "_psi", "_days", "_per_mm", "_ratio", "_share"))
        and isinstance(USUAL.get(leaf), float) and not leaf.startswith(STILL)
    ][:5]  # fmt: skip


@pytest.mark.parametrize("rule", NUMBERS)
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_the_exact_margin_lies_within_the_corners(rule: str, data: st.DataObject) -> None:
    facts: dict[str, Any] = {
        "wish_days": 9.0, "wish_reserve_mm": 100.0, "wish_travel_low_mm": 120.0,
        "wish_travel_high_mm": 140.0,
    }  # fmt: skip
    if RULES[rule].springs == "coil":
        facts |= {"shock_spring_kind": COIL, "spring_is_coil": 1}
    names = loosened(rule)
    share = data.draw(st.floats(0.0, 0.03), "share")
    ends = {name: (USUAL[name] * (1 - share), USUAL[name] * (1 + share)) for name in names}
    corners = [
        sides(rule, **facts, **dict(zip(names, at, strict=True)))
        for at in product(*(ends[name] for name in names))
    ]
    inside = {
        name: low + data.draw(st.floats(0, 1), name) * (high - low)
        for name, (low, high) in ends.items()
    }
    exact = sides(rule, **facts, **inside)
    for k, margin in enumerate(exact):
        low, high = min(c[k] for c in corners), max(c[k] for c in corners)
        slack = 1e-9 * RULES[rule].scale * max(1.0, abs(margin)) if np.isfinite(margin) else 0.0
        assert low - slack <= margin <= high + slack


def _air(name: str, **facts: Any) -> float:
    return float(value(name, **({"spring_outer_diameter_mm": 60.0} | facts)))


@pytest.mark.parametrize("name", sorted(n for n, one in FIGURES.items() if one.rises or one.falls))
@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_a_figure_goes_the_way_it_says(name: str, data: st.DataObject) -> None:
    """With every fact anywhere in its range, one that it rises along never lowers it."""
    figure = FIGURES[name]
    facts: dict[str, Any] = {
        "shock_spring_kind": COIL, "shock_reversed": data.draw(st.integers(0, 1), "reversed"),
        "clocking_turned": data.draw(st.integers(0, 1), "turned"),
    }  # fmt: skip
    for fact in (*figure.rises, *figure.falls):
        facts[fact] = data.draw(st.floats(0, 150), fact)
    one = data.draw(st.sampled_from((*figure.rises, *figure.falls)), "which")
    more = facts | {one: facts[one] + data.draw(st.floats(0, 50), "more")}
    way = 1 if one in figure.rises else -1
    assert way * (_air(name, **more) - _air(name, **facts)) >= 0
