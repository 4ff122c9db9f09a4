"""The page's data: what its script needs to answer again when a wish is moved.

Texts, columns and groups of entries are listed once and referred to by number (`shared`).
"""

import json
from typing import Any

import numpy as np

from recommender.answer.accounted import Briefly
from recommender.answer.answer import Case
from recommender.answer.names import rule_label, unit_of
from recommender.answer.numbers import SPARE, WIDE, rounded
from recommender.facts.wishes import Band, Wishes
from recommender.movable.entries import Entries, Interval
from recommender.movable.lines import FIGURES, figures, of_shock, told
from recommender.movable.looks import ADJUSTERS
from recommender.movable.movable import MOVABLE, Counted, Movable, every_criterion
from recommender.movable.stretches import Stretch
from recommender.movable.ways import Way
from recommender.output.page.shared import FIELDS, Shared
from recommender.output.screen import safe
from recommender.rules.choices import Market
from recommender.rules.registry import RULES

MUSTS = tuple(rule for rule in RULES.values() if rule.wish in MOVABLE)
"""The rules that movable wishes switch on."""
_WORD = np.uint64(0x7FFFFFFF)
"""The bits that a script's whole number holds without a sign."""


def page_data(case: Case, found: Movable) -> dict[str, Any]:
    """Everything the page's script reads, ready for `as_json`; shocks by name."""
    market, wishes = case.market, case.question.wishes
    written = _Written(wishes, every_criterion(found, wishes))
    shocks = [
        written.shock(market, shock, found) | {"asked": case.state(shock)} for shock in found.ways
    ]
    return {
        "currency": wishes.currency,
        "wide": WIDE,
        "spare": SPARE,
        "wishes": {name: _wish(wishes, name) for name in MOVABLE},
        "criteria": [vars(one) for one in written.criteria],
        "labels": {rule.wish: rule_label(rule.bit) for rule in MUSTS},
        "tolerances": {rule.wish: rule.tolerance for rule in MUSTS},
        "bits": [rule_label(bit) for bit in found.rules.bits],
        "joint": list(found.joint),
        "settled": len(market.shocks) - len(found.ways),
        "shocks": sorted(shocks, key=lambda one: str(one["key"])),
        "figures": FIGURES,
        "fields": FIELDS,
        "groups": written.shared.groups.values,
        "columns": written.shared.columns.values,
        "texts": written.shared.texts.values,
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


def _wish(wishes: Wishes, name: str) -> dict[str, Any]:
    wish = getattr(wishes, name)
    return {"must": _plain(wish.must), "prefer": _plain(wish.prefer)}


def _plain(value: object) -> object:
    if isinstance(value, Band):
        return [value.low, value.high]
    return list(value) if isinstance(value, tuple) else value


def _own(market: Market, shock: int) -> dict[str, Any]:
    """The shock's own facts that wishes read."""
    return {
        "kind": int(market.shocks.choice("spring_kind").codes[shock]),
        "adjusters": [int(market.shocks.choice(name).codes[shock]) for name in ADJUSTERS],
    }


class _Written:
    """Shocks as they are written, with what they share."""

    def __init__(self, wishes: Wishes, criteria: list[Counted]) -> None:
        self.wishes, self.criteria = wishes, criteria
        self.shared = Shared()
        self._place = {one.name: k for k, one in enumerate(criteria)}

    def shock(self, market: Market, shock: int, found: Movable) -> dict[str, Any]:
        """A shock with its ways of mounting, and with looks along unmeasured facts if there are."""
        maker, model = market.shocks.text("maker")[shock], market.shocks.text("model")[shock]
        own = _own(market, shock)
        looks = [
            [self._stretch(one, own) for one in look.stretches]
            for look in found.closer.get(shock, ())
        ]
        return {
            "key": safe(market.shocks.key_of(shock)),
            "name": safe(f"{maker} {model}".strip()),
            **({"kept": True} if shock == market.present else {}),
            **own,
            "ways": [self._way(way) for way in found.ways[shock]],
            **({"looks": looks} if looks else {}),
        }

    def _stretch(self, one: Stretch, own: dict[str, Any]) -> dict[str, Any]:
        """The ways of mounting on one stretch of a fact, and the shock's own facts where they are
        others there."""
        nodes = one.nodes or ((),) * len(one.ways)
        ways = [
            {
                "groups": [
                    self.shared.group(self._sums(every) | self._nodes([node[k] for node in at]))
                    for k, every in enumerate(way.entries)
                ],
                **_joint(way),
            }
            for way, at in zip(one.ways, nodes, strict=True)
        ]  # fmt: skip
        there = _own(*one.shock) if one.shock else own
        out: dict[str, Any] = {"ways": ways} | ({} if there == own else there)
        return out | ({"span": one.span} if one.span else {})

    def _quantities(self, entries: Entries) -> dict[str, Any]:
        """What the movable musts read of a group's entries."""
        every = {"price": entries.price, "mass": entries.mass, "days": entries.days,
                 "travel": entries.travel, "ordered": entries.ordered}  # fmt: skip
        return {name: self.shared.interval(one) for name, one in every.items() if one is not None}

    def _nodes(self, entries: list[Entries]) -> dict[str, Any]:
        """Along a fact: of every quantity that it moves what it comes to at each value."""
        every = [self._quantities(one) for one in entries]
        names = every[0] if every else ()
        moved = {
            name: [one[name] for one in every] for name in names
            if any(one[name] != every[0][name] for one in every)
        }  # fmt: skip
        return {"nodes": moved} if moved else {}

    def _sums(self, entries: Entries) -> dict[str, Any]:
        """What the movable musts read of a group's entries, and what these may break beside."""
        doubt = [(entries.doubtful >> np.uint64(s)) & _WORD for s in (0, 31)]
        doubt.append(entries.doubtful >> np.uint64(62))
        return {
            **self._quantities(entries),
            "doubt": [self.shared.column(one) for one in doubt],
            "touched": self.shared.column(entries.touched),
        }

    def _way(self, way: Way) -> dict[str, Any]:
        base = tuple(int(one.row[0]) for one in way.entries)
        shown = figures(way, self.shared.memo)
        cautions = [self.shared.text(one) for one in of_shock(way)]
        return {
            "groups": [
                self.shared.group(self._group(way, k, base, shown.get(k, {})))
                for k in range(len(way.entries))
            ],
            **({"cautions": cautions} if cautions else {}),
            **_joint(way),
        }

    def _group(
        self, way: Way, group: int, base: tuple[int, ...], figures: dict[str, Interval]
    ) -> dict[str, Any]:
        """A group's entries with all that is told of them."""
        entries, shared = way.entries[group], self.shared
        values = {
            self._place[name]: shared.column(entries.values[:, k])
            for k, name in enumerate(entries.criteria)
        }
        said = told(way, group, base, self.wishes, shared.memo)
        lines = [
            [
                [one.role, *(shared.text(words) for words in (one.text, one.price, one.labour))]
                for one in some
            ]
            for some in said.lines
        ]
        lacks = {"lacks": said.lacks, "known": said.days} if said.lacks.any() else {}
        sizes = [shared.text(one) for one in said.sizes]
        return {
            **self._sums(entries),
            "values": values or None,
            "workshop": shared.column(entries.workshop),
            "figures": {FIGURES.index(name): self._figure(name, one)
                        for name, one in figures.items()} or None,
            "lines": shared.listing(lines),
            "cautions": shared.listing([[shared.text(one) for one in some]
                                        for some in said.cautions]),
            "told": [shared.column(np.round(one, 4)) for one in (said.low, said.high)],
            **{name: shared.column(one) for name, one in lacks.items()},
            "sizes": shared.listing(sizes) if sizes else None,
        }  # fmt: skip

    def _figure(self, name: str, one: Interval) -> int | list[int]:
        """What to show of a figure, with both ends, as it will be written."""
        ends = (
            np.array([rounded(value, unit_of(name)) for value in every.tolist()])
            for every in (one.nominal, one.low, one.high)
        )
        return self.shared.interval(Interval(*ends))


def _joint(way: Way) -> dict[str, Any]:
    """What joint rules say of a way's combinations, where they say anything."""
    out: dict[str, Any] = {"joint": list(way.joint), "allowed": way.allowed} if way.allowed else {}
    return out | ({"least": way.least} if way.least else {})
