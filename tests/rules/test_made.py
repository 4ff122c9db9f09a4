"""Parts made to specification, which nobody offers: every rule that reads of one is silent, but for
the one that says that it is not on offer; a wished word is met."""

import math
from typing import Any

import pytest

from recommender.rules.registry import RULES
from tests.rules.one import AIR, AXLE, BARE, BEARING, BOLTS, COIL, TRUNNION, sides

MADE = [(name, fact) for name, one in RULES.items() for fact in one.reads if fact.endswith("_made")]
SITUATIONS: tuple[dict[str, Any], ...] = (
    {},
    {"head_kit_bushing": BARE},
    {"shock_head_eye": BEARING, "head_kit_kind": AXLE},
    {"shock_head_mount": TRUNNION, "bike_mount": TRUNNION, "head_kit_kind": BOLTS},
    {"shock_spring_kind": COIL, "spring_is_coil": 1},
)
WISHES = {"wish_lockout": 2, "wish_tune_class": 1}


@pytest.mark.parametrize(("name", "made"), MADE)
def test_of_a_part_made_to_specification_rules_are_silent(name: str, made: str) -> None:
    offered = [sides(name, **WISHES, **facts, **{made: 0}) for facts in SITUATIONS]
    assert any(math.isfinite(side) for found in offered for side in found)
    for facts in SITUATIONS:
        found = sides(name, **WISHES, **facts, **{made: 1})
        if "on offer" in name:
            assert found == (-1.0,)
            assert sides(name, **facts, **{made: 0}) == (1.0,)
        else:
            assert set(found) <= {math.inf, 1.0 if RULES[name].kind == "wish" else math.inf}


KINDS = sorted(name for name, one in RULES.items() if one.springs == "coil")


@pytest.mark.parametrize("name", KINDS)
def test_of_a_coil_rules_say_nothing_of_an_air_shock(name: str) -> None:
    air = sides(name, shock_spring_kind=AIR, spring_is_coil=0, spring_fits=0)
    assert set(air) <= {math.inf, 1.0}
