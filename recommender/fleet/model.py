"""The task as a mixed-integer programme: who is served which way, with which kits.

Bikes of a group are alike, so variables count bikes. Kits are chosen for all ways that share a
set of fitting kits at once: which bike of them takes which is of no consequence.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Hashable
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from recommender.catalogue.columns import Floats
from recommender.fleet.programme import Programme, Terms, total
from recommender.fleet.task import Build, Fit, Limits, Task, Way

Place = tuple[int, str, int]
"""Group, end and set of kits."""

Name = TypeVar("Name", bound=Hashable)


@dataclass(frozen=True)
class Columns:
    """Where the variables stand: bikes per way, kits per place, and what is used at all."""

    ways: list[int]
    kits: dict[tuple[Place, int], int]
    builds: dict[Build, int]
    numbers: dict[str, int]
    from_hand: dict[str, int]
    beyond_stock: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Model:
    """A task's programme and its four objectives. `eased` are limits that do not hold here, each
    with what is to be least so that it gives way the least."""

    task: Task
    programme: Programme
    columns: Columns
    cost: Terms
    weighed: Terms
    eased: dict[str, Terms]

    @property
    def served(self) -> Terms:
        """Bikes served, negated: less is better in every stage."""
        return total(self.columns.ways, -1.0)

    @property
    def builds(self) -> Terms:
        return total(self.columns.builds.values())

    @property
    def numbers(self) -> Terms:
        """Hardware kits: distinct part numbers."""
        return total(self.columns.numbers.values())

    def tight(self, values: Floats) -> Floats:
        """The same plan with no build and no part number counted that it does not use."""
        ways = zip(self.columns.ways, self.task.ways, strict=True)
        builds = {way.build for column, way in ways if round(values[column])}
        fits = [fit for some in self.kits_of(values).values() for fit, _ in some]
        numbers = {fit.part.name for fit in fits if fit.counted}
        out = values.copy()
        for build, column in self.columns.builds.items():
            out[column] = build in builds
        for name, column in self.columns.numbers.items():
            out[column] = name in numbers
        return out

    def kits_of(self, values: Floats) -> dict[Place, list[tuple[Fit, int]]]:
        """Kits and how many, place by place, in a solution."""
        out: dict[Place, list[tuple[Fit, int]]] = defaultdict(list)
        for (place, row), column in self.columns.kits.items():
            if round(values[column]):
                out[place].append((self.task.fits[place[2]][row], round(values[column])))
        return out


def make_model(task: Task, limits: Limits, eased: Collection[str] = ()) -> Model:
    """The programme of a task within its limits, but for those that are eased, by name."""
    programme = Programme()
    ways = [programme.variable(task.sizes[way.group]) for way in task.ways]
    builds = {name: programme.variable(1) for name in sorted({way.build for way in task.ways})}
    by_group: dict[int, list[int]] = defaultdict(list)
    by_build: dict[tuple[int, Build], list[int]] = defaultdict(list)
    places: dict[Place, list[int]] = defaultdict(list)
    for column, way in zip(ways, task.ways, strict=True):
        by_group[way.group].append(column)
        by_build[way.group, way.build].append(column)
        places[way.group, "head", way.head].append(column)
        places[way.group, "shaft", way.shaft].append(column)
    for group, columns in by_group.items():
        programme.row(total(columns), most=task.sizes[group])
    for (group, build), columns in by_build.items():
        programme.row({**total(columns), builds[build]: -task.sizes[group]}, most=0)
    kits, numbers = _add_kits(programme, task, places)
    made = Columns(ways, kits, builds, numbers, {})
    cost, weighed = _costs(task, made)
    _add_stock(programme, task, made, limits, cost, weighed, "in_stock" in eased)
    given: dict[str, Terms] = {
        "budget": cost, "in_stock": total(made.beyond_stock.values()),
        "share": _add_share(programme, task, made, limits, "share" in eased),
        "builds": _add_builds(programme, task, made, limits, "builds" in eased),
        "suppliers": _add_suppliers(programme, task, made, limits, "suppliers" in eased),
    }  # fmt: skip
    if limits.budget is not None and "budget" not in eased:
        programme.row(cost, most=limits.budget + 1e-6)
    return Model(task, programme, made, cost, weighed, {name: given[name] for name in eased})


def _add_kits(
    programme: Programme, task: Task, places: dict[Place, list[int]]
) -> tuple[dict[tuple[Place, int], int], dict[str, int]]:
    kits: dict[tuple[Place, int], int] = {}
    numbers: dict[str, int] = {}
    uses: dict[tuple[int, str, str], list[int]] = defaultdict(list)
    for place, columns in places.items():
        group, end, key = place
        mine = []
        for row, fit in enumerate(task.fits[key]):
            column = kits[place, row] = programme.variable(task.sizes[group])
            mine.append(column)
            if fit.counted:
                uses[group, end, fit.part.name].append(column)
        programme.row({**total(columns), **total(mine, -1.0)}, 0, 0)
    for (group, _, name), columns in uses.items():
        if name not in numbers:
            numbers[name] = programme.variable(1)
        programme.row({**total(columns), numbers[name]: -task.sizes[group]}, most=0)
    return kits, numbers


def _costs(task: Task, columns: Columns) -> tuple[dict[int, float], dict[int, float]]:
    cost = {c: way.cost for c, way in zip(columns.ways, task.ways, strict=True)}
    weighed = {c: task.weigh(way) for c, way in zip(columns.ways, task.ways, strict=True)}
    for (place, row), column in columns.kits.items():
        cost[column] = weighed[column] = task.fits[place[2]][row].cost
    return cost, weighed


def _uses(task: Task, columns: Columns) -> dict[str, tuple[dict[int, float], float, float]]:
    """Each part's pieces as a sum of variables, with its price and stock."""
    uses: dict[str, tuple[dict[int, float], float, float]] = {}

    def add(name: str, column: int, pieces: int, price: float, stock: float) -> None:
        terms, _, _ = uses.setdefault(name, ({}, price, stock))
        terms[column] = terms.get(column, 0.0) + pieces

    for column, way in zip(columns.ways, task.ways, strict=True):
        for part in way.parts:
            add(part.name, column, part.pieces, part.price, part.stock)
    for (place, row), column in columns.kits.items():
        fit = task.fits[place[2]][row]
        if fit.counted:
            add(fit.part.name, column, fit.part.pieces, fit.part.price, fit.part.stock)
    return uses


def _add_stock(
    programme: Programme, task: Task, columns: Columns, limits: Limits,
    cost: dict[int, float], weighed: dict[int, float], eased: bool,
) -> None:  # fmt: skip
    """Pieces on hand are taken off the order, and the order kept within the suppliers' stock; or,
    where that is eased, the pieces beyond it are counted."""
    if not (limits.on_hand or limits.in_stock):
        return
    for name, (terms, price, stock) in _uses(task, columns).items():
        mine = limits.on_hand.get(name, 0)
        most = stock if limits.in_stock else float("inf")
        if mine:
            taken = columns.from_hand[name] = programme.variable(mine)
            programme.row({**terms, taken: -1.0}, least=0)
            cost[taken] = weighed[taken] = -price
            terms = {**terms, taken: -1.0}
        if most < float("inf"):
            if eased:
                beyond = columns.beyond_stock[name] = programme.variable(np.inf)
                terms = {**terms, beyond: -1.0}
            programme.row(terms, most=most)


def _ways_by(task: Task, columns: Columns, name: Callable[[Way], Name]) -> dict[Name, list[int]]:
    """Columns of the ways that go by one name; '' is none."""
    out: dict[Name, list[int]] = defaultdict(list)
    for column, way in zip(columns.ways, task.ways, strict=True):
        if name(way):
            out[name(way)].append(column)
    return out


def _add_share(
    programme: Programme, task: Task, columns: Columns, limits: Limits, eased: bool
) -> Terms:
    """No shock number on more than its share of the bikes; eased, the most bikes on one number,
    where that is beyond the share."""
    if limits.share is None:
        return {}
    share = limits.most_on_one(task.bikes)
    most = programme.variable(task.bikes if eased else share)
    programme.row({most: 1.0}, least=share)
    for alike in _ways_by(task, columns, lambda way: way.build.shock).values():
        programme.row({**total(alike), most: -1.0}, most=0)
    return {most: 1.0}


def _add_builds(
    programme: Programme, task: Task, columns: Columns, limits: Limits, eased: bool
) -> Terms:
    """Exactly so many builds, each of them used; eased, how many more or fewer."""
    if limits.builds is None:
        return {}
    most = len(columns.builds) if eased else 0
    more, fewer = programme.variable(most), programme.variable(limits.builds if eased else 0)
    count = {**total(columns.builds.values()), more: -1.0, fewer: 1.0}
    programme.row(count, limits.builds, limits.builds)
    for build, alike in _ways_by(task, columns, lambda way: way.build).items():
        programme.row({**total(alike), columns.builds[build]: -1.0}, least=0)
    return {more: 1.0, fewer: 1.0}


def _add_suppliers(
    programme: Programme, task: Task, columns: Columns, limits: Limits, eased: bool
) -> Terms:
    """Shocks from at least so many suppliers; eased, how many fewer."""
    if not limits.suppliers:
        return {}
    counted = []
    for alike in _ways_by(task, columns, lambda way: way.supplier).values():
        counted.append(programme.variable(1))
        programme.row({**total(alike), counted[-1]: -1.0}, least=0)
    fewer = programme.variable(limits.suppliers if eased else 0)
    programme.row({**total(counted), fewer: 1.0}, least=limits.suppliers)
    return {fewer: 1.0}
