"""Every shock's first place: its best bundle in figures, and the order of the shocks by it."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.ranking.field import MILLION, Field, Lot


@dataclass(frozen=True)
class First:
    """A shock's best bundle in figures, and how many it has. `cheapest` is what puts its cheapest
    bundle before another shock's: price, points lost, mass."""

    shock: int
    name: str
    sure: bool
    points: float
    price: float
    mass: float
    values: tuple[float, ...]
    stroke_mm: float
    bundles: int
    cheapest: tuple[float, float, float]

    @property
    def key(self) -> tuple[bool, float, float, float, str]:
        """Sure before open, then points, price, mass, then the shock's name."""
        return not self.sure, -self.points, self.price, self.mass, self.name


def firsts(field: Field, names: list[str]) -> tuple[First, ...]:
    """The best of every shock that has a bundle, best shock first; `names` are the shocks'."""
    best: dict[int, First] = {}
    for lot in field.lots():
        for one in _of_lot(field, lot, names):
            best[one.shock] = _better(best[one.shock], one) if one.shock in best else one
    return tuple(sorted(best.values(), key=lambda one: one.key))


def _of_lot(field: Field, lot: Lot, names: list[str]) -> Iterable[First]:
    if not len(lot.owner):
        return
    price, mass, points = lot.totals["price"], lot.totals["mass"], lot.points
    start = np.flatnonzero(np.append(True, lot.owner[1:] != lot.owner[:-1]))
    best = _first_of(start, -points, price, mass)
    least = _first_of(start, price, -points, mass)
    count = np.diff(np.append(start, len(lot.owner)))
    values, stroke = lot.values(field.criteria, best), lot.stroke_mm(best)
    for k, (row, low) in enumerate(zip(best.tolist(), least.tolist(), strict=True)):
        shock = int(lot.entrants.shock[lot.owner[row]])
        yield First(
            shock, names[shock], lot.entrants.sure, int(points[row]) / MILLION, float(price[row]),
            float(mass[row]), tuple(values[k].tolist()), float(stroke[k]), int(count[k]),
            (float(price[low]), -int(points[low]) / MILLION, float(mass[low])),
        )  # fmt: skip


def _first_of(start: Ints, *keys: np.ndarray) -> Ints:
    """Of each run of rows the one that comes first by those keys; of equals the first."""
    run = np.repeat(np.arange(len(start)), np.diff(np.append(start, len(keys[0]))))
    rows = np.arange(len(run))
    for key in keys:
        least = np.minimum.reduceat(key[rows], np.searchsorted(run[rows], np.arange(len(start))))
        rows = rows[key[rows] == least[run[rows]]]
    return rows[np.searchsorted(run[rows], np.arange(len(start)))]


def _better(one: First, other: First) -> First:
    """Two ways of mounting a shock as one: the better, of equals the first."""
    front = other if other.key < one.key else one
    cheapest = min(one.cheapest, other.cheapest)
    return First(**{**vars(front), "bundles": one.bundles + other.bundles, "cheapest": cheapest})
