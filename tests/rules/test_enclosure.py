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

from recommender.rules.registry import RULES, leaves
from tests.rules.one import COIL, USUAL, sides

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
