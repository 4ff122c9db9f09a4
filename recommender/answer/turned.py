"""A shock that does not fit, or cannot be said to: every broken rule, by how much, and what is
missing."""


import numpy as np

from recommender.answer.names import fact_words
from recommender.answer.numbers import money, number
from recommender.answer.records import BrokenRule, Turned
from recommender.answer.shopping import blank_totals
from recommender.answer.wording import (
    completion_kind,
    may_break,
    says,
    sentence,
    shortfall,
    size_text,
)
from recommender.catalogue.columns import Ints
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.registry import RULES, Rule
from recommender.search.completion import Completion, least_broken, shortfalls
from recommender.search.joint import JOINT, NONE, Piece
from recommender.search.verdicts import STATES, Verdicts
from recommender.search.whole import Whole, batches, completion_sets


def turned_records(
    market: Market, wishes: Wishes, verdicts: Verdicts, shocks: Ints
) -> list[Turned]:
    """The account of each of those shocks, in the order given."""
    best: dict[int, tuple[tuple[int, float], Completion]] = {}
    for batch in batches(market, wishes, np.sort(shocks)):
        short = shortfalls(batch[0])
        for whole in batch:
            completion = least_broken(whole, short)
            weight = (_mask(completion, True).bit_count(), float(whole.turned))
            if whole.shock not in best or weight < best[whole.shock][0]:
                best[whole.shock] = (weight, completion)
    return [turned_record(best[shock][1], verdicts) for shock in shocks.tolist()]


def turned_record(completion: Completion, verdicts: Verdicts) -> Turned:
    """The account of one shock in its least-broken completion."""
    market, shock = completion.whole.market, completion.whole.shock
    certain = _mask(completion, True)
    possible = _mask(completion, False) & ~certain
    broken = [
        *_told(completion, certain, sure=True),
        *_told(completion, possible, sure=False),
    ]
    missing = dict.fromkeys(
        fact_words(leaf)
        for name in completion.whole.rules.names(possible)
        for rule in _rules(completion, name)
        for leaf in completion.loose(rule)
    )
    return Turned(
        shock=market.shocks.key_of(shock),
        maker=market.shocks.text("maker")[shock],
        model=market.shocks.text("model")[shock],
        state=STATES[int(verdicts.state[shock])],
        size=size_text(completion),
        broken=tuple(broken),
        missing=tuple(missing),
    )


def _mask(completion: Completion, certain: bool) -> int:
    choice = [np.array([row]) for row in completion.choice]
    return int(completion_sets(completion.whole, choice, certain)[0])


def _rules(completion: Completion, bit: str) -> list[Rule]:
    kind = completion_kind(completion)
    return [r for r in RULES.values() if r.bit == bit and not r.couples and r.springs in ("", kind)]


def _told(completion: Completion, mask: int, sure: bool) -> list[BrokenRule]:
    out = []
    for name in completion.whole.rules.names(mask):
        if name in JOINT:
            out.append(_joint(completion, name, sure))
            continue
        rules = [r for r in RULES.values() if r.bit == name and r.couples] or _rules(
            completion, name
        )
        for rule in rules:
            told = (
                coupled(completion, rule, sure) if rule.couples else _plain(completion, rule, sure)
            )
            if told is not None:
                out.append(told)
    return out


def _plain(completion: Completion, rule: Rule, sure: bool) -> BrokenRule | None:
    low, high = completion.margin(rule)
    worst = high if sure else low
    if worst >= -rule.tolerance:
        return None
    short = shortfall(rule, worst)
    text = says(rule, completion, short) if sure else may_break(rule, completion, short)
    return BrokenRule(
        rule=rule.name, kind=rule.kind, standing=rule.standing, short=round(short, 9),
        unit=rule.unit, text=text, certain=sure,
        fix=sentence(rule.fix, completion, short, rule.unit) if sure else "",
    )  # fmt: skip


def totals(whole: Whole, choice: tuple[int, ...], certain: bool) -> dict[str, float]:
    """Price and mass of a completion, favourable for what is certain, unfavourable otherwise."""
    sides = [pair.certain if certain else pair.possible for pair in whole.tables]
    return {
        what: sum(float(getattr(one, what)[row]) for one, row in zip(sides, choice, strict=True))
        for what in ("price", "mass")
    }


def coupled(completion: Completion, rule: Rule, sure: bool) -> BrokenRule | None:
    """A rule about a sum that is broken, for certain or possibly; None where it is not."""
    total = totals(completion.whole, completion.choice, sure)[rule.couples]
    limit = float(completion.whole.market.scalars[rule.reads[1]].corners[0])
    short = total - limit
    if short <= rule.tolerance:
        return None
    currency = completion.whole.market.currency
    text = rule.says
    for name, amount in ((rule.reads[0], total), (rule.reads[1], limit), ("short", short)):
        told = money(amount, currency) if rule.unit == "money" else number(amount, rule.unit)
        text = text.replace("{" + name + "}", told)
    if not sure:
        blank = rule.couples in blank_totals(completion)
        text = f"can't be said yet: not every part's {rule.couples} is told" if blank else (
            f"at worst {text}")  # fmt: skip
    return BrokenRule(
        rule=rule.name, kind=rule.kind, standing=rule.standing, short=round(short, 2),
        unit=rule.unit, text=text, certain=sure,
    )  # fmt: skip


def _joint(completion: Completion, name: str, sure: bool) -> BrokenRule:
    whole = completion.whole
    pieces = whole.pieces([np.array([row]) for row in completion.choice])
    text = "an adapter works only with its partner at the other end"
    if name == "pieces in stock":
        text = _scarce(whole, pieces)
    for supplier in np.flatnonzero(whole.order.minimum > 0).tolist():
        mine = [piece for piece in pieces if int(piece.supplier[0]) == supplier]
        total = sum(float(piece.low[0]) for piece in mine)
        if name == "order minimum" and mine and total < whole.order.minimum[supplier]:
            least = money(float(whole.order.minimum[supplier]), whole.market.currency)
            text = (
                f"an order from {whole.order.suppliers[supplier]} comes to "
                f"{money(total, whole.market.currency)}, below its minimum of {least}"
            )
    return BrokenRule(
        rule=name, kind="offer", standing="catalogue", short=0.0, unit="", text=text, certain=sure
    )


def _scarce(whole: Whole, pieces: list[Piece]) -> str:
    """Which part there are too few of."""
    shock, *others = pieces
    if shock.stock[0] < 1:
        return "the supplier has none of these shocks on the shelf"
    for piece in others:
        wanted = sum(int(other.part[0] == piece.part[0]) for other in others)
        if piece.part[0] != NONE and wanted > piece.stock[0]:
            row = int(piece.part[0])
            labels = whole.market.kits.labels
            name = labels[row] if row < len(labels) else "a part"
            return f"{name} is needed {wanted} times, {int(piece.stock[0])} on the shelf"
    return "more pieces of one part are needed than are on the shelf"
