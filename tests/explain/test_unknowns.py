"""Which facts a leaf fact rests on."""

import pytest

from recommender.explain.unknowns import Place, Unknown, reads_fact


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
