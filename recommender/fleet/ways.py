"""The feasible set of every group as the ways that a task is made of."""

import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Floats, Mask
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.feasible import FIXED, SETTINGS, Found, feasible, paired
from recommender.fleet.groups import Group
from recommender.fleet.task import Fit, Part, Task, Way
from recommender.rules.choices import DELIVERED, REUSED_HEAD, REUSED_SHAFT, SERVICED
from recommender.rules.fact import Fact
from recommender.rules.market import FITTED
from recommender.search.frames import Frames
from recommender.search.joint import NONE

LARGE = 500_000
"""Groups times shocks beyond which a second process is worth its start."""
REUSED = (REUSED_HEAD, REUSED_SHAFT)
UNPRICED = 50_000.0
"""A price that may lie this far apart is not known at all."""


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
    shelf = _Shelf()
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
    groups, *rest = _SHARED[-1]
    return _of_group(number, groups[number], *rest)


def _of_group(
    number: int, group: Group, catalogue: Catalogue, point: float, keep: bool
) -> _Made:
    shelf = _Shelf()
    mine: list[Way] = []
    for found in feasible(group.question, catalogue, group.changes, point):
        mine += _ways(found, number, group, shelf)
    kept = [way for way in mine if not way.shock]
    mine = kept if keep and kept else mine
    best = max((_points(way) for way in mine), default=0.0)
    ways = [replace(way, loss=round(best - _points(way), 6)) for way in mine]
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


class _Shelf:
    """The sets of kits, each kept once."""

    def __init__(self) -> None:
        self.sets: list[tuple[Fit, ...]] = []
        self._known: dict[tuple[Fit, ...], int] = {}

    def key(self, fits: tuple[Fit, ...]) -> int:
        if fits not in self._known:
            self._known[fits] = len(self.sets)
            self.sets.append(fits)
        return self._known[fits]


def _ways(found: Found, number: int, group: Group, shelf: _Shelf) -> list[Way]:
    """A way for each entry and each rectangle of kits that go together."""
    market, frames = found.market, found.made.frames
    hardware = _Hardware(found, shelf)
    namer = _Namer(found, group)
    fixed, settings = frames.layout(FIXED), frames.layout(SETTINGS)
    nominal = frames.nominal()
    shock_price = np.asarray(nominal.value("shock_price"), float)
    spring_price = np.broadcast_to(nominal.at("spring_price", SETTINGS), (settings.size,))
    _, shock_priced = _known_prices(frames.fact("shock_price"))
    suppliers = market.shocks.text("supplier")
    stock = market.shocks.number("stock")
    stroke = market.stroke_mm.nominal.low
    length = frames.fact("shock_length_mm").nominal.low
    tune_price, tune_priced = _known_prices(market.tunes.facts["price"])
    spring_rows = frames.rows_of(SETTINGS, ("spring",))
    _, spring_priced = _known_prices(frames.fact("spring_price"))
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
        work = float(found.price[k]) - sum(part.price for part in parts)
        for head, shaft in hardware.rectangles(k):
            out.append(
                Way(number, build, shock, tuple(parts), round(work, 6), 0.0, head, shaft, detail)
            )
    return out


class _Chooser:
    """The rows of its option table that the rows of a frame choose."""

    def __init__(self, frames: Frames, choices: tuple[str, ...], name: str) -> None:
        layout, one = frames.layout(choices), frames.options[name]
        self._rows = one.row[one.start[layout.owner] + layout.position[name]]

    def row(self, at: int) -> int:
        return int(self._rows[at])


def _known_prices(fact: Fact) -> tuple[Floats, Mask]:
    """The price of each row to reckon with, and whether it is told at all."""
    return fact.nominal.low, fact.high - fact.low < UNPRICED


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


class _Hardware:
    """Which sets of kits go together at the two ends of each way."""

    def __init__(self, found: Found, shelf: _Shelf) -> None:
        self.found, self.shelf = found, shelf
        market = found.market
        kits = market.kits
        price, labour = kits.facts["price"], kits.facts["labour"]
        self.price, self.told = _known_prices(price)
        self.labour = labour.nominal.low
        self.partner = paired(market)
        self.reused = np.array([label in REUSED for label in kits.labels])
        self.sums = {"price": price.high + labour.high, "mass": kits.facts["mass_g"].high}
        self.limits = {
            rule.couples: float(market.scalars[rule.reads[1]].corners[0]) + rule.tolerance
            for rule in found.rules.couplings
        }
        self._known: dict[tuple[int, int], list[tuple[int, int]]] = {}
        self._keys: dict[tuple[int, ...], int] = {}

    def rectangles(self, k: int) -> list[tuple[int, int]]:
        """Pairs of sets (as keys of the shelf) that hold all combinations that are allowed."""
        found = self.found
        key = int(found.heads[k]), int(found.shafts[k])
        if not self.limits:
            if key not in self._known:
                self._known[key] = self._made(*key, {})
            return self._known[key]
        left = {
            what: limit - float((found.high if what == "price" else found.mass)[k])
            for what, limit in self.limits.items()
        }
        return self._made(*key, left)

    def _made(self, head: int, shaft: int, left: dict[str, float]) -> list[tuple[int, int]]:
        """`left` is what the sums of both kits may come to."""
        heads = np.flatnonzero(self.found.kit_sets[0][head])
        shafts = np.flatnonzero(self.found.kit_sets[1][shaft])
        a, b = heads[:, None], shafts[None, :]
        allowed = (self.partner[a] == NONE) | (self.partner[a] == b)
        allowed &= (self.partner[b] == NONE) | (self.partner[b] == a)
        allowed &= (a != b) | ~self.reused[a]
        for what, most in left.items():
            allowed &= self.sums[what][a] + self.sums[what][b] <= most
        by_row: dict[bytes, list[int]] = {}
        for row, mask in zip(heads.tolist(), allowed, strict=True):
            if mask.any():
                by_row.setdefault(mask.tobytes(), []).append(row)
        out = []
        for pattern, rows in by_row.items():
            some = shafts[np.frombuffer(pattern, bool)].tolist()
            out.append((self._key(rows), self._key(some)))
        return out

    def _key(self, rows: list[int]) -> int:
        if tuple(rows) not in self._keys:
            self._keys[tuple(rows)] = self.shelf.key(tuple(self._fit(row) for row in rows))
        return self._keys[tuple(rows)]

    def _fit(self, row: int) -> Fit:
        kits = self.found.market.kits
        label = kits.labels[row]
        part = Part(
            label, 1, float(self.price[row]), kits.supplier[row], float(kits.stock[row]),
            bool(self.told[row]),
        )  # fmt: skip
        return Fit(part, float(self.labour[row]), label not in REUSED)
