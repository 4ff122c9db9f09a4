"""The task as a mixed-integer programme: who is served which way, with which kits.

Bikes of a group are alike, so variables count bikes. Kits are chosen for all ways that share a
set of fitting kits at once: which bike of them takes which is of no consequence.
"""

from collections import defaultdict
from dataclasses import dataclass

from recommender.catalogue.columns import Floats
from recommender.fleet.programme import Programme, Terms, total
from recommender.fleet.task import Fit, Limits, Task

Place = tuple[int, str, int]
"""Group, end and set of kits."""


@dataclass(frozen=True)
class Columns:
    """Where the variables stand: bikes per way, kits per place, and what is used at all."""

    ways: list[int]
    kits: dict[tuple[Place, int], int]
    builds: dict[str, int]
    numbers: dict[str, int]
    from_hand: dict[str, int]


@dataclass(frozen=True)
class Model:
    """A task's programme and its four objectives."""

    task: Task
    programme: Programme
    columns: Columns
    cost: Terms
    weighed: Terms

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

    def kits_of(self, values: Floats) -> dict[Place, list[tuple[Fit, int]]]:
        """Kits and how many, place by place, in a solution."""
        out: dict[Place, list[tuple[Fit, int]]] = defaultdict(list)
        for (place, row), column in self.columns.kits.items():
            if round(values[column]):
                out[place].append((self.task.fits[place[2]][row], round(values[column])))
        return out


def make_model(task: Task, limits: Limits) -> Model:
    """The programme of a task within its limits."""
    programme = Programme()
    ways = [programme.variable(task.sizes[way.group]) for way in task.ways]
    builds = {name: programme.variable(1) for name in sorted({way.build for way in task.ways})}
    by_group: dict[int, list[int]] = defaultdict(list)
    by_build: dict[tuple[int, str], list[int]] = defaultdict(list)
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
    _add_stock(programme, task, made, limits, cost, weighed)
    _add_limits(programme, task, made, limits, cost)
    return Model(task, programme, made, cost, weighed)


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
    cost: dict[int, float], weighed: dict[int, float],
) -> None:  # fmt: skip
    """Pieces on hand are taken off the order, and the order kept within the suppliers' stock."""
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
            programme.row(terms, most=most)


def _add_limits(
    programme: Programme, task: Task, columns: Columns, limits: Limits, cost: dict[int, float]
) -> None:
    if limits.budget is not None:
        programme.row(cost, most=limits.budget + 1e-6)
    if limits.share is not None:
        most = int(limits.share * task.bikes + 1e-9)
        by_shock: dict[str, list[int]] = defaultdict(list)
        for column, way in zip(columns.ways, task.ways, strict=True):
            by_shock[shock_number(way.build)].append(column)
        for alike in by_shock.values():
            programme.row(total(alike), most=most)
    used: dict[str, list[int]] = defaultdict(list)
    for column, way in zip(columns.ways, task.ways, strict=True):
        used[way.build].append(column)
    if limits.builds is not None:
        programme.row(total(columns.builds.values()), limits.builds, limits.builds)
        for build, alike in used.items():
            programme.row({**total(alike), columns.builds[build]: -1.0}, least=0)
    if limits.suppliers:
        from_whom: dict[str, list[int]] = defaultdict(list)
        for column, way in zip(columns.ways, task.ways, strict=True):
            if way.supplier:
                from_whom[way.supplier].append(column)
        counted = []
        for alike in from_whom.values():
            counted.append(programme.variable(1))
            programme.row({**total(alike), counted[-1]: -1.0}, least=0)
        programme.row(total(counted), least=limits.suppliers)


def shock_number(build: str) -> str:
    """The shock's part number in a build's name."""
    return build.split(" | ")[0]
