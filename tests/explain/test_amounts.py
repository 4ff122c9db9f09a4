"""Least amounts against every completion, and applied: what they ask for is enough, no less is."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.explain import completions
from recommender.explain.accounts import account_of
from recommender.explain.amounts import Change, changes_for, least_changes
from recommender.explain.completions import Completions, unbeaten
from recommender.explain.corrections import class_of, mask_of
from recommender.explain.sides import side_rules
from recommender.search.corners import Corners
from recommender.search.margins import margin
from recommender.search.verdicts import FITS, RULED_OUT
from tests.catalogue import build
from tests.explain.markets import Asked, asked, merged, random_asked, some
from tests.explain.naive import Every, every
from tests.search import tables

FIELDS = {
    "wish_travel_low_mm": ("travel_mm", 0), "wish_travel_high_mm": ("travel_mm", 1),
    "wish_sag_low_percent": ("sag_percent", 0), "wish_sag_high_percent": ("sag_percent", 1),
    "wish_reserve_mm": ("reserve_mm", None), "wish_budget": ("budget", None),
    "wish_mass_g": ("mass_g", None), "wish_days": ("days", None),
}  # fmt: skip


Point = tuple[int, dict[tuple[str, int], float]]


def shortfalls(one: Every, rules: list[str], sure: bool) -> list[Point]:
    """Of each completion that breaks none but those rules: categorical ones broken, and amounts."""
    whole, frames = one.whole, one.whole.made.frames
    allowed = mask_of(whole.rules, rules)
    sets = one.possible if sure else one.certain
    at = [k for k, broken in enumerate(sets) if broken & ~allowed == 0]
    amounts: dict[tuple[str, int], list[float]] = {}
    for group, rows in zip(whole.groups, one.choice, strict=True):
        for rule in group.rules:
            if rule.categorical or rule.bit not in rules:
                continue
            for side, part in enumerate(side_rules(frames, rule)):
                got = margin(Corners(frames), part)
                into = frames.rows_of(group.choices, got.choices)
                value = got.low if sure else got.high
                of_row = value[rows if into is None else into[rows]]
                short = [-v if v < -rule.tolerance else 0.0 for v in of_row[at].tolist()]
                old = amounts.get((rule.bit, side), [0.0] * len(at))
                amounts[rule.bit, side] = [max(a, b) for a, b in zip(old, short, strict=True)]
    for rule in whole.rules.couplings:
        if rule.bit in rules:
            limit = whole.market.scalars[rule.reads[1]].corners[0]
            total = sum(
                getattr(pair.possible if sure else pair.certain, rule.couples)[rows][at]
                for pair, rows in zip(whole.tables, one.choice, strict=True)
            )
            amounts[rule.bit, 0] = [
                v if v > rule.tolerance else 0.0 for v in (np.asarray(total) - limit).tolist()
            ]
    numeric = mask_of(whole.rules, {name for name, _ in amounts})
    return [
        (sets[k] & ~numeric, {name: round(column[row], 6) for name, column in amounts.items()})
        for row, k in enumerate(at)
    ]


def pareto(points: list[Point]) -> set[tuple[int, frozenset[Any]]]:
    """Points that no other one lies within, pair by pair."""

    def within(a: Point, b: Point) -> bool:
        return a != b and not a[0] & ~b[0] and all(a[1][name] <= b[1][name] for name in a[1])

    kept = [b for b in points if not any(within(a, b) for a in points)]
    return {(flags, frozenset(one for one in short.items() if one[1] > 0)) for flags, short in kept}


def told(case: Asked, change: Change) -> tuple[int, frozenset[Any]]:
    """A change as such a point."""
    found = {
        (one.rule, one.side): round(np.inf if one.short is None else one.short, 6)
        for one in change.amounts
    }
    named = {rule for rule, _ in found}
    flags = [name for name in change.rules if name not in named]
    return mask_of(case.judged().rules, flags), frozenset(found.items())


@some
@given(random_asked(), st.integers(0, 10), st.booleans())
def test_same_as_all_completions(case: Asked, which: int, wider: bool) -> None:
    market, verdicts = case.market, case.judged()
    for shock in range(len(verdicts.state)):
        found = account_of(verdicts, shock).corrections
        one = found[which % len(found)]
        rules = list(one.rules)
        if wider:
            rules += [n for n in verdicts.rules.bits if class_of(n) == "wish" and n not in rules]
        points = [
            point
            for all_ in every(market, case.wishes, shock)
            for point in shortfalls(all_, rules, one.sure)
        ]
        distinct = list({(f, tuple(sorted(s.items()))): (f, s) for f, s in points}.values())
        got = least_changes(market, case.wishes, shock, rules, one.sure)
        mine = {told(case, change) for change in got}
        assert mine == pareto(distinct)
        assert len(mine) == len(got)


def with_amounts(case: Asked, change: Change, less: float = 0.0) -> Asked:
    """The question with every wish that a change names given by its amount, less a little."""
    raw: dict[str, Any] = {}
    for amount in change.amounts:
        assert amount.value is not None
        field, side = FIELDS[amount.fact]
        now = float(case.market.scalars[amount.fact].corners[0])
        value = amount.value - less * np.sign(amount.value - now)
        if side is None:
            raw[field] = {"must": max(value, 0.0)}
        else:
            band = raw.get(field, {}).get("must") or [
                float(case.market.scalars[one].corners[0])
                for one, (name, _) in FIELDS.items() if name == field
            ]  # fmt: skip
            band[side] = max(value, 0.0)
            raw[field] = {"must": band}
    wishes = tables.question({}, {}, raw).wishes
    given_ = case.wishes.model_copy(
        update={name: getattr(wishes, name) for name in raw}
    )
    question = type(case.question)(case.question.bike, case.question.rider, given_, "")
    return Asked(question, case.catalogue)


@some
@given(random_asked())
def test_applied_it_lets_the_shock_in_and_less_does_not(case: Asked) -> None:
    verdicts = case.judged()
    for shock in range(len(verdicts.state)):
        for one in account_of(verdicts, shock).corrections:
            if one.kind != "rider" or not one.rules:
                continue
            for change in changes_for(case.market, case.wishes, shock, one)[:3]:
                names = {amount.rule for amount in change.amounts}
                if names != set(change.rules) or any(a.value is None for a in change.amounts):
                    continue
                state = with_amounts(case, change).states()[shock]
                assert state == FITS if change.sure else state != RULED_OUT
                if len(change.amounts) == 1 and "sag" not in names:
                    # Of one amount alone nothing less will do.
                    less = with_amounts(case, change, 0.01).states()[shock]
                    assert less != FITS if change.sure else less == RULED_OUT


def test_dear_alone_or_a_little_of_both() -> None:
    """'budget + 400' hides 'budget + 5 and 3 g'."""
    case = asked(
        shocks=[build.shock(price=300, mass_g=420)],
        kits=[
            build.kit("HEAVY", price=3, mass_g=44),
            build.kit("DEAR", price=200.5, mass_g=42.5),
        ],
        wishes={"budget": {"must": 301}, "mass_g": {"must": 505}},
    )  # fmt: skip
    shock = 0
    verdicts = case.judged()
    found = account_of(verdicts, shock).corrections
    assert ("wish: budget",) in [one.rules for one in found]
    budget = next(one for one in found if one.rules == ("wish: budget",))
    alone = least_changes(case.market, case.wishes, shock, budget.rules, True)
    assert [[a.short for a in one.amounts] for one in alone] == [[400.0]]
    assert alone[0].amounts[0].value == pytest.approx(701)
    both = changes_for(case.market, case.wishes, shock, budget)
    told_ = [{a.rule: a.short for a in one.amounts} for one in both]
    assert {"wish: budget": 400.0} in told_
    assert {"wish: budget": 5.0, "wish: mass": 3.0} in told_
    assert both[0].rules == ("wish: budget",)
    assert both[0].completion.label("head_kit") == "DEAR"


def test_both_sides_of_a_band_are_told() -> None:
    """Travel of 130 +/- 10 mm where 128 to 132 is wished for: short at either end."""
    case = asked(
        merged({}, {"leverage": {"stroke_mm": 50, "ratio_start": None, "ratio_end": None,
                                 "travel_mm": "130 +/- 10"}}),
        shocks=[build.shock(stroke_settings_mm="")],
        wishes={"travel_mm": {"must": [128, 132]}},
    )  # fmt: skip
    found = least_changes(case.market, case.wishes, 0, ["wish: travel"], True)
    assert [(a.side, round(a.short or 0, 6), round(a.value or 0, 6)) for a in found[0].amounts] == [
        (0, 8.0, 120.0), (1, 8.0, 140.0),
    ]  # fmt: skip


def test_unbeaten_rows() -> None:
    flags = np.array([1, 1, 3, 0, 1], np.uint64)
    amounts = np.array([[2.0, 2.0], [1.0, 3.0], [2.0, 2.0], [9.0, 9.0], [2.0, 2.0]])
    assert sorted(unbeaten(flags, amounts).tolist()) == [0, 1, 3]


def test_unknown_rule_name() -> None:
    case = asked()
    with pytest.raises(ValueError, match="nonsense"):
        least_changes(case.market, case.wishes, 0, ["nonsense"], True)


def scarce_ones_left_out(flags: list[int], amounts: list[float]) -> list[bool]:
    """Two completions that cost this: no joint rule reads the first, the second is scarce."""
    found = Completions(
        None, (np.array([0, 1]),), np.array(flags, np.uint64), np.array([amounts]).T,  # type: ignore[arg-type]
        np.zeros((2, 4)), np.array([0, 7]),
    )  # fmt: skip
    return completions._replaced(found, np.array([False, True])).tolist()


@pytest.mark.parametrize(
    ("flags", "amounts", "needless"),
    [
        ([0, 0], [1.0, 1.0], True),
        ([0, 1], [1.0, 1.0], True),
        ([1, 0], [1.0, 1.0], False),
        ([2, 1], [1.0, 1.0], False),
        ([1, 1], [1.5, 1.0], False),
    ],
)
def test_a_scarce_completion_goes_where_a_free_one_breaks_no_more(
    flags: list[int], amounts: list[float], needless: bool
) -> None:
    assert scarce_ones_left_out(flags, amounts) == [False, needless]


def test_a_surely_least_change_goes_by_what_may_be_broken() -> None:
    """A shock a millimetre too long, and two kits: of the first nobody knows the kind, so to be
    sure it asks for one rule more than the other does."""
    kits = [build.kit("A", kind=None), build.kit("B")]
    case = asked(shocks=[build.shock(length_mm=212)], kits=kits)
    rules = ("length", "head hardware kind", "shaft hardware kind")
    for sure in (True, False):
        found = least_changes(case.market, case.wishes, 0, rules, sure)
        assert [change.rules for change in found] == [("length",)]
        parts = {found[0].completion.label(f"{end}_kit") for end in ("head", "shaft")}
        assert parts == {"B" if sure else "A"}
