"""The feasible set of every group as the ways that a task is made of."""

import multiprocessing
import os
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

from recommender.catalogue.catalogue import Catalogue
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.bought import Bought, chosen
from recommender.fleet.feasible import Found, feasible
from recommender.fleet.groups import Group
from recommender.fleet.hardware import Hardware, Shelf
from recommender.fleet.task import Build, Fit, Task, Way
from recommender.fleet.trial import FIXED, SETTINGS
from recommender.rules.choices import DELIVERED, SERVICED

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
    hardware, bought = Hardware(found, shelf), Bought(found, group)
    stroke = market.stroke_mm.nominal.low
    length = frames.fact("shock_length_mm").nominal.low
    springs = chosen(frames, SETTINGS, "spring")
    strokes, tunes, clocked = (
        chosen(frames, FIXED, name) for name in ("stroke", "tune", "clocking")
    )
    out = []
    for k, (owner, at) in enumerate(zip(found.owner.tolist(), found.fixed.tolist(), strict=True)):
        row, tune = int(found.made.shock[owner]), int(tunes[at])
        stroke_mm, label = float(stroke[strokes[at]]), market.tunes.labels[tune]
        settings = found.springs[k].tolist()
        parts = [*bought.shock(owner), *bought.tune(tune)]
        for setting in settings:
            parts += bought.spring(owner, setting, int(springs[setting]))
        used = [market.springs.labels[int(springs[setting])] for setting in settings]
        ends = found.ends[k].tolist()
        detail = Mounting(
            row, bought.kept(row), bool(found.made.turned[owner]), bool(clocked[at]), stroke_mm,
            float(length[owner]), label,
            tuple(Setting(*one) for one in zip(used, ends[:-1], ends[1:], strict=True)),
            round(float(found.points[k]), 6),
        )  # fmt: skip
        build = Build(
            bought.number(row), stroke_mm, DELIVERED if label == SERVICED else label
        )
        shock = "" if detail.kept else build.shock
        work = round(float(found.price[k]) - sum(part.pieces * part.price for part in parts), 6)
        loss = round(max(0.0, round(best, 6) - detail.points), 6)
        out += [
            Way(number, build, shock, tuple(parts), work, loss, head, shaft, detail)
            for head, shaft in hardware.rectangles(k)
        ]
    return out
