"""All that is worked out for a question, as text: verdicts, margins, bundles and their order, how
far weights may move, conflicts, least changes, what is missing, what to measure."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from recommender.answer.answer import Case, by_rule
from recommender.answer.bundle import completion_of
from recommender.answer.explained import explained
from recommender.explain.accounts import account_of, accounts
from recommender.explain.amounts import Change, changes_for
from recommender.explain.clashes import clashes
from recommender.explain.doubt import Measurement, measurements
from recommender.explain.remaining import with_left
from recommender.explain.specification import specifications
from recommender.ranking.order import Ranked
from recommender.ranking.pareto import beaten_by
from recommender.ranking.stability import stability, weight_to_win
from recommender.ranking.variety import variety
from recommender.rules.option_table import TABLE_OF
from recommender.rules.registry import FIGURES
from recommender.search.completion import Completion, Shown, least_broken, shortfalls
from recommender.search.verdicts import STATES
from recommender.search.whole import wholes
from tests.approved.plain import lines, number, short

MOST = 8
"""Of each list whose members are alike: bundles of a shock, corrections, measurements."""


def told(case: Case) -> Iterator[str]:
    """The whole account."""
    for title, make in SECTIONS.items():
        yield f"{title}"
        yield from make(case)


def _verdicts(case: Case) -> Iterator[str]:
    found = case.verdicts
    for row, key in enumerate(case.keys):
        sets = [found.rules.names(int(one[row])) for one in (found.broken, found.doubtful)]
        along = case.refined.along.get(row)
        state = STATES[int(found.state[row])], case.state(row), *([along.fact] if along else [])
        yield from lines((*state, *sets), key, 1)
        yield from lines(found.factors(row), "sets", 2)
    yield from lines([found.rules.names(int(found.always[row])) for row in range(len(case.keys))],
                     "always", 1)  # fmt: skip
    yield from lines([(one.rule, one.shocks, one.alone) for one in by_rule(found)], "by rule", 1)


def _looks(case: Case) -> Iterator[str]:
    """Every margin and figure of the first bundle and of the shock that comes nearest."""
    kept = [completion_of(case.order[0][0])] if len(case.order) else []
    for place, one in enumerate([*kept, *nearest(case)][:2]):
        yield from lines(_labels(one), case.keys[one.whole.shock], 1)
        margins = {rule.name: _ends(*one.margin(rule))
                   for group in one.whole.groups for rule in group.rules}  # fmt: skip
        # What says nothing of this shock, or a word that is right, is no news.
        some = {name: ends for name, ends in margins.items() if ends not in ("inf", "1")}
        yield from lines(some, "margins", 2)
        loose = {rule.name: one.loose(rule) for group in one.whole.groups for rule in group.rules}
        yield from lines({name: facts for name, facts in loose.items() if facts}, "loose", 2)
        if place == 0:
            figures = {name: _shown(one.shown(name)) for name in FIGURES}
            some = {name: value for name, value in figures.items() if value != "0"}
            yield from lines(some, "figures", 2)


def nearest(case: Case) -> list[Completion]:
    """The least broken completion of the first shock that is ruled out, in each way of mounting."""
    rows = np.flatnonzero(case.verdicts.state == STATES.index("ruled out"))[:1]
    every = list(wholes(case.market, case.question.wishes, rows)) if len(rows) else []
    return [least_broken(one, shortfalls(one)) for one in every]


def _labels(one: Completion) -> list[str]:
    way = ["end for end"] if one.whole.turned else []
    parts = [one.label(name) for name in TABLE_OF]
    return [*way, number(one.number("stroke_mm")), *parts]


def _ends(low: float, high: float) -> str:
    return number(low) if low == high else f"{number(low)} to {number(high)}"


def _shown(one: Shown) -> str:
    if one.kind != "number":
        return short([*one.codes])
    ends = _ends(one.low, one.high)
    return ends if one.low == one.high == one.nominal else f"{ends}, {number(one.nominal)}"


def _order(case: Case) -> Iterator[str]:
    for place, bundles in enumerate(case.order):
        first, known = bundles[0], case.order.firsts[place]
        told = known.sure, known.points, known.price, known.mass, known.stroke_mm, known.bundles
        yield from lines([*told, *known.cheapest], known.name, 1)
        assert known.values == first.values
        for score in first.scores:
            yield from lines((score.quantity, score.value), score.criterion.name, 2)
        for one in bundles[:MOST]:
            yield from lines(_bundle(one), "", 2)
    if len(case.order):
        yield from lines(beaten_by(case.order.firsts), "beaten by", 1)


def _bundle(one: Ranked) -> list[Any]:
    names = one.bundle.whole.rules.names(one.bundle.doubtful)
    sums = one.points, one.price, one.mass, one.days, one.workshop
    return [_labels(completion_of(one)), one.bundle.sure, names, *sums]


def _stands(case: Case) -> Iterator[str]:
    if len(case.order):
        for stand in stability(case.order):
            yield from lines(stand, "", 1)
        for reason, one in variety(case.order):
            yield from lines(_bundle(one), reason, 1)
    if len(case.order) > 1:
        yield from lines(weight_to_win(case.order[1][0], case.order[0][0]), "to draw level", 1)


def _why(case: Case) -> Iterator[str]:
    market, wishes, every = case.market, case.question.wishes, accounts(case.verdicts)
    yield from lines(every.of, "accounts", 1)
    for turned in case.turned(np.flatnonzero(case.refined.state != 0)):
        row, full = case.row(turned.shock), explained(case, turned, most=2)
        found = account_of(case.verdicts, row)
        yield from lines(turned.shock, "of", 1)
        yield from lines([(one.rule, one.short, one.certain, one.text) for one in full.broken],
                         "broken", 2)  # fmt: skip
        yield from lines(full.missing, "missing", 2)
        yield from lines([(one.rules, one.sure) for one in found.conflicts[:MOST]], "conflicts", 2)
        yield from lines([[one.rules for one in group[:3]] for group in found.groups], "causes", 2)
        for one in found.corrections[:3]:
            yield from lines(with_left(market, wishes, row, one), "", 2)
        for one in [one for one in found.corrections if one.kind != "nobody"][:1]:
            changes = changes_for(market, wishes, row, one)
            yield from lines([_change(change) for change in changes[:3]], "least changes", 3)
            for made in specifications(market, wishes, row, one):
                yield from lines(made.needs, made.choice, 3)
        yield from lines([one.text for one in full.corrections], "in words", 2)


def _change(one: Change) -> list[Any]:
    return [one.rules, one.sure, _labels(one.completion), *one.amounts]


def _clashes(case: Case) -> Iterator[str]:
    for sure in (True, False):
        yield from lines(clashes(case.verdicts, sure), "sure" if sure else "maybe", 1)


def _measure(case: Case) -> Iterator[str]:
    found = measurements(
        case.market, case.question.wishes, case.verdicts, state=case.refined.state,
        best=lambda market, verdicts: tuple(verdicts.state.tolist()),
    )  # fmt: skip
    for one in found[:MOST]:
        yield from lines(_measurement(one), "", 1)
    rest = [(one.unknown.fact, one.shock, one.most, one.mean) for one in found[MOST:]]
    yield from lines(rest, "and", 1)


def _measurement(one: Measurement) -> list[Any]:
    pieces = one.unknown.pieces if not one.unknown.number else "a number"
    return [one.unknown.fact, one.shock, pieces, one.first_may_change, one.mean, *one.stretches]


SECTIONS = {
    "verdicts": _verdicts, "looked at": _looks, "order": _order, "stands": _stands, "why": _why,
    "clashes": _clashes, "to measure": _measure,
}  # fmt: skip
