"""What is told of the entries of a way of mounting: figures, shopping lines, sizes, cautions."""

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from recommender.answer import cautions
from recommender.answer.shopping import shopping
from recommender.answer.ways import Way
from recommender.answer.wording import size_text
from recommender.catalogue.columns import Floats
from recommender.facts.wishes import Wishes
from recommender.rules.choices import DELIVERED, SERVICED
from recommender.rules.registry import scope
from recommender.search.completion import Completion
from recommender.search.frames import Frames, order
from recommender.search.whole import Whole

FIGURES = (
    "travel_mm", "sag_mm", "sag_percent", "wheel_sag_mm", "fill_psi", "rate_n_per_mm", "reserve_mm",
    "tyre_gap_mm",
)  # fmt: skip
_BOUGHT = ("head_kit", "shaft_kit", "tune", "spring", "stroke")


class Line(NamedTuple):
    """A line of the shopping list."""

    role: str
    text: str
    how: str
    price: float
    labour: float


@dataclass(frozen=True)
class Told:
    """Entry by entry its lines and cautions, and its size where the group decides the stroke."""

    lines: list[list[Line]]
    sizes: list[str]
    cautions: list[list[str]]


@dataclass
class Memo:
    """What many entries share, made once."""

    lines: dict[tuple[object, ...], tuple[str, str] | None] = field(default_factory=dict)
    sizes: dict[tuple[int, bool, int], str] = field(default_factory=dict)
    frames: tuple[object, Frames] | None = None

    def nominal(self, whole: Whole) -> Frames:
        """The nominal frames of a whole's batch, made once for ways that follow one another."""
        if self.frames is None or self.frames[0] is not whole.made:
            self.frames = (whole.made, whole.made.frames.nominal())
        return self.frames[1]


def figures(way: Way, memo: Memo) -> dict[int, dict[str, Floats]]:
    """The figures shown, in the smallest group that decides each."""
    out: dict[int, dict[str, Floats]] = {}
    frames, groups = memo.nominal(way.whole), way.whole.groups
    for name in FIGURES:
        need = set(order(scope(name)))
        home = min(
            (k for k, one in enumerate(groups) if need <= set(one.choices)),
            key=lambda k: len(groups[k].choices),
        )
        size = frames.layout(groups[home].choices).size
        with np.errstate(all="ignore"):
            every = np.broadcast_to(frames.at(name, groups[home].choices), (size,))
        out.setdefault(home, {})[name] = np.round(every[way.entries[home].row], 4)
    return out


def of_shock(way: Way) -> list[str]:
    """The cautions that the shock calls for as it is mounted."""
    base = tuple(int(one.row[0]) for one in way.entries)
    return cautions.of_choice(Completion(way.whole, base), "shock")


def told(
    way: Way, group: int, base: tuple[int, ...], wishes: Wishes, memo: Memo
) -> Told:
    """Shopping lines, size and cautions of each entry of a group; `base` is a row of each group."""
    whole, entries = way.whole, way.entries[group]
    choices = whole.groups[group].choices
    option = {name: whole.option(group, entries.row, name) for name in choices}
    roles = [role for role in _BOUGHT if role in choices] if choices else ["shock"]
    frames = memo.nominal(whole)
    cost = {
        role: [
            np.broadcast_to(frames.at(f"{role}_{what}", choices), (frames.layout(choices).size,))[
                entries.row
            ]
            for what in ("price", "labour")
        ]
        for role in roles
    }
    warns = {name: cautions.may_warn(frames, choices, name)[entries.row] for name in choices}
    lines: list[list[Line]] = []
    sizes: list[str] = []
    warned: list[list[str]] = []
    for k, row in enumerate(entries.row.tolist()):
        completion = Completion(whole, (*base[:group], row, *base[group + 1 :]))
        said: list[Line] = []
        for role in roles:
            price, labour = (round(float(one[k]), 2) for one in cost[role])
            line = _line(completion, role, option.get(role, entries.row)[k], wishes, memo)
            if line is not None and (role not in ("stroke",) or labour):
                said.append(Line(role.replace("_", " "), *line, price, labour))
        lines.append(said)
        if "stroke" in choices:
            sizes.append(_size(completion, int(option["stroke"][k]), memo))
        warned.append([
            text for name in choices if warns[name][k]
            for text in cautions.of_choice(completion, name)
        ])  # fmt: skip
    return Told(lines, sizes, warned)


def _size(completion: Completion, stroke: int, memo: Memo) -> str:
    key = (completion.whole.shock, completion.whole.turned, stroke)
    if key not in memo.sizes:
        memo.sizes[key] = size_text(completion)
    return memo.sizes[key]


def _line(
    completion: Completion, role: str, option: int, wishes: Wishes, memo: Memo
) -> tuple[str, str] | None:
    """(text, how it is come by) of one part; None where there is nothing to buy or do. The words
    are those of the shopping list, made once for each option."""
    key = _key(completion, role, option)
    if role == "tune" and completion.label("tune") == DELIVERED:
        return None
    if key not in memo.lines:
        memo.lines[key] = None
        for part in shopping(completion, wishes.currency):
            mine = part.role.replace(" ", "_")
            name = "" if part.name in part.text or mine == "stroke" else f" ({part.name})"
            name = "" if mine == "tune" and part.name == SERVICED else name
            at = key if mine == role else _key(completion, mine, _option(completion, mine))
            memo.lines.setdefault(at, None)
            memo.lines[at] = (f"{part.text}{name}", part.how)
    return memo.lines[key]


def _key(completion: Completion, role: str, option: int) -> tuple[object, ...]:
    """What a shopping line depends on."""
    shock = completion.whole.shock
    return {"shock": ("shock", shock), "stroke": (role, int(option), shock)}.get(
        role, (role, int(option))
    )


def _option(completion: Completion, role: str) -> int:
    whole = completion.whole
    for group, one in enumerate(whole.groups):
        if role in one.choices:
            return int(whole.option(group, np.array([completion.choice[group]]), role)[0])
    return -1
