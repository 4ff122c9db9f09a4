"""The page's data: what its script needs to answer again when a wish is moved.

Columns whose rows are all alike are written as one value. Texts are listed once and referred to by
number. Infinity, which JSON lacks, is null; whoever reads it knows which end is meant.
"""

import json
import math
from typing import Any

import numpy as np

from recommender.answer.accounted import Briefly
from recommender.answer.answer import Case
from recommender.answer.entries import Entries, Interval
from recommender.answer.lines import Memo, figures, of_shock, told
from recommender.answer.looks import ADJUSTERS
from recommender.answer.movable import MOVABLE, Movable, every_criterion
from recommender.answer.names import rule_label
from recommender.answer.stretches import Stretch
from recommender.answer.ways import Way
from recommender.facts.wishes import Band, Wishes
from recommender.output.screen import safe
from recommender.rules.choices import Market
from recommender.rules.registry import RULES

MUSTS = tuple(rule for rule in RULES.values() if rule.wish in MOVABLE)
"""The rules that movable wishes switch on."""
_WORD = np.uint64(0x7FFFFFFF)
"""The bits that a script's whole number holds without a sign."""


def page_data(case: Case, found: Movable) -> dict[str, Any]:
    """Everything the page's script reads, ready for `as_json`."""
    texts, market, wishes = _Texts(), case.market, case.question.wishes
    shocks = [
        _shock(market, shock, ways, wishes, texts) | _closer(found, shock)
        | {"asked": case.state(shock)}
        for shock, ways in found.ways.items()
    ]  # fmt: skip
    by_name = sorted(range(len(shocks)), key=lambda k: shocks[k]["key"])
    for place, k in enumerate(by_name):
        shocks[k]["order"] = place
    return {
        "currency": wishes.currency,
        "wishes": {name: _wish(wishes, name) for name in MOVABLE},
        "criteria": [vars(one) for one in every_criterion(found, wishes)],
        "labels": {rule.wish: rule_label(rule.bit) for rule in MUSTS},
        "tolerances": {rule.wish: rule.tolerance for rule in MUSTS},
        "bits": [rule_label(bit) for bit in found.rules.bits],
        "joint": list(found.joint),
        "settled": len(market.shocks) - len(found.ways),
        "shocks": shocks,
        "texts": texts.listed,
    }


def told_briefly(brief: Briefly) -> list[dict[str, Any]]:
    """The accounts that shocks told by rule share."""
    return [
        {
            "ways": [[one.text, one.who, one.sure] for one in account.corrections],
            "more": account.more_corrections,
            "clashes": [one.text for one in account.conflicts],
            "moreClashes": -1 if account.truncated else account.more_conflicts,
        }
        for account in brief.accounts
    ]


def as_json(data: object) -> str:
    """JSON that can stand inside a script element: no '<', '>' or '&' in it, ASCII only."""
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


class _Texts:
    """Texts by number, each once, and what else is made once."""

    def __init__(self) -> None:
        self.listed: list[str] = []
        self._at: dict[str, int] = {}
        self.memo = Memo()

    def number(self, text: str) -> int:
        text = safe(text)
        if text not in self._at:
            self._at[text] = len(self.listed)
            self.listed.append(text)
        return self._at[text]


def _wish(wishes: Wishes, name: str) -> dict[str, Any]:
    wish = getattr(wishes, name)
    return {"must": _plain(wish.must), "prefer": _plain(wish.prefer)}


def _plain(value: object) -> object:
    if isinstance(value, Band):
        return [value.low, value.high]
    return list(value) if isinstance(value, tuple) else value


def _shock(
    market: Market, shock: int, ways: tuple[Way, ...], wishes: Wishes, texts: _Texts
) -> dict[str, Any]:
    maker, model = market.shocks.text("maker")[shock], market.shocks.text("model")[shock]
    return {
        "key": safe(market.shocks.key_of(shock)),
        "name": safe(f"{maker} {model}".strip()),
        "kept": shock == market.present,
        **_own(market, shock),
        "ways": [_way(way, wishes, texts) for way in ways],
    }


def _closer(found: Movable, shock: int) -> dict[str, Any]:
    """The looks along unmeasured facts."""
    some = [[_stretch(one) for one in look.stretches] for look in found.closer.get(shock, ())]
    return {"looks": some} if some else {}


def _stretch(one: Stretch) -> dict[str, Any]:
    """The ways of mounting on one stretch of a fact, and the shock's own facts there."""
    nodes = one.nodes or ((),) * len(one.ways)
    ways = [
        {
            "groups": [
                _sums(entries) | ({"nodes": [_quantities(node[k]) for node in at]} if at else {})
                for k, entries in enumerate(way.entries)
            ],
            "joint": list(way.joint),
            "allowed": way.allowed,
            "least": way.least,
        }
        for way, at in zip(one.ways, nodes, strict=True)
    ]  # fmt: skip
    out: dict[str, Any] = {"ways": ways, "span": one.span}
    return out | (_own(*one.shock) if one.shock else {})


def _own(market: Market, shock: int) -> dict[str, Any]:
    """The shock's own facts that wishes read."""
    return {
        "kind": int(market.shocks.choice("spring_kind").codes[shock]),
        "adjusters": [int(market.shocks.choice(name).codes[shock]) for name in ADJUSTERS],
    }


def _quantities(entries: Entries) -> dict[str, Any]:
    """What the movable musts read of a group's entries."""
    return {
        "price": _interval(entries.price), "mass": _interval(entries.mass),
        "days": _interval(entries.days),
        "travel": None if entries.travel is None else _interval(entries.travel),
        "ordered": None if entries.ordered is None else _interval(entries.ordered),
    }  # fmt: skip


def _sums(entries: Entries) -> dict[str, Any]:
    """What the movable musts read of a group's entries, and what these may break beside."""
    return {
        "size": len(entries), **_quantities(entries),
        "doubt": [column((entries.doubtful >> np.uint64(s)) & _WORD) for s in (0, 31)]
        + [column(entries.doubtful >> np.uint64(62))],
        "touched": column(entries.touched.astype(float)),
    }  # fmt: skip


def _way(way: Way, wishes: Wishes, texts: _Texts) -> dict[str, Any]:
    base = tuple(int(one.row[0]) for one in way.entries)
    shown = figures(way, texts.memo)
    return {
        "turned": way.whole.turned,
        "cautions": [texts.number(one) for one in of_shock(way)],
        "groups": [
            _group(way, k, base, shown.get(k, {}), wishes, texts)
            for k in range(len(way.entries))
        ],
        "joint": list(way.joint),
        "allowed": way.allowed,
    }


def _group(
    way: Way, group: int, base: tuple[int, ...], figures: dict[str, Interval], wishes: Wishes,
    texts: _Texts,
) -> dict[str, Any]:  # fmt: skip
    entries = way.entries[group]
    names = entries.criteria
    out: dict[str, Any] = {
        **_sums(entries),
        "values": {name: column(entries.values[:, k]) for k, name in enumerate(names)},
        "quantities": {name: column(entries.quantities[:, k]) for k, name in enumerate(names)},
        "workshop": column(entries.workshop),
        "figures": {name: _figure(one) for name, one in figures.items()},
    }  # fmt: skip
    said = told(way, group, base, wishes, texts.memo)
    out["lines"] = [
        [
            [one.role, *(texts.number(words) for words in (one.text, one.price, one.labour))]
            for one in lines
        ]
        for lines in said.lines
    ]
    out["cautions"] = [[texts.number(one) for one in some] for some in said.cautions]
    out["told"] = [column(np.round(one, 4)) for one in (said.low, said.high)]
    if said.lacks.any():
        out |= {"lacks": column(said.lacks), "known": column(said.days)}
    return out | ({"sizes": [texts.number(one) for one in said.sizes]} if said.sizes else {})


def _figure(one: Interval) -> list[Any]:
    """What to show of a figure, with both ends where they differ."""
    ends = [np.round(every, 6) for every in (one.nominal, one.low, one.high)]
    alike = all(np.array_equal(ends[0], every) for every in ends[1:])
    return [column(every) for every in ends[: 1 if alike else 3]]


def _interval(one: Interval) -> list[Any]:
    return [column(one.nominal), column(one.low), column(one.high)]


def column(values: Any) -> Any:
    """A column for JSON: one value where all are alike, whole numbers as such."""
    cells = [_cell(value) for value in np.asarray(values).tolist()]
    return cells[0] if cells and all(one == cells[0] for one in cells) else cells


def _cell(value: float) -> float | int | None:
    if not math.isfinite(value):
        return None
    return int(value) if value == int(value) and abs(value) < 2**53 else value
