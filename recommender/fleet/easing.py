"""How little a limit must give way to let bikes in that it leaves out, each amount proved least.

Bikes that are served stay served. Limits are eased alone first; where none is enough alone, the
fewest together that are, each in turn by the least that the ones before it allow.
"""

import math
import time
from collections.abc import Iterator, Mapping
from contextlib import suppress
from itertools import combinations

from recommender.catalogue.columns import Floats
from recommender.fleet.eased import AllInRecord, EasingRecord, Limit, LimitChange, MorePieces
from recommender.fleet.model import Model, make_model
from recommender.fleet.programme import Solved, Terms, total
from recommender.fleet.reduce import reduced
from recommender.fleet.task import Limits, Task


def one_more(
    task: Task, limits: Limits, served: Mapping[int, int], group: int | None, end: float
) -> tuple[EasingRecord, ...]:
    """The least changes that let one more bike of a group in beside those served, by group; no
    group: that let any plan be. Easings that are enough have the fewest limits that can be; those
    before them with fewer are told as not enough. `end`: by the monotonic clock."""
    task = reduced(task) if limits.alike else task
    wanted = {**served, group: served.get(group, 0) + 1} if group is not None else {}
    out: list[EasingRecord] = []
    for count in range(1, len(limits.names) + 1):
        for names in combinations(limits.names, count):
            model = make_model(task, limits, names)
            for number, bikes in wanted.items():
                model.programme.row(_of_group(model, number), least=bikes)
            out.append(_eased(model, limits, names, end))
        if any(one.enough is not False for one in out):
            break
    return tuple(out)


def all_in(task: Task, limits: Limits, served: int, end: float) -> Iterator[AllInRecord]:
    """For each limit that alone leaves bikes out, more than the `served` that are proved the most:
    the most that are served where the others hold alone, and the least for it. Last, where no
    limit alone leaves out all that they leave out together, the same of all of them."""
    task = reduced(task) if limits.alike else task
    most = served
    for name in limits.names:
        alone = _all_in(task, limits, (name,), served, end)
        if alone is not None:
            most = max(most, alone.served)
            yield alone
    together = _all_in(task, limits, limits.names, most, end) if len(limits.names) > 1 else None
    if together is not None:
        yield together


def _all_in(
    task: Task, limits: Limits, names: tuple[Limit, ...], served: int, end: float
) -> AllInRecord | None:
    """None where no more are served without those limits. Those that need not give way for it are
    not told."""
    model = make_model(task, limits, names)
    unknown = EasingRecord(limits=names, enough=None)
    try:
        found = _minimise(model, model.served, end)
    except TimeoutError:
        return AllInRecord(served=served, most=task.bikes, easing=unknown)
    if found is None or round(-found.bound) <= served:
        return None
    count, most = round(-found.objective), math.floor(1e-6 - found.bound)
    if count <= served:
        return AllInRecord(served=served, most=most, easing=unknown)
    model.programme.hold(model.served, found.objective)
    easing = _eased(model, limits, names, end)
    if easing.enough:
        changes = tuple(one for one in easing.changes if one.change > 0)
        limited = tuple(one.limit for one in changes)
        easing = EasingRecord(limits=limited, enough=True, changes=changes)
    return AllInRecord(served=count, most=most, easing=easing)


def _of_group(model: Model, group: int) -> Terms:
    ways = zip(model.columns.ways, model.task.ways, strict=True)
    return total(column for column, way in ways if way.group == group)


def _minimise(model: Model, terms: Terms, end: float) -> Solved | None:
    if end <= time.monotonic():
        raise TimeoutError
    return model.programme.minimise(terms, end)


def _eased(model: Model, limits: Limits, names: tuple[Limit, ...], end: float) -> EasingRecord:
    changes = []
    for name in names:
        try:
            found = _minimise(model, model.eased[name], end)
        except TimeoutError:
            return EasingRecord(limits=names, enough=None)
        if found is None:
            return EasingRecord(limits=names, enough=False)
        model.programme.hold(model.eased[name], found.objective)
        values = found.values
        if name == "in_stock" and names[-1] == name:
            # Of the parts that come to as few pieces, those of the cheapest plan.
            with suppress(TimeoutError):
                cheapest = _minimise(model, model.cost, end)
                values = values if cheapest is None else cheapest.values
        changes.append(_change(model, limits, name, found, values))
    return EasingRecord(limits=names, enough=True, changes=tuple(changes))


def _change(
    model: Model, limits: Limits, name: Limit, found: Solved, values: Floats
) -> LimitChange:
    """What the eased limit comes to; money is rounded up to the cent."""
    pieces: tuple[MorePieces, ...] = ()
    if name == "budget":
        budget = limits.budget or 0.0
        value = math.ceil(round(found.objective * 100, 4)) / 100
        change = round(value - budget, 2)
        least = change if found.gap == 0 else max(0.0, round(found.bound - budget, 2))
    else:
        value = change = round(found.objective)
        least = max(0, round(found.bound))
    if name == "share":
        bikes = model.task.bikes
        most = limits.most_on_one(bikes)
        value, change, least = least_share(value, bikes), change - most, max(0, least - most)
    elif name == "suppliers":
        value = limits.suppliers - change
    elif name == "builds":
        value = sum(round(values[column]) for column in model.columns.builds.values())
    elif name == "in_stock":
        pieces = tuple(
            MorePieces(part=part, more=round(values[column]))
            for part, column in sorted(model.columns.beyond_stock.items()) if round(values[column])
        )  # fmt: skip
    return LimitChange(
        limit=name, value=value, change=change, least=least, proved=least == change, pieces=pieces
    )


def least_share(count: float, bikes: int) -> float:
    """The least share, to a hundredth of a per cent, that lets so many of the bikes be alike."""
    return math.ceil(round(count / bikes * 1e4, 6)) / 1e4
