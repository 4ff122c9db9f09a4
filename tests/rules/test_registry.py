"""What the rules say of themselves, and what a blank fact counts as."""

from string import Formatter

import numpy as np
import pytest

from recommender.facts.parts import Shock
from recommender.rules import registry
from recommender.rules.fact import Fact
from recommender.rules.registry import FIGURES, RULES
from tests.rules.one import sides, value


@pytest.mark.parametrize("name", sorted(RULES))
def test_a_rule_without_a_unit_says_yes_or_no(name: str) -> None:
    rule = RULES[name]
    assert rule.categorical == (rule.unit == "")
    if rule.categorical and not rule.couples:
        try:
            told = sides(name)
        except KeyError:  # wants facts of a wish
            return
        assert len({abs(side) for side in told}) == 1


# What parts are made in and gauges are marked in, so what one step off is [mem].
STEPS = {
    "mm": 1.0, "psi": 10.0, "kg": 5.0, "percent": 1.0, "count": 1.0, "n_s_per_m": 500.0,
    "money": 50.0, "g": 50.0, "days": 1.0, "": 1.0,
}  # fmt: skip
TENTHS = ("hardware width", "hardware bore", "eye against", "bushing in", "sleeve diameter",
          "trunnion width", "spring diameter")  # fmt: skip
WIDER = {
    "stroke ceiling": 2.5, "linkage stop": 2.5, "spring travel": 2.5, "spring length": 5.0,
    "wish: travel": 5.0, "wish: reserve": 10.0,
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(RULES))
def test_one_step_off(name: str) -> None:
    """Sleeves and eyes are made to a tenth, strokes in 2.5 mm, coils in 5 mm of length."""
    tenth = any(word in name for word in TENTHS)
    step = 0.1 if tenth else WIDER.get(name, STEPS.get(RULES[name].unit))
    assert RULES[name].scale == step, "a rule's own scale= goes to WIDER here as well"


@pytest.mark.parametrize(
    ("name", "low", "high", "counts"),
    [
        ("shock_price", 0.0, 60_000.0, 60_000.0), ("shock_price", 100.0, 140.0, 120.0),
        ("tune_days", 0.0, 300.0, 300.0), ("tune_days", 0.0, 299.0, 149.5),
        ("head_kit_mass_g", 0.0, 1000.0, 1000.0), ("head_kit_mass_g", 20.0, 30.0, 25.0),
        ("tune_labour", 0.0, 50_000.0, 50_000.0),
        ("shock_pressure_min_psi", 0.0, 450.0, 0.0), ("shock_pressure_min_psi", 40.0, 60.0, 50.0),
        ("shock_pressure_max_psi", 0.0, 450.0, 450.0), ("shock_length_mm", 100.0, 350.0, 225.0),
    ],
)  # fmt: skip
def test_a_blank_counts_as_dear_slow_and_heavy_and_limits_nothing(
    name: str, low: float, high: float, counts: float
) -> None:
    fact = Fact(np.array([low, 7.0]), (np.array([high, 7.0]),), np.array([True, False]))
    assert fact.nominal_as(name).low.tolist() == [counts, 7.0]


def test_wheel_sag_of_a_longer_shock() -> None:
    """From -1 to 14 mm of the curve, by hand: 15 x LR(6.5 mm) = 15 x (2.86 - 0.52 x 0.13)."""
    found = value("wheel_sag_mm", sag_mm=15.0, length_difference_mm=1.0)
    assert float(found) == pytest.approx(15 * 2.7924, rel=1e-12)


@pytest.mark.parametrize("name", sorted(RULES))
def test_what_a_rule_says_names_facts_that_there_are(name: str) -> None:
    rule = RULES[name]
    read = {leaf for one in RULES.values() for leaf in (*one.reads, *one.leaves)}
    known = {"short", *FIGURES, *read, *(f"shock_{column}" for column in Shock.model_fields)}
    for text in (rule.says, rule.fix):
        for _, field, _, _ in Formatter().parse(text):
            assert field is None or field in known, f"{text!r}: no fact or figure is {field!r}"


def test_a_unit_without_a_step_of_its_own_is_told() -> None:
    with pytest.raises(ValueError, match=r"'ratio' has no step of its own.*state scale="):
        registry.rule("mean ratio", "limit", "ratio", standing="mem", says="too high")
