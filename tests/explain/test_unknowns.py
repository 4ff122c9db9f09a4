"""Which facts a leaf fact rests on, and which way rules pull."""

import pytest

from recommender.explain.unknowns import Place, Unknown, pulls_both_ways, reads_fact
from recommender.rules.registry import RULES


@pytest.mark.parametrize(
    ("place", "fact", "leaf", "rests"),
    [
        ("shocks", "mass_g", "shock_mass_g", True),
        ("shocks", "mass_g", "spring_mass_g", False),
        ("shocks", "mass_g", "head_kit_mass_g", False),
        ("kits", "mass_g", "shaft_kit_mass_g", True),
        ("springs", "mass_g", "spring_mass_g", True),
        ("shocks", "compression_class", "tune_compression_class", True),
        ("shocks", "days", "tune_days", False),
        ("shocks", "delivery_days", "shock_days", True),
        ("shocks", "stroke_mm", "stroke_mm", True),
        ("question", "bike_head_gap_mm", "shock_shaft_gap_mm", True),
        ("question", "bike_head_gap_mm", "shock_head_reach_mm", False),
    ],
)
def test_what_a_leaf_rests_on(place: Place, fact: str, leaf: str, rests: bool) -> None:
    assert reads_fact(Unknown(place, fact, ((0.0, 1.0),)), [leaf]) is rests


@pytest.mark.parametrize(
    ("place", "fact", "rules", "both"),
    [
        # Wider is worse in the gap and better over the eye.
        ("kits", "width_mm", ("head bolt length",), False),
        ("kits", "width_mm", ("head eye against sleeve", "shaft eye against sleeve"), False),
        ("kits", "width_mm", ("head bolt length", "head eye against sleeve"), True),
        # One rule that says nothing of its way may turn.
        ("kits", "width_mm", ("head hardware width",), True),
        ("kits", "width_mm", ("head bolt length", "head hardware width"), True),
        ("question", "bike_room_head_up_mm", ("room for the body", "room for the coil"), False),
        ("shocks", "body_head_up_mm", ("room for the body",), False),
        # A sum can only be too high, but a dear part fills an order up.
        ("shocks", "mass_g", ("wish: mass",), False),
        ("shocks", "price", ("wish: budget",), True),
        ("shocks", "mass_g", ("room for the body",), False),
    ],
)  # fmt: skip
def test_rules_that_pull_both_ways(
    place: Place, fact: str, rules: tuple[str, ...], both: bool
) -> None:
    live = tuple(RULES[name] for name in rules)
    assert pulls_both_ways(Unknown(place, fact, ((0.0, 1.0),)), live) is both
