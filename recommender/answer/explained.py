"""Explanations in words: what would let a shock in, and which wishes clash."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from recommender.answer.answer import Case
from recommender.answer.names import fine, join, rule_label, rule_words
from recommender.answer.numbers import number, span, unit_words, with_unit
from recommender.answer.records import ConflictRecord, CorrectionRecord, Turned
from recommender.answer.replies import Clash, Forgone, GiveUpRecord
from recommender.catalogue.question import Question
from recommender.explain.accounts import account_of
from recommender.explain.amounts import Amount, Change, changes_for
from recommender.explain.clashes import Clashes, GiveUp, clashes
from recommender.explain.conflicts import Conflict
from recommender.explain.corrections import Correction, class_of
from recommender.explain.remaining import with_left
from recommender.explain.specification import Need, Specification, specifications
from recommender.facts.marks import UNLIMITED
from recommender.facts.wishes import Wish
from recommender.ranking.order import Ranked, ranked
from recommender.rules.market import open_market
from recommender.rules.registry import RULES
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, RULED_OUT

MOST_SHOWN, MOST_LEFT = 6, 2
_WISHED: Mapping[str, str] = MappingProxyType({
    "wish_travel_low_mm": "travel from", "wish_travel_high_mm": "travel up to",
    "wish_sag_low_percent": "sag from", "wish_sag_high_percent": "sag up to",
    "wish_reserve_mm": "a bottom-out reserve of", "wish_budget": "a budget of",
    "wish_mass_g": "a mass of up to", "wish_days": "a wait of",
})  # fmt: skip
"""The facts behind numeric wishes, as one says them before the figure."""


_SUPPLY: Mapping[str, str] = MappingProxyType({
    "pieces in stock": "more pieces in stock",
    "order minimum": "a lower order minimum, or more on the same order",
    "sold as a pair": "the partner of the adapter at the other end",
})  # fmt: skip
"""What a supplier would have to do about a rule on what is offered."""


def explained(case: Case, turned: Turned, most: int = MOST_SHOWN) -> Turned:
    """The account with its corrections and conflicts: those of rider and shop first."""
    shock = case.row(turned.shock)
    account = account_of(case.verdicts, shock)
    found = [one for one in account.corrections if one.rules]
    made = sorted(found, key=lambda one: (one.kind == "nobody", one.key))
    sure = [one for one in account.conflicts if one.sure]
    clash = [one for one in sure if len(one.rules) <= 3] or sure[:1]
    return turned.model_copy(
        update={
            "corrections": tuple(_correction(case, shock, one) for one in made[:most]),
            "more_corrections": max(0, len(made) - most),
            "conflicts": tuple(_conflict(one) for one in clash[:most]),
            "more_conflicts": max(0, len(sure) - min(len(clash), most)),
            "truncated": account.truncated,
        }
    )


def _correction(case: Case, shock: int, one: Correction) -> CorrectionRecord:
    changes = changes_for(case.market, case.question.wishes, shock, one)
    mine = [change for change in changes if set(change.rules) == set(one.rules)]
    others = [change for change in changes if set(change.rules) != set(one.rules)]
    made = specifications(case.market, case.question.wishes, shock, one)
    if not one.sure and one.kind != "nobody":
        one = with_left(case.market, case.question.wishes, shock, one)
    return CorrectionRecord(
        rules=one.rules, who=one.kind, sure=one.sure,
        text=correction_text(case, one, mine, made),
        amounts=tuple(change_text(case, change) for change in (*mine[1:], *others)[:3]),
    )  # fmt: skip


def correction_text(
    case: Case, one: Correction, mine: list[Change], made: tuple[Specification, ...]
) -> str:
    """The correction as one sentence, by who can make it."""
    told = [specification_text(spec) for spec in made]
    amounts = change_text(case, mine[0]) if mine else ""
    end = "" if one.sure else left_text(one)
    if one.kind == "nobody":
        return barred(one)
    if one.kind == "shop":
        offers = [name for name in one.rules if class_of(name) == "offer"]
        need = "; ".join(told) or join(_SUPPLY.get(name, rule_words(name)) for name in offers)
        return need + (f", and {amounts}" if amounts else "") + end
    return (amounts or f"give up {join(rule_words(name) for name in one.rules)}") + end


def barred(one: Correction) -> str:
    """A way in that is nobody's to open, by the limits that stand in it."""
    limits = [rule_words(name) for name in one.rules if class_of(name) == "limit"]
    return f"nobody can: it would break {join(limits)}"


def left_text(one: Correction) -> str:
    """What an unsure correction still hinges on: '; even then it hinges on length'."""
    ways = [join(rule_label(name) for name in names) for names in one.left]
    told = ", or on ".join(ways[:MOST_LEFT])
    return f"; even then it hinges on {told}" if told else "; even then it can't be said for sure"


def change_text(case: Case, change: Change) -> str:
    """The amounts of a change: 'a budget of 779 EUR instead of 700 EUR'."""
    told = [_amount(case, one) for one in change.amounts if one.short is not None or one.fact]
    named = {one.rule for one in change.amounts}
    # What the shop is asked for is told beside this.
    rest = [name for name in change.rules if name not in named and class_of(name) != "offer"]
    if rest:
        told.append(f"giving up {join(rule_words(name) for name in rest)}")
    return join(told)


def _amount(case: Case, one: Amount) -> str:
    if one.fact and one.value is not None:
        unit = "money" if one.unit == "money" else one.unit
        own = case.question.wishes.currency if unit == "money" else unit_words(unit)
        now = float(case.market.scalars[one.fact].corners[0])
        was = f" instead of {number(now, unit)} {own}" if 0 < now < UNLIMITED else ""
        return f"{_WISHED[one.fact]} {number(one.value, unit)} {own}{was}"
    short = number(one.short or 0.0, one.unit)
    return f"{rule_words(one.rule)} by {with_unit(short, one.unit)}"


_NEED_WORDS: Mapping[str, str] = MappingProxyType({
    "kind": "", "width_mm": "wide", "bore_mm": "bore", "sleeve_diameter_mm": "outside diameter",
    "bushing_diameter_mm": "bushing for the eye's bore", "protrusion_mm": "of thread entering",
    "thread": "thread", "rate_n_per_mm": "rate", "inner_diameter_mm": "inner diameter",
    "free_length_mm": "free length", "usable_travel_mm": "usable travel",
    "outer_diameter_mm": "outer diameter", "needed_rebound_n_s_per_m": "of rebound",
    "needed_compression_n_s_per_m": "of compression", "rebound_class": "rebound class",
    "compression_class": "compression class", "lockout_class": "lockout class",
})  # fmt: skip


def specification_text(made: Specification) -> str:
    """'a part for the head end: sleeve, 29.5 to 30.1 mm wide, 8 to 8.2 mm bore'."""
    what = {
        "head_kit": "hardware for the head end", "shaft_kit": "hardware for the shaft end",
        "spring": "a coil spring", "tune": "a revalve",
    }[made.choice]  # fmt: skip
    needs = [text for text in (_need(one) for one in made.needs) if text]
    return f"{what} ({', '.join(needs)}), plus its cost" if needs else f"{what}, plus its cost"


def _need(one: Need) -> str:
    name = _NEED_WORDS.get(one.fact, one.fact.replace("_", " "))
    if one.words:
        return f"{name} {' or '.join(one.words)}".strip()
    unit = fine(one.fact, one.unit)
    if one.aim is not None:
        return f"{with_unit(number(one.aim, unit), unit)} {name}"
    if one.low is not None and one.high is not None:
        return f"{with_unit(span(one.low, one.high, unit), unit)} {name}"
    if one.low is not None:
        return f"at least {with_unit(number(one.low, unit), unit)} {name}"
    if one.high is not None:
        return f"at most {with_unit(number(one.high, unit), unit)} {name}"
    return ""


def _conflict(one: Conflict) -> ConflictRecord:
    names = [rule_words(name) for name in one.rules]
    text = f"{names[0]} alone" if len(names) == 1 else f"{join(names)} together"
    return ConflictRecord(rules=one.rules, sure=one.sure, text=text)


def whole_question(case: Case, most: int = 10) -> Clash:
    """Which wishes clash over the whole catalogue, what to give up, and what each would add."""
    sure = case.verdicts.count(FITS) > 0 or case.verdicts.count(OPEN) == 0
    found: Clashes = clashes(case.verdicts, sure)
    return Clash(
        sure=sure,
        met=found.met,
        clashes=tuple(tuple(rule_words(n) for n in names) for names in found.clash[:most]),
        truncated=found.truncated or len(found.clash) > most,
        give_up=tuple(_give_up(case, one) for one in found.give_up[:most]),
        more=max(0, len(found.give_up) - most),
    )


def _give_up(case: Case, one: GiveUp) -> GiveUpRecord:
    """A set of wishes with the best bundle it lets in, and what that costs on every other wish."""
    wishes = case.question.wishes
    names = [_field(name) for name in one.wishes]
    relaxed = wishes.model_copy(
        update={name: _unmust(getattr(wishes, name)) for name in names if name}
    )
    asked = Question(case.question.bike, case.question.rider, relaxed, "")
    market = open_market(asked, case.catalogue)
    rows = np.array(one.shocks)
    verdicts = judge(market, relaxed, rows)
    order = ranked(market, relaxed, verdicts, rows[verdicts.state[rows] != RULED_OUT])
    best = order[0][0] if order else None
    return GiveUpRecord(
        wishes=tuple(rule_words(name) for name in one.wishes),
        gain=one.gain,
        shocks=tuple(case.keys[row] for row in one.shocks[:20]),
        best=case.keys[best.bundle.whole.shock] if best else "",
        price=best.price if best else None,
        forgone=tuple(_forgone(case, best)) if best else (),
    )


def _unmust(wish: Wish[Any]) -> Wish[Any]:
    """The wish as a preference only."""
    return wish.model_copy(update={"must": None, "prefer": wish.aim})


def _field(bit: str) -> str:
    fields = [rule.wish for rule in RULES.values() if rule.bit == bit and rule.wish]
    return fields[0] if fields else ("sag_percent" if bit == "sag" else "")


def _forgone(case: Case, best: Ranked) -> list[Forgone]:
    """What the bundle gives on each wish that counts."""
    return [
        Forgone(
            wish=score.criterion.name, quantity=round(score.quantity, 6), unit=score.criterion.unit,
            value=score.value,
        )
        for score in best.scores
        if score.criterion.wish
    ]  # fmt: skip
