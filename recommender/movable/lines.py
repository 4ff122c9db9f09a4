"""What is told of the entries of a way of mounting: figures, shopping lines, sizes, cautions."""

from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from recommender.answer import cautions
from recommender.answer.shopping import Words, named, price_words, words_of
from recommender.answer.wording import size_text
from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.movable.entries import Interval, figure_ends
from recommender.movable.priced import Cost, cost_of
from recommender.movable.ways import Way
from recommender.rules.registry import scope
from recommender.search.completion import Completion
from recommender.search.corners import Corners
from recommender.search.frames import Frames, order
from recommender.search.whole import Whole

FIGURES = (
    "travel_mm", "sag_mm", "sag_percent", "wheel_sag_mm", "fill_psi", "rate_n_per_mm", "reserve_mm",
    "tyre_gap_mm",
)  # fmt: skip
_BOUGHT = ("head_kit", "shaft_kit", "tune", "spring", "stroke")


class Line(NamedTuple):
    """A line of the shopping list, with what is said of price and labour."""

    role: str
    text: str
    how: str
    price: str
    labour: str


@dataclass(frozen=True)
class Told:
    """Entry by entry its lines and cautions, and its size where the group decides the stroke.

    `low` and `high` are the sums of what is told of price and labour, `days` the most that is told
    of the parts' days; `lacks` the bits (of `priced`) of the totals that a blank leaves open.
    """

    lines: list[list[Line]]
    sizes: list[str]
    cautions: list[list[str]]
    low: Floats
    high: Floats
    days: Floats
    lacks: Ints


@dataclass
class Memo:
    """What many entries share, made once."""

    lines: dict[tuple[object, ...], Words | None] = field(default_factory=dict)
    sizes: dict[tuple[int, bool, int], str] = field(default_factory=dict)
    batches: dict[int, "Batch"] = field(default_factory=dict)

    def batch(self, whole: Whole) -> "Batch":
        """What is the same for all ways of that whole's batch."""
        key = id(whole.made)
        if key not in self.batches:
            self.batches[key] = Batch(whole)
        return self.batches[key]


class Batch:
    """Ways that were laid out together: what is worked out for all of their rows at once."""

    def __init__(self, whole: Whole) -> None:
        self.made = whole.made
        frames = whole.made.frames
        self.nominal = frames.nominal()
        told = {name: replace(one, served=False) for name, one in frames.scalars.items()}
        self.told = Corners(Frames(frames.owners, frames.owner_facts, told, frames.options))
        self._costs: dict[tuple[tuple[str, ...], str], Cost] = {}
        self._warns: dict[tuple[tuple[str, ...], str], Mask] = {}
        self._figures: dict[tuple[tuple[str, ...], str], Interval] = {}

    def cost(self, choices: tuple[str, ...], part: str) -> Cost:
        """What that part costs, row by row of the frame of those choices."""
        if (choices, part) not in self._costs:
            made = cost_of(self.made.frames, self.nominal, choices, part)
            self._costs[choices, part] = made
        return self._costs[choices, part]

    def warns(self, choices: tuple[str, ...], choice: str) -> Mask:
        """Rows for which a choice may call for a caution."""
        if (choices, choice) not in self._warns:
            found = cautions.may_warn(self.nominal, choices, choice)
            self._warns[choices, choice] = found
        return self._warns[choices, choice]

    def figure(self, choices: tuple[str, ...], name: str) -> Interval:
        """A figure with everything that it may be; of ranges to be served, over all of them."""
        if (choices, name) not in self._figures:
            size = self.nominal.layout(choices).size
            with np.errstate(all="ignore"):
                shown = np.broadcast_to(self.nominal.at(name, choices), (size,))
            low, high = figure_ends(self.told, choices, name)
            self._figures[choices, name] = Interval(np.clip(shown, low, high), low, high)
        return self._figures[choices, name]


def figures(way: Way, memo: Memo) -> dict[int, dict[str, Interval]]:
    """The figures shown, in the smallest group that decides each."""
    out: dict[int, dict[str, Interval]] = {}
    groups = way.whole.groups
    for name in FIGURES:
        need = set(order(scope(name)))
        home = min(
            (k for k, one in enumerate(groups) if need <= set(one.choices)),
            key=lambda k: len(groups[k].choices),
        )
        every = memo.batch(way.whole).figure(groups[home].choices, name)
        out.setdefault(home, {})[name] = every.take(way.entries[home].row)
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
    batch = memo.batch(whole)
    cost = {role: batch.cost(choices, role) for role in roles}
    warns = {name: batch.warns(choices, name)[entries.row] for name in choices}
    lines: list[list[Line]] = []
    sizes: list[str] = []
    warned: list[list[str]] = []
    for k, row in enumerate(entries.row.tolist()):
        completion = Completion(whole, (*base[:group], row, *base[group + 1 :]))
        said: list[Line] = []
        for role in roles:
            price, labour = (one.told(row) for one in cost[role][:2])
            part = _words(completion, role, option.get(role, entries.row)[k], memo)
            costs = any(ends is not None and ends[1] for ends in (price, labour))
            if part is not None and (costs or not part.idle):
                words = price_words(price, labour, wishes.currency)
                told_as = named(role, part.name, part.text, part.how)
                said.append(Line(role.replace("_", " "), told_as, part.how, *words))
        lines.append(said)
        if "stroke" in choices:
            sizes.append(_size(completion, int(option["stroke"][k]), memo))
        warned.append([
            text for name in choices if warns[name][k]
            for text in cautions.of_choice(completion, name)
        ])  # fmt: skip
    return Told(lines, sizes, warned, *_sums([cost[role] for role in roles], entries.row))


def _sums(costs: list[Cost], rows: Ints) -> tuple[Floats, Floats, Floats, Ints]:
    """Of those rows what is told of all prices and labour, at least and at most, the days, and what
    is lacking."""
    ends = [one for cost in costs for one in (cost.price, cost.labour)]
    low, high = np.zeros(len(rows)), np.zeros(len(rows))
    for one in ends:
        known = ~one.blank[rows]
        low, high = low + one.low[rows] * known, high + one.high[rows] * known
    days, lacks = np.zeros(len(rows)), np.zeros(len(rows), np.int64)
    for cost in costs:
        days, lacks = np.maximum(days, cost.days[rows]), lacks | cost.lacks[rows]
    return low, high, days, lacks


def _size(completion: Completion, stroke: int, memo: Memo) -> str:
    key = (completion.whole.shock, completion.whole.turned, stroke)
    if key not in memo.sizes:
        memo.sizes[key] = size_text(completion)
    return memo.sizes[key]


def _words(completion: Completion, role: str, option: int, memo: Memo) -> Words | None:
    """What is said of a part; made once for each option."""
    shock = completion.whole.shock
    key: tuple[object, ...] = (role, int(option))
    if role in ("shock", "stroke"):
        key = (role, shock, int(option) if role == "stroke" else 0)
    if key not in memo.lines:
        memo.lines[key] = words_of(completion, role)
    return memo.lines[key]
