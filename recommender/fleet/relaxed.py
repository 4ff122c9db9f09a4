"""Builds that stand in no covering with the fewest, told by the covering's linear relaxation."""

from collections.abc import Iterable, Mapping
from contextlib import suppress

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.fleet.programme import Programme, total
from recommender.fleet.task import Build, Task

Row = frozenset[Build]
CLOSE = 1e-6
CLEAR = 1e-2
"""How far beyond need a build is sought to miss."""


def builds_of(task: Task) -> Mapping[int, Row]:
    """The builds that serve each group that has any."""
    found: dict[int, set[Build]] = {}
    for way in task.ways:
        found.setdefault(way.group, set()).add(way.build)
    return {group: frozenset(builds) for group, builds in found.items()}


def minimal(every: Iterable[Row]) -> list[Row]:
    """The rows that hold no other: a set that holds another is met wherever that one is."""
    some = set(every)
    return sorted((one for one in some if not any(other < one for other in some)), key=sorted)


def hopeful(task: Task, end: float) -> Task:
    """The task without the builds that no plan with the fewest builds holds, where every group that
    has a way is served and nothing else limits the builds."""
    rows = minimal(builds_of(task).values())
    if not rows:
        return task
    names = sorted(set().union(*rows))
    number = {name: k for k, name in enumerate(names)}
    meets = np.zeros((len(names), len(rows)), bool)
    for k, row in enumerate(rows):
        meets[[number[name] for name in row], k] = True
    alike, which = np.unique(meets, axis=0, return_inverse=True)
    able = _able(alike, end)[which.ravel()]
    stay = {name for name, one in zip(names, able.tolist(), strict=True) if one}
    return task.only([way for way in task.ways if way.build in stay])


def _able(meets: Mask, end: float) -> Mask:
    """Which columns (one a row of `meets`, each row of the covering a column of it) may stand in a
    covering with the fewest.

    With prices u >= 0 of the rows that come to no more than 1 over the rows of any column, a
    covering that holds column b has at least sum(u) + 1 - (u over b's rows) columns (weak duality).
    Where that is more than a covering that is known has, b is in none with the fewest.
    """
    known = _greedy(meets)
    prices = _prices(meets, known, end)
    paid: Floats = meets @ prices
    # What the solver let pass by a rounding is taken back.
    most = max(1.0, float(paid.max()))
    prices, paid = np.maximum(0.0, prices) / most, paid / most
    return np.asarray(np.ceil(prices.sum() + 1.0 - paid - CLOSE) <= known)


def _prices(meets: Mask, known: int, end: float) -> Floats:
    """Prices with the greatest sum; of these such that the most columns are seen to miss. Any
    prices will do, so none are given where the time is over."""
    columns, rows = meets.shape
    programme = Programme()
    price = [programme.variable(1, whole=False) for _ in range(rows)]
    for column in meets:
        programme.row(total(price[k] for k in np.flatnonzero(column).tolist()), most=1)
    with suppress(TimeoutError):
        best = programme.minimise(total(price, -1.0), end)
        if best is None:
            return np.zeros(rows)
        clear = max(0.0, known + best.objective) + CLEAR
        spare = [programme.variable(clear, whole=False) for _ in range(columns)]
        for column, one in zip(meets, spare, strict=True):
            paid = total(price[k] for k in np.flatnonzero(column).tolist())
            programme.row({**paid, one: 1.0}, most=1)
        programme.row(total(price), least=-best.objective * (1 - CLOSE / 10))
        found = programme.minimise(total(spare, -1.0), end)
        return np.asarray((found or best).values[:rows], np.float64)
    return np.zeros(rows)


def _greedy(meets: Mask) -> int:
    """How many columns a covering has that takes the column that meets most rows each time."""
    left, number = np.ones(meets.shape[1], bool), 0
    while left.any():
        counts: Ints = meets[:, left].sum(axis=1)
        left &= ~meets[int(np.argmax(counts))]
        number += 1
    return number
