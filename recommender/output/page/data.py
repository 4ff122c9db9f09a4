"""The page's data: what its script needs to answer again when a wish is moved.

Columns whose rows are all alike are written as one value. Texts are listed once and referred to by
number. Infinity, which JSON lacks, is null; whoever reads it knows which end is meant.
"""

import json
import math
from typing import Any

import numpy as np

from recommender.answer import cautions
from recommender.answer.answer import Case
from recommender.answer.movable import MOVABLE, Interval, Movable, Way
from recommender.answer.shopping import shopping
from recommender.answer.wording import size_text
from recommender.facts.wishes import Band, Wishes
from recommender.output.terminal import safe
from recommender.ranking.criteria import TOTALS, Criterion, criteria
from recommender.rules.choices import DELIVERED, SERVICED, Market
from recommender.rules.registry import scope
from recommender.search.completion import Completion
from recommender.search.frames import order
from recommender.search.joint import JOINT

FIGURES = (
    "travel_mm", "sag_mm", "sag_percent", "wheel_sag_mm", "fill_psi", "rate_n_per_mm", "reserve_mm",
    "tyre_gap_mm",
)  # fmt: skip
_ADJUSTERS = (
    "rebound_adjuster", "low_speed_compression_adjuster", "high_speed_compression_adjuster",
    "lockout_lever",
)  # fmt: skip
_WORD = np.uint64(0x7FFFFFFF)
"""The bits that a script's whole number holds without a sign."""
_BOUGHT = ("head_kit", "shaft_kit", "tune", "spring", "stroke")


def page_data(case: Case, found: Movable) -> dict[str, Any]:
    """Everything the page's script reads, ready for `as_json`."""
    texts, market, wishes = _Texts(), case.market, case.question.wishes
    shocks = [
        _shock(market, shock, ways, wishes, texts) | {"asked": case.state(shock)}
        for shock, ways in found.ways.items()
    ]
    by_name = sorted(range(len(shocks)), key=lambda k: shocks[k]["key"])
    for place, k in enumerate(by_name):
        shocks[k]["order"] = place
    return {
        "currency": wishes.currency,
        "wishes": {name: _wish(wishes, name) for name in MOVABLE},
        "criteria": [_criterion(one, wishes) for one in _all_criteria(found, wishes)],
        "bits": list(found.rules.bits),
        "joint": list(JOINT),
        "settled": len(market.shocks) - len(found.ways),
        "shocks": shocks,
        "texts": texts.listed,
    }


def as_json(data: object) -> str:
    """JSON that can stand inside a script element: no '<', '>' or '&' in it, ASCII only."""
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


class _Texts:
    """Texts by number, each once."""

    def __init__(self) -> None:
        self.listed: list[str] = []
        self._at: dict[str, int] = {}
        self.lines: dict[tuple[object, ...], tuple[int, str] | None] = {}

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


def _all_criteria(found: Movable, wishes: Wishes) -> list[Criterion]:
    """Every criterion that can count, in the order in which they are listed: those of the movable
    wishes stand where stating them would put them."""
    told = {
        "travel_mm": {"prefer": Band(low=0.0)}, "adjusters": {"prefer": ("rebound",)},
        "spring_kind": {"prefer": "air"},
    }  # fmt: skip
    stated = found.wishes.model_copy(update={
        name: getattr(found.wishes, name).model_copy(update=told.get(name, {}))
        for name in MOVABLE
    })  # fmt: skip
    return list(criteria(stated))


def _weight(wishes: Wishes, one: Criterion) -> float:
    own: float = getattr(wishes, one.wish).weight if one.wish else one.weight
    return own if one.wish else wishes.weights.get(one.name, own)


def _criterion(one: Criterion, wishes: Wishes) -> dict[str, Any]:
    """How its value is found: from the rows, from a total by fixed points, or from a wish that can
    be moved."""
    moved = one.wish in MOVABLE
    how = "moved" if moved else "total" if one.fact in TOTALS else "row"
    return {
        "name": one.name, "wish": one.wish, "fact": one.fact, "unit": one.unit,
        "weight": _weight(wishes, one), "how": how,
        "points": None if moved else [list(pair) for pair in one.points],
    }  # fmt: skip


def _shock(
    market: Market, shock: int, ways: tuple[Way, ...], wishes: Wishes, texts: _Texts
) -> dict[str, Any]:
    kind = market.shocks.choice("spring_kind").codes
    maker, model = market.shocks.text("maker")[shock], market.shocks.text("model")[shock]
    return {
        "key": safe(market.shocks.keys()[shock]),
        "name": safe(f"{maker} {model}".strip()),
        "kept": shock == market.present,
        "kind": int(kind[shock]),
        "adjusters": [int(market.shocks.choice(name).codes[shock]) for name in _ADJUSTERS],
        "ways": [_way(way, wishes, texts) for way in ways],
    }


def _way(way: Way, wishes: Wishes, texts: _Texts) -> dict[str, Any]:
    base = tuple(int(one.row[0]) for one in way.entries)
    completion = Completion(way.whole, base)
    figures = _figures(way)
    return {
        "turned": way.whole.turned,
        "cautions": [texts.number(one) for one in cautions.of_choice(completion, "shock")],
        "groups": [
            _group(way, k, base, figures.get(k, {}), wishes, texts) for k in range(len(way.entries))
        ],
        "joint": list(way.joint),
        "allowed": way.allowed,
    }


def _figures(way: Way) -> dict[int, dict[str, Any]]:
    """The figures shown, in the smallest group that decides each."""
    out: dict[int, dict[str, Any]] = {}
    frames, groups = way.whole.made.frames.nominal(), way.whole.groups
    for name in FIGURES:
        need = set(order(scope(name)))
        home = min(
            (k for k, one in enumerate(groups) if need <= set(one.choices)),
            key=lambda k: len(groups[k].choices),
        )
        size = frames.layout(groups[home].choices).size
        with np.errstate(all="ignore"):
            every = np.broadcast_to(frames.at(name, groups[home].choices), (size,))
        out.setdefault(home, {})[name] = column(np.round(every[way.entries[home].row], 4))
    return out


def _group(
    way: Way, group: int, base: tuple[int, ...], figures: dict[str, Any], wishes: Wishes,
    texts: _Texts,
) -> dict[str, Any]:  # fmt: skip
    entries = way.entries[group]
    names = entries.criteria
    out: dict[str, Any] = {
        "size": len(entries),
        "values": {name: column(entries.values[:, k]) for k, name in enumerate(names)},
        "quantities": {name: column(entries.quantities[:, k]) for k, name in enumerate(names)},
        "price": _interval(entries.price), "mass": _interval(entries.mass),
        "days": _interval(entries.days), "workshop": column(entries.workshop),
        "travel": None if entries.travel is None else _interval(entries.travel),
        "doubt": [column((entries.doubtful >> np.uint64(s)) & _WORD) for s in (0, 31)]
        + [column(entries.doubtful >> np.uint64(62))],
        "touched": column(entries.touched.astype(float)),
        "figures": figures,
    }  # fmt: skip
    return out | _told(way, group, base, wishes, texts)


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


def _told(
    way: Way, group: int, base: tuple[int, ...], wishes: Wishes, texts: _Texts
) -> dict[str, Any]:
    """Shopping lines, size and cautions of each entry."""
    whole, entries = way.whole, way.entries[group]
    choices = whole.groups[group].choices
    option = {name: whole.option(group, entries.row, name) for name in choices}
    roles = [role for role in _BOUGHT if role in choices] if choices else ["shock"]
    frames = whole.made.frames.nominal()
    cost = {
        role: [
            np.broadcast_to(frames.at(f"{role}_{what}", choices), (frames.layout(choices).size,))[
                entries.row
            ]
            for what in ("price", "labour")
        ]
        for role in roles
    }
    lines, sizes, warned = [], [], []
    for k, row in enumerate(entries.row.tolist()):
        completion = Completion(whole, (*base[:group], row, *base[group + 1 :]))
        said = []
        for role in roles:
            price, labour = (round(float(one[k]), 2) for one in cost[role])
            line = _line(completion, role, option.get(role, entries.row)[k], wishes, texts)
            if line is not None and (role not in ("stroke",) or labour):
                said.append([role.replace("_", " "), *line, price, labour])
        lines.append(said)
        sizes.append(_size(completion, option, k, texts))
        warned.append([texts.number(one) for one in _warnings(choices, completion)])
    return {"lines": lines, "cautions": warned} | ({"sizes": sizes} if "stroke" in choices else {})


def _size(completion: Completion, option: dict[str, Any], k: int, texts: _Texts) -> int | None:
    if "stroke" not in option:
        return None
    key = ("size", completion.whole.shock, completion.whole.turned, int(option["stroke"][k]))
    if key not in texts.lines:
        texts.lines[key] = (texts.number(size_text(completion)), "")
    found = texts.lines[key]
    return None if found is None else found[0]


def _line(
    completion: Completion, role: str, option: int, wishes: Wishes, texts: _Texts
) -> tuple[int, str] | None:
    """(text, how it is come by) of one part; None where there is nothing to buy or do. The words
    are those of the shopping list, made once for each option."""
    own = role in ("shock", "stroke")
    key: tuple[object, ...] = (role, int(option), completion.whole.shock if own else -1)
    if role == "shock":
        key = (role, completion.whole.shock)
    if role == "tune" and completion.label("tune") == DELIVERED:
        return None
    if key not in texts.lines:
        texts.lines[key] = None
        for part in shopping(completion, wishes.currency):
            if part.role.replace(" ", "_") == role:
                name = "" if part.name in part.text or role == "stroke" else f" ({part.name})"
                name = "" if role == "tune" and part.name == SERVICED else name
                texts.lines[key] = (texts.number(f"{part.text}{name}"), part.how)
    return texts.lines[key]


def _warnings(choices: tuple[str, ...], completion: Completion) -> list[str]:
    """Cautions that an entry of a group of choices calls for."""
    return [text for one in choices for text in cautions.of_choice(completion, one)]
