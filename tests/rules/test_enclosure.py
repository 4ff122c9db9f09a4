"""A margin's interval holds the exact margin at every value inside the tolerances.

Facts of the worked example are loosened, [low, high] is what the engine makes of them, and the
exact margin at values drawn inside must lie within. Rules about a sum over parts, and about an
order as a whole, are looked at with prices and masses drawn inside theirs.
"""

import inspect
import random
from collections.abc import Callable, Mapping
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.facts.bike import LeverageFacts, Size
from recommender.mechanics.leverage import Leverage
from recommender.rules import asked, market
from recommender.rules.fact import Fact, Scalar
from recommender.rules.registry import (
    ENTITIES,
    FIGURES,
    PARTS,
    RULES,
    TURNING,
    Rule,
    entity,
)  # fmt: skip
from recommender.rules.size import ApprovedSizes
from recommender.rules.tune import ClassRanges
from recommender.search.corners import Corners
from recommender.search.frames import CHOICES, Frames, Options
from recommender.search.joint import JOINT, NONE, Piece, joint_sets
from recommender.search.margins import margin
from recommender.search.tables import sums
from tests.rules.one import COIL, USUAL, sides, value

NUMBERS = sorted(n for n, rule in RULES.items() if not rule.categorical and not rule.couples)
SUMS = sorted(name for name, rule in RULES.items() if rule.couples)
WORDS = sorted(name for name, rule in RULES.items() if rule.categorical)
"""Of a word that nobody told every one is looked at: there is no value between two of them."""
COUNTED = ["spacer count"]
"""Whole pieces, fitted and allowed: nobody measures them."""
EXACT = ("wish_", "sound_", "spring_spacers", "shock_volume_spacers_max")
"""Numbers that are chosen, wished for or counted: there is nothing to measure."""
HUNDREDTH = 0.01
"""Of a step: damping has a top along a negative chamber's volume, and it lies this little above
the ends as long as they are not taken for nothing known."""
WISHED = {"wish_days": 9.0, "wish_reserve_mm": 100.0, "wish_travel_low_mm": 120.0,
          "wish_travel_high_mm": 140.0}  # fmt: skip
TOLD = {"tune_rebound_low_n_s_per_m": 2000.0, "tune_rebound_high_n_s_per_m": 6000.0,
        "tune_compression_low_n_s_per_m": 700.0,
        "tune_compression_high_n_s_per_m": 1500.0}  # fmt: skip
RATIOS = ("ratio_start", "ratio_end", "stroke_mm")
CLASSES = inspect.signature(ClassRanges).parameters


def measured(rule: str, facts: Mapping[str, Any]) -> list[str]:
    """The facts that the rule rests on and that may carry a tolerance."""
    return [
        leaf for leaf in RULES[rule].leaves
        if leaf in PARTLY or (
            not leaf.startswith(EXACT) and isinstance(facts[leaf], float)
            and not np.isnan(facts[leaf])
        )
    ]  # fmt: skip


Ends = tuple[float, float]
Within = Callable[[float, float], float]


def _about(known: float, share: float) -> Ends:
    """What a tolerance leaves open; some of a nought, too."""
    return known * (1 - share), known * (1 + share) if known else share


def _sizes(share: float, within: Within) -> tuple[Scalar, Any]:
    pairs = [(_about(a, share), _about(b, share)) for a, b in ((200.0, 50.0), (210.0, 55.0))]
    told = [Size.model_validate({"length_mm": _told(a), "stroke_ceiling_mm": _told(b)})
            for a, b in pairs]  # fmt: skip
    exact = [(within(*a), within(*b)) for a, b in pairs]
    return asked._sizes(SimpleNamespace(sizes=told)), ApprovedSizes(*zip(*exact, strict=True))


def _leverage(share: float, within: Within) -> tuple[Scalar, Any]:
    ends = [_about(known, share) for known in (2.86, 2.34, 50.0)]
    facts = LeverageFacts.model_validate(dict(zip(RATIOS, map(_told, ends), strict=True)))
    start, end, stroke = (within(*both) for both in ends)
    return Scalar(asked.leverage(facts)), Leverage.linear(start, end, stroke / 1000)


def _classes(share: float, within: Within) -> tuple[Scalar, Any]:
    ends = {name: [_about(one, share) for one in getattr(USUAL["classes"], name)]
            for name in CLASSES}  # fmt: skip
    narrow, wide = (
        ClassRanges(**{name: tuple(both[name.endswith("low") == lesser] for both in some)
                       for name, some in ends.items()})
        for lesser in (True, False)
    )  # fmt: skip
    inside = {name: tuple(within(*both) for both in some) for name, some in ends.items()}
    return Scalar((narrow, wide)), ClassRanges(**inside)


def _told(ends: Ends) -> dict[str, Any]:
    return {"low": ends[0], "high": ends[1], "kind": "measured"}


PARTLY = {"bike_sizes": _sizes, "bike_leverage": _leverage, "classes": _classes}
"""Facts that are made of several numbers, each with its tolerance."""


def laid_out(facts: Mapping[str, Any], known: Mapping[str, Any]) -> Frames:
    """One shock with one option of every choice; `known` are facts as the engine holds them."""
    of: dict[str, dict[str, Any]] = {name: {} for name in ("", *ENTITIES)}
    for leaf, one in facts.items():
        exact = Scalar((one,)) if not entity(leaf) else Fact(np.array([one]))
        of[entity(leaf)][leaf] = known.get(leaf, exact)
    options = {
        name: Options(np.array([1]), np.array([0]), {}, of[name]) for name in CHOICES
    }  # fmt: skip
    return Frames(1, of["shock"], of[""], options)


def _known(leaf: str, ends: Ends, sizes: Scalar) -> Any:
    if not entity(leaf):
        return Scalar(ends)
    fact = Fact.bounds(*(np.array([one]) for one in ends))
    if leaf != "shock_length_mm":
        return fact
    return market._bent(fact, SimpleNamespace(scalars={"bike_sizes": sizes}))


def drawn(rng: random.Random, rule: Rule) -> dict[str, Any]:
    """The facts that a rule rests on: an air or a coil shock's, its damper measured or not."""
    facts = dict(WISHED)
    if rule.springs == "coil" or (not rule.springs and rng.random() < 0.3):
        facts |= {"shock_spring_kind": COIL, "spring_is_coil": 1}
    if rng.random() < 0.5:
        facts |= TOLD
    if "bike_sizes" in rule.leaves:
        facts["shock_length_mm"] = rng.choice((200.0, 205.0, 210.0, 212.0))
    return {leaf: value(leaf, **facts) for leaf in rule.leaves}


@pytest.mark.parametrize("rule", NUMBERS)
@settings(max_examples=60)
@given(seed=st.integers(0, 2**32 - 1))
def test_the_exact_margin_lies_within(rule: str, seed: int) -> None:
    rng = random.Random(seed)
    facts = drawn(rng, RULES[rule])
    may = measured(rule, facts)
    names = rng.sample(may, min(len(may), rng.choice((0, 1, 1, 1, 2, 3, 4))))
    share = rng.choice((0.001, 0.01, 0.03))

    def within(low: float, high: float) -> float:
        return rng.choice((low, high, rng.uniform(low, high), rng.uniform(low, high)))

    known: dict[str, Any] = {"bike_sizes": Scalar((USUAL["bike_sizes"],))}
    inside: dict[str, Any] = {}
    for leaf in sorted(names, key=lambda one: one not in PARTLY):
        if leaf in PARTLY:
            known[leaf], inside[leaf] = PARTLY[leaf](share, within)
        else:
            ends = _about(facts[leaf], share)
            known[leaf], inside[leaf] = _known(leaf, ends, known["bike_sizes"]), within(*ends)
    found = margin(Corners(laid_out(facts, known)), RULES[rule])
    exact = min(sides(rule, **facts | inside))
    round_off = HUNDREDTH if "shock_negative_chamber_cm3" in names else 1e-9 * max(1.0, abs(exact))
    slack = RULES[rule].scale * round_off if np.isfinite(exact) else 0.0
    assert found.low[0] - slack <= exact <= found.high[0] + slack
    if not names:
        assert found.low[0] == found.high[0] == exact


ALONG = [(name, fact) for name in NUMBERS if RULES[name].springs != "coil"
         for fact in RULES[name].leaves if fact in TURNING]  # fmt: skip


@pytest.mark.parametrize(("rule", "fact"), ALONG)
def test_along_a_chamber_alone(rule: str, fact: str) -> None:
    """Some margins turn along what an air chamber is made of; wherever that is felt the engine
    takes nothing as known."""
    facts = {leaf: value(leaf, **WISHED) for leaf in RULES[rule].leaves}
    for share in (0.02, 0.1, 0.2, 0.3, 0.6):
        ends = _about(facts[fact], share)
        known = {fact: _known(fact, ends, Scalar(()))}
        (low,), (high,) = (getattr(margin(Corners(laid_out(facts, known)), RULES[rule]), one)
                           for one in ("low", "high"))  # fmt: skip
        slack = HUNDREDTH * RULES[rule].scale
        with np.errstate(all="ignore"):
            for at in np.linspace(*ends, 15).tolist():
                assert not min(sides(rule, **facts | {fact: at})) < low - slack
                assert not min(sides(rule, **facts | {fact: at})) > high + slack


def _part_facts(what: str) -> list[str]:
    kinds = ("mass_g",) if what == "mass" else ("price", "labour")
    return [f"{part}_{kind}" for part in PARTS for kind in kinds]


@pytest.mark.parametrize("rule", SUMS)
@given(data=st.data())
def test_a_sum_over_parts_lies_within(rule: str, data: st.DataObject) -> None:
    what = RULES[rule].couples
    ends = {name: sorted(data.draw(st.tuples(MONEY, MONEY), name)) for name in _part_facts(what)}
    inside = [data.draw(st.floats(*both)) for both in ends.values()]
    known = {name: _known(name, (low, high), Scalar(())) for name, (low, high) in ends.items()}
    frames = laid_out(dict.fromkeys(ends, 0.0), known)
    low, high = map(sum, zip(*(sums(frames, some, what) for some in ((), CHOICES)), strict=True))
    limit = data.draw(MONEY, "limit")
    least, exact, most = (
        float(RULES[rule].margin(total, limit)) for total in (high[0], sum(inside), low[0])
    )
    assert least - 1e-9 <= exact <= most + 1e-9
    assert most - least == pytest.approx(sum(b - a for a, b in ends.values()), abs=1e-9)


MONEY = st.integers(0, 200).map(float)
PIECES = st.lists(
    st.tuples(
        st.integers(NONE, 2), st.integers(NONE, 1), st.tuples(MONEY, MONEY), st.integers(0, 3),
        st.sampled_from((NONE, NONE, 0, 1, 2)),
    ),
    min_size=1, max_size=5,
)  # fmt: skip


def _broken(
    drawn: list[tuple[int, int, tuple[float, float], int, int]], prices: list[tuple[float, float]],
    minimum: list[float],
) -> dict[str, tuple[bool, bool]]:
    pieces = [
        Piece(*(np.array([one]) for one in (part, supplier, *ends, float(stock), partner)))
        for (part, supplier, _, stock, partner), ends in zip(drawn, prices, strict=True)
    ]
    found = joint_sets(pieces, np.array(minimum))
    return {name: (bool(sure[0]), bool(may[0])) for name, (sure, may) in found.items()}


@given(PIECES, st.lists(MONEY, min_size=2, max_size=2), st.data())
def test_what_an_order_breaks_lies_within(
    drawn: list[tuple[int, int, tuple[float, float], int, int]], minimum: list[float],
    data: st.DataObject,
) -> None:  # fmt: skip
    """At prices inside theirs an order breaks what it breaks for certain, and nothing that it does
    not possibly break; an order minimum is broken for certain only where it is at every price."""
    ends = [(min(both), max(both)) for _, _, both, _, _ in drawn]
    inside = [data.draw(st.floats(*both)) for both in ends]
    found = _broken(drawn, ends, minimum)
    exact = _broken(drawn, [(one, one) for one in inside], minimum)
    worst, best = (_broken(drawn, [(both[k], both[k]) for both in ends], minimum) for k in (0, 1))
    assert set(found) == set(JOINT)
    for name, (sure, may) in found.items():
        is_so = exact[name][0]
        assert exact[name] == (is_so, is_so)
        assert sure <= is_so <= may
        assert (sure, may) == (best[name][0], worst[name][0])


def test_no_rule_is_left_out() -> None:
    assert sorted([*NUMBERS, *SUMS, *WORDS]) == sorted(RULES)
    told = {name: {leaf: value(leaf, **TOLD, **WISHED) for leaf in RULES[name].leaves}
            for name in NUMBERS}  # fmt: skip
    assert [name for name in NUMBERS if not measured(name, told[name])] == COUNTED


@pytest.mark.parametrize("rule", WORDS)
def test_a_rule_about_words_reads_nothing_that_is_measured(rule: str) -> None:
    numbers = {leaf for name in NUMBERS for leaf in RULES[name].leaves
               if leaf in PARTLY or isinstance(USUAL.get(leaf), float)}  # fmt: skip
    assert not numbers & set(RULES[rule].leaves)


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
