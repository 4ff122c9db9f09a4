"""The feasible set of every group as the ways that a task is made of."""

import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.feasible import Found, feasible
from recommender.fleet.groups import Group
from recommender.fleet.hardware import Hardware, Shelf, known_prices
from recommender.fleet.task import Fit, Part, Task, Way
from recommender.fleet.trial import FIXED, SETTINGS
from recommender.rules.choices import DELIVERED, SERVICED
from recommender.rules.market import FITTED
from recommender.search.frames import Frames

LARGE = 500_000
"""Groups times shocks beyond which a second process is worth its start."""


@dataclass(frozen=True)
class Setting:
    """A spring setting and the riders it serves, kg with kit."""

    spring: str
    low: float
    high: float


@dataclass(frozen=True)
class Mounting:
    """How a way mounts and sets its shock. `row` is the shock's row in the group's market."""

    row: int
    kept: bool
    turned: bool
    clocked: bool
    stroke_mm: float
    length_mm: float
    tune: str
    settings: tuple[Setting, ...]
    points: float


def make_task(
    groups: Sequence[Group], catalogue: Catalogue, point: float = 0.0, keep: bool = False
) -> Task:
    """Every way to serve every group. `point` is what a point of one bike is worth; `keep` leaves
    bikes whose fitted shock can serve with that shock alone. All wishes must be in one currency."""
    _one_currency(groups)
    shelf = Shelf()
    ways: list[Way] = []
    for mine, sets in _each(groups, catalogue, point, keep):
        keys = [shelf.key(one) for one in sets]
        ways += [replace(way, head=keys[way.head], shaft=keys[way.shaft]) for way in mine]
    sizes = tuple(group.count for group in groups)
    return Task(sizes, tuple(ways), tuple(shelf.sets), point)


_Made = tuple[list[Way], list[tuple[Fit, ...]]]
_SHARED: list[tuple[Sequence[Group], Catalogue, float, bool]] = []
"""What a forked worker finds instead of being sent a whole catalogue."""


def _each(
    groups: Sequence[Group], catalogue: Catalogue, point: float, keep: bool
) -> Iterator[_Made]:
    """Each group's ways and its sets of kits; large questions are shared out between processes."""
    workers = min(len(groups), os.cpu_count() or 1)
    large = len(groups) * len(catalogue.shocks) > LARGE
    if workers < 2 or not large or "fork" not in multiprocessing.get_all_start_methods():
        for number, group in enumerate(groups):
            yield _of_group(number, group, catalogue, point, keep)
        return
    _SHARED.append((groups, catalogue, point, keep))
    try:
        context = multiprocessing.get_context("fork")
        with ProcessPoolExecutor(workers, mp_context=context) as pool:
            yield from pool.map(_in_worker, range(len(groups)))
    finally:
        _SHARED.pop()


def _in_worker(number: int) -> _Made:
    groups, catalogue, point, keep = _SHARED[-1]
    return _of_group(number, groups[number], catalogue, point, keep)


def _of_group(
    number: int, group: Group, catalogue: Catalogue, point: float, keep: bool
) -> _Made:
    shelf = Shelf()
    found = feasible(group.question, catalogue, group.changes, point)
    best = max((float(one.points.max()) for one in found), default=0.0)
    ways = [way for one in found for way in _ways(one, number, group, shelf, best)]
    kept = [way for way in ways if not way.shock]
    if keep and kept:
        best = max(_points(way) for way in kept)
        ways = [replace(way, loss=round(best - _points(way), 6)) for way in kept]
    return ways, shelf.sets


def mounting(way: Way) -> Mounting:
    """How the way mounts its shock. Raises TypeError for a way that was not made here."""
    if not isinstance(way.detail, Mounting):
        raise TypeError("a way without its mounting")
    return way.detail


def _points(way: Way) -> float:
    return mounting(way).points


def _one_currency(groups: Sequence[Group]) -> None:
    first = groups[0].question.wishes.currency if groups else ""
    problems = [
        Problem(
            "the fleet", f"wishes in {group.question.wishes.currency}, but the first row's are in "
            f"{first}: one currency is wanted", group.rows[0].number, "wishes",
        )
        for group in groups if group.question.wishes.currency != first
    ]  # fmt: skip
    if problems:
        raise BadInput(problems)


def _ways(found: Found, number: int, group: Group, shelf: Shelf, best: float) -> list[Way]:
    """A way for each entry and each rectangle of kits that go together; `best` are the points of
    the group's best."""
    market, frames = found.market, found.made.frames
    hardware = Hardware(found, shelf)
    namer = _Namer(found, group)
    fixed, settings = frames.layout(FIXED), frames.layout(SETTINGS)
    nominal = frames.nominal()
    shock_price = np.asarray(nominal.value("shock_price"), float)
    spring_price = np.broadcast_to(nominal.at("spring_price", SETTINGS), (settings.size,))
    _, shock_priced = known_prices(frames.fact("shock_price"))
    suppliers = market.shocks.text("supplier")
    stock = market.shocks.number("stock")
    stroke = market.stroke_mm.nominal.low
    length = frames.fact("shock_length_mm").nominal.low
    tune_price, tune_priced = known_prices(market.tunes.facts["price"])
    spring_rows = frames.rows_of(SETTINGS, ("spring",))
    _, spring_priced = known_prices(frames.fact("spring_price"))
    if spring_rows is not None:
        spring_priced = spring_priced[spring_rows]
    springs_of, strokes_of, tunes_of = (
        _Chooser(frames, layout, name)
        for layout, name in ((SETTINGS, "spring"), (FIXED, "stroke"), (FIXED, "tune"))
    )
    clocked = fixed.position["clocking"]
    air = market.springs.facts["is_coil"].low == 0
    bought = market.springs.facts["bought"].low == 1
    out = []
    for k, (owner, at) in enumerate(zip(found.owner.tolist(), found.fixed.tolist(), strict=True)):
        row = int(found.made.shock[owner])
        stroke_row, tune_row = strokes_of.row(at), tunes_of.row(at)
        build, shock = namer.name(row, float(stroke[stroke_row]), tune_row)
        parts: list[Part] = []
        if shock:
            has = bool(stock.is_known[row])
            parts.append(
                Part(shock, 1, float(shock_price[owner]), suppliers[row],
                     float(stock.top[row]) if has else np.inf, bool(shock_priced[owner]))
            )  # fmt: skip
        label = market.tunes.labels[tune_row]
        if label not in (DELIVERED, SERVICED):
            parts.append(
                Part(label, 1, float(tune_price[tune_row]), market.tunes.supplier[tune_row],
                     np.inf, bool(tune_priced[tune_row]))
            )  # fmt: skip
        used = []
        for setting in found.springs[k].tolist():
            spring = springs_of.row(setting)
            used.append(market.springs.labels[spring])
            price = float(spring_price[setting])
            name = f"volume spacers for {namer.number(row)}" if air[spring] else used[-1]
            if bought[spring] or (air[spring] and price > 0):
                sold = suppliers[row] if air[spring] else market.springs.supplier[spring]
                known = bool(spring_priced[setting])
                parts.append(
                    Part(name, 1, price, sold, float(market.springs.stock[spring]), known)
                )
        ends = found.ends[k].tolist()
        spans = tuple(Setting(*one) for one in zip(used, ends[:-1], ends[1:], strict=True))
        detail = Mounting(
            row, not shock, bool(found.made.turned[owner]),
            bool(clocked[at]), float(stroke[stroke_row]), float(length[owner]),
            label, spans, round(float(found.points[k]), 6),
        )  # fmt: skip
        work = round(float(found.price[k]) - sum(part.price for part in parts), 6)
        loss = round(max(0.0, round(best, 6) - detail.points), 6)
        for head, shaft in hardware.rectangles(k):
            out.append(
                Way(number, build, shock, tuple(parts), work, loss, head, shaft, detail)
            )
    return out


class _Chooser:
    """The rows of its option table that the rows of a frame choose."""

    def __init__(self, frames: Frames, choices: tuple[str, ...], name: str) -> None:
        layout, one = frames.layout(choices), frames.options[name]
        self._rows = one.row[one.start[layout.owner] + layout.position[name]]

    def row(self, at: int) -> int:
        return int(self._rows[at])


class _Namer:
    """Names of builds; the shock that is kept bears its own part number, so that keeping it and
    buying it again are one build."""

    def __init__(self, found: Found, group: Group) -> None:
        self.market = found.market
        self.keys = found.market.shocks.keys()
        now = group.question.bike.present_shock
        number = now.part_number if now else ""
        self.fitted = number or f"the shock now on {group.model}"

    def number(self, row: int) -> str:
        return self.fitted if self.keys[row] == FITTED else self.keys[row]

    def name(self, row: int, stroke: float, tune: int) -> tuple[str, str]:
        """The build, and the shock's number if it is bought."""
        label = self.market.tunes.labels[tune]
        label = DELIVERED if label == SERVICED else label
        number = self.number(row)
        return f"{number} | {stroke:g} mm | {label}", "" if self.keys[row] == FITTED else number
