"""Margins over columns against the same margins one row at a time, and against what they bound."""

import math
import random
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.facts.quantity import Quantity
from recommender.mechanics.leverage import Leverage
from recommender.rules.market import open_market
from recommender.rules.registry import RULES, Rule
from recommender.search.corners import Corners
from recommender.search.margins import margin
from recommender.search.owners import owners, with_kits
from tests.search.examples import examples
from tests.search.own_cells import Leaf
from tests.search.own_facts import OwnSizes
from tests.search.random_market import Case, cases
from tests.search.referee import Referee, choices_of, leaf_names

MARGINS = [rule for rule in RULES.values() if not rule.couples]


UNSTATED = 999_000.0
"""Margins above are those of a limit that nobody states: of the load no more is asked then."""


def close(a: float, b: float) -> bool:
    unstated = UNSTATED < a < math.inf and UNSTATED < b < math.inf
    return unstated or a == b or math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-9)


@given(cases(loose=5))
@examples(50)
def test_column_equals_scalar(case: Case) -> None:
    """Every rule on every row of its frame: the interval that plain numbers give."""
    question, catalogue = case.open()
    market = open_market(question, catalogue)
    made = with_kits(market, owners(market, np.arange(len(market.shocks))))
    referee = Referee(question, catalogue)
    variants = [one for k in range(len(market.shocks)) for one in referee.variants(k)]
    assert len(variants) == len(made.shock)
    for rule in referee.rules:
        if rule.couples:
            continue
        got = margin(Corners(made.frames), rule)
        layout = made.frames.layout(got.choices)
        for row in range(layout.size):
            facts, options = variants[layout.owner[row]]
            at = dict(facts)
            for choice in got.choices:
                at |= options[choice][layout.position[choice][row]].facts
            own = referee.interval(rule, at)
            assert close(got.low[row], own.low), (rule.name, row, got.low[row], own)
            assert close(got.high[row], own.high), (rule.name, row, got.high[row], own)


def realised(name: str, leaf: Leaf, referee: Referee, rng: random.Random) -> Any:
    """One value that a fact may have, its ends and its inside alike."""
    values = leaf.values
    if len(values) == 1 or leaf.kind == "word":
        return rng.choice(values)
    if name == "bike_leverage":
        return _curve(values, referee, rng)
    if name == "bike_sizes" and values[0].pairs:
        pairs = [tuple(_inside(quantity, rng) for quantity in pair) for pair in values[0].pairs]
        return OwnSizes(tuple(pairs), False)
    if leaf.kind == "curve":
        return rng.choice(values)
    low, high = values[0], values[-1]
    return rng.choice((low, high, rng.uniform(low, high), rng.uniform(low, high)))


def _inside(quantity: Quantity, rng: random.Random) -> Quantity:
    value = rng.uniform(quantity.low, quantity.high)
    return Quantity(value, value)


def _curve(values: tuple[Leverage, ...], referee: Referee, rng: random.Random) -> Leverage:
    facts = referee.question.bike.leverage
    if facts.table:
        span = values[-1].readings[-1][1] / values[0].readings[-1][1]
        return values[0].scaled(rng.uniform(1.0, span))
    if facts.ratio_start.known:
        start, end, stroke = (
            _inside(q, rng).low for q in (facts.ratio_start, facts.ratio_end, facts.stroke_mm)
        )
        return Leverage.linear(start, end, stroke / 1000)
    low, high = (float(curve.ratio(0.0)) for curve in values)
    stroke = values[0].stroke_m
    return Leverage.constant(rng.uniform(low, high) * stroke, stroke)


def picked(rule: Rule, facts: dict[str, Leaf], options: Any, rng: random.Random) -> dict[str, Leaf]:
    """The facts of a rule with one option picked for each of its choices."""
    at = dict(facts)
    for choice in choices_of(rule, options):
        at |= rng.choice(options[choice]).facts
    return {name: at[name] for name in leaf_names(rule)}


@given(cases(loose=4), st.randoms(use_true_random=False))
@examples(50)
def test_interval_encloses_what_may_be(case: Case, rng: random.Random) -> None:
    """No value of a fact within what is known of it puts a margin outside its interval."""
    rng = random.Random(rng.random())
    referee = Referee(*case.open())
    for shock in range(len(referee.shocks)):
        for facts, options in referee.variants(shock):
            for rule in referee.rules:
                if rule.couples:
                    continue
                at = picked(rule, facts, options, rng)
                found = referee.interval(rule, at)
                served = any(leaf.served for leaf in at.values())
                for _ in range(4):
                    one = {name: realised(name, leaf, referee, rng) for name, leaf in at.items()}
                    value = min(referee.sides(rule, one))
                    if not math.isfinite(value):
                        continue
                    slack = 1e-9 * max(1.0, abs(value))
                    assert value >= found.low - slack, (rule.name, one, found)
                    # A served range fails by its worst end, so the best of it bounds nothing.
                    assert served or value <= found.high + slack, (rule.name, one, found)


@given(cases(loose=0), st.randoms(use_true_random=False))
@examples(50)
def test_declared_directions(case: Case, rng: random.Random) -> None:
    """Along a fact that a rule declares in `rises` the margin never falls; `falls` likewise."""
    rng = random.Random(rng.random())
    referee = Referee(*case.open())
    for facts, options in referee.variants(rng.randrange(len(referee.shocks))):
        for rule in MARGINS:
            some = picked(rule, facts, options, rng)
            at = {name: rng.choice(leaf.values) for name, leaf in some.items()}
            for name in at:
                for prefixes, way in ((rule.rises, 1), (rule.falls, -1)):
                    if prefixes and name.startswith(prefixes):
                        less = at[name] * rng.uniform(0.3, 1.0)
                        lower = min(referee.sides(rule, at | {name: less}))
                        upper = min(referee.sides(rule, at))
                        assert way * (upper - lower) >= -1e-9 or upper == lower, (rule.name, name)


@pytest.mark.parametrize(
    "rule", [one for one in MARGINS if one.rises or one.falls], ids=lambda rule: rule.name
)
def test_declared_facts_are_read(rule: Rule) -> None:
    """A declared direction is about facts that the rule rests on, each told one way only."""
    up = {name for name in leaf_names(rule) if name.startswith(rule.rises)}
    down = {name for name in leaf_names(rule) if name.startswith(rule.falls)}
    assert bool(up) == bool(rule.rises)
    assert bool(down) == bool(rule.falls)
    assert not up & down
