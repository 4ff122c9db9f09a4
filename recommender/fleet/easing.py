"""How little a limit must give way to let bikes in that it leaves out, each amount proved least.

Bikes that are served stay served. Limits are eased alone first; where none is enough alone, the
fewest together that are, each in turn by the least that the ones before it allow.
"""

import math
import time
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from itertools import combinations

from recommender.catalogue.columns import Floats
from recommender.fleet.model import Model, make_model
from recommender.fleet.programme import Solved, Terms, total
from recommender.fleet.reduce import reduced
from recommender.fleet.stages import hold
from recommender.fleet.task import Limits, Task


@dataclass(frozen=True)
class Amount:
    """What a limit must become: money, suppliers, bikes on one shock number, builds, or pieces
    beyond the stock, by part in `pieces`. `change`: how far that is from the limit; it is proved
    that no change below `least` is enough."""

    limit: str
    value: float
    change: float
    least: float
    pieces: tuple[tuple[str, int], ...] = ()

    @property
    def proved(self) -> bool:
        return self.least == self.change


@dataclass(frozen=True)
class Easing:
    """Limits eased together, by how much. `enough` False: by no amount; None: time ran out."""

    limits: tuple[str, ...]
    enough: bool | None
    amounts: tuple[Amount, ...] = ()


@dataclass(frozen=True)
class AllIn:
    """How many bikes are served where one limit does not hold, and the least of it for that;
    `most` of them, where it is not proved that it is no more."""

    served: int
    most: int
    easing: Easing


def one_more(
    task: Task, limits: Limits, served: Mapping[int, int], group: int | None, end: float
) -> tuple[Easing, ...]:
    """The least changes that let one more bike of a group in beside those served, by group; no
    group: that let any plan be. Easings that are enough have the fewest limits that can be; those
    before them with fewer are told as not enough. `end`: by the monotonic clock."""
    task = reduced(task) if limits.alike else task
    wanted = {**served, group: served.get(group, 0) + 1} if group is not None else {}
    out: list[Easing] = []
    for count in range(1, len(limits.names) + 1):
        for names in combinations(limits.names, count):
            model = make_model(task, limits, names)
            for number, bikes in wanted.items():
                model.programme.row(_of_group(model, number), least=bikes)
            out.append(_eased(model, limits, names, end))
        if any(one.enough is not False for one in out):
            break
    return tuple(out)


def all_in(task: Task, limits: Limits, served: int, end: float) -> Iterator[AllIn]:
    """For each limit that alone leaves bikes out, more than the `served` that are proved the most:
    the most that are served where the others hold alone, and the least for it."""
    task = reduced(task) if limits.alike else task
    for name in limits.names:
        model = make_model(task, limits, (name,))
        try:
            found = _minimise(model, model.served, end)
        except TimeoutError:
            yield AllIn(0, task.bikes, Easing((name,), None))
            continue
        if found is None or round(-found.bound) <= served:
            continue
        hold(model, model.served, found.objective)
        easing = _eased(model, limits, (name,), end)
        yield AllIn(round(-found.objective), math.floor(1e-6 - found.bound), easing)


def _of_group(model: Model, group: int) -> Terms:
    ways = zip(model.columns.ways, model.task.ways, strict=True)
    return total(column for column, way in ways if way.group == group)


def _minimise(model: Model, terms: Terms, end: float) -> Solved | None:
    left = end - time.monotonic()
    if left <= 0:
        raise TimeoutError
    return model.programme.minimise(terms, left)


def _eased(model: Model, limits: Limits, names: tuple[str, ...], end: float) -> Easing:
    amounts = []
    for name in names:
        try:
            found = _minimise(model, model.eased[name], end)
        except TimeoutError:
            return Easing(names, None)
        if found is None:
            return Easing(names, False)
        hold(model, model.eased[name], found.objective)
        values = found.values
        if name == "in_stock" and names[-1] == name:
            # Of the parts that come to as few pieces, those of the cheapest plan.
            with suppress(TimeoutError):
                cheapest = _minimise(model, model.cost, end)
                values = values if cheapest is None else cheapest.values
        amounts.append(_amount(model, limits, name, found, values))
    return Easing(names, True, tuple(amounts))


def _amount(model: Model, limits: Limits, name: str, found: Solved, values: Floats) -> Amount:
    """What the eased limit comes to; money is rounded up to the cent."""
    best, bound = found.objective, found.bound
    if name == "budget":
        budget = limits.budget or 0.0
        value = math.ceil(round(best * 100, 4)) / 100
        change = round(value - budget, 2)
        least = change if found.gap == 0 else max(0.0, round(bound - budget, 2))
        return Amount(name, value, change, least)
    if name == "share":
        most = limits.most_on_one(model.task.bikes)
        return Amount(name, round(best), round(best) - most, max(0, round(bound) - most))
    change, least = round(best), max(0, round(bound))
    if name == "suppliers":
        return Amount(name, limits.suppliers - change, change, least)
    if name == "builds":
        builds = sum(round(values[column]) for column in model.columns.builds.values())
        return Amount(name, builds, change, least)
    pieces = tuple(
        (part, round(values[column])) for part, column in sorted(model.columns.beyond_stock.items())
        if round(values[column])
    )  # fmt: skip
    return Amount(name, change, change, least, pieces)
