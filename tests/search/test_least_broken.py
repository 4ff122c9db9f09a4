"""The completion that an account tells: fewest rules, then fewest steps short; and the
summary by rule, which counts only what every account tells."""

from typing import Any

import numpy as np
import pytest

from recommender.answer.answer import by_rule
from recommender.answer.turned import turned_records
from recommender.facts.wishes import Wishes
from recommender.rules.market import open_market
from recommender.search.judging import judge
from tests.catalogue import build
from tests.search import tables
from tests.search.test_pinned import BIKE, RIDER, usual

SHAFT = build.kit("S", width_mm=30)


def told(catalogue: Any, budget: float | None = None) -> tuple[dict[str, float], Any]:
    """The first shock's broken rules with what each falls short, and the summary by rule."""
    wide = {"shaft": {**BIKE["shaft"], "gap_mm": 30}}
    question = tables.question(BIKE | wide, RIDER, {"budget": {"must": budget}})
    market = open_market(question, catalogue)
    verdicts = judge(market, question.wishes)
    one = turned_records(market, question.wishes, verdicts, np.array([0]))[0]
    return {rule.rule: rule.short for rule in one.broken}, by_rule(verdicts)


def test_shortfalls_are_compared_in_steps_not_in_units() -> None:
    """A kit 0.4 mm too narrow is four steps off, 30 over the budget 0.6 of one."""
    kits = [build.kit("NARROW", width_mm=21.1), build.kit("DEAR", price=50), SHAFT]
    broken, counts = told(usual(kits=kits), 165)
    assert broken == {"wish: budget": 30.0}
    # Which of the two rules is broken is a matter of choice, so neither counts.
    assert counts == ()


def test_what_breaks_whatever_is_chosen_is_counted_and_told() -> None:
    shocks = [build.shock("A", length_mm=200, stroke_settings_mm="")]
    broken, counts = told(usual(shocks=shocks, kits=[build.kit("K"), SHAFT]))
    assert set(broken) >= {"length"}
    assert [(one.rule, one.shocks, one.alone) for one in counts] == [("length", 1, 1)]


def test_of_parts_alike_in_what_is_certain_the_one_without_doubt_is_told() -> None:
    shocks = [build.shock("A", length_mm=200, stroke_settings_mm="")]
    kits = [build.kit("A-LOOSE", width_mm="22 +/- 0.5"), build.kit("B-EXACT"), SHAFT]
    broken, _ = told(usual(shocks=shocks, kits=kits))
    assert "head hardware width" not in broken
    alone, _ = told(usual(shocks=shocks, kits=[kits[0], SHAFT]))
    assert "head hardware width" in alone


def test_what_is_broken_for_certain_is_never_told_for_what_may_be() -> None:
    """One kit breaks one rule for certain, the other may break two: the shock is open, and told
    with the other."""
    kits = [build.kit("A-NARROW", width_mm=21.0),
            build.kit("B-UNMEASURED", width_mm="22 +/- 1", bore_mm="8 +/- 1"), SHAFT]  # fmt: skip
    wide = {"shaft": {**BIKE["shaft"], "gap_mm": 30}}
    market = open_market(tables.question(BIKE | wide, RIDER, {}), usual(kits=kits))
    verdicts = judge(market, Wishes())
    (one,) = turned_records(market, Wishes(), verdicts, np.array([0]))
    assert one.state == "open"
    assert {rule.rule for rule in one.broken} >= {"head hardware width", "head hardware bore"}
    assert not any(rule.certain for rule in one.broken)


@pytest.mark.parametrize("order", [1, -1])
def test_of_parts_as_far_off_in_other_ways_the_first_by_name_is_told(order: int) -> None:
    """One is a tenth of a millimetre too narrow, the other as much too wide in the bore."""
    kits = [build.kit("A-BORE", bore_mm=8.3), build.kit("B-NARROW", width_mm=21.4)][::order]
    broken, _ = told(usual(kits=[*kits, SHAFT]))
    assert broken == {"head hardware bore": pytest.approx(0.1)}
