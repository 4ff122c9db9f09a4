"""What a bundle amounts to, and the most points that any bundle of a shock can earn."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.certificate.combine import product_of
from recommender.certificate.evaluate import Evaluator
from recommender.certificate.joint import JOINT, ORDERED
from recommender.certificate.records import CriterionClaim
from recommender.certificate.shown import Shown
from recommender.certificate.way import Entries, Way
from recommender.rules.registry import ENTITIES, PARTS, scope

TOTALS = ("price", "mass", "days", "workshop", "doubt")
"""Quantities of a whole bundle: sums over its parts, but for the days, which are the most, and for
the rules that it may break."""
Valued = Callable[[CriterionClaim, Floats], Floats]


@dataclass(frozen=True)
class Amounts:
    """One bundle's totals, and its figures."""

    totals: Mapping[str, float]
    figures: Evaluator

    def of(self, fact: str) -> float:
        """A total or a figure."""
        if fact in self.totals:
            return self.totals[fact]
        return float(self.figures.number(fact).reshape(-1)[0])


def of_completion(found: Shown) -> Amounts:
    """What that completion amounts to at the values to score by: cents, grams, days, jobs."""
    figures = found.way.nominal(found.made.options)
    parts = {
        name: [float(figures.number(f"{part}_{name}").reshape(-1)[0]) for part in PARTS]
        for name in ("price", "labour", "mass_g", "ready_days", "workshop")
    }
    longest = max(parts["ready_days"])
    return Amounts(
        {
            "price": round(sum(parts["price"]) + sum(parts["labour"]), 2),
            "mass": round(sum(parts["mass_g"]), 0),
            "days": round(longest + 1.0 if longest > 0 else 0.0, 2),
            "workshop": float(round(sum(parts["workshop"]))),
            "doubt": float(found.possible.bit_count()),
        },
        figures,
    )


def best_points(
    way: Way, criteria: Sequence[CriterionClaim], value: Valued, sure: bool
) -> float:
    """The most points of a completion that breaks nothing, even possibly if `sure`; -inf: none."""
    shares = [_shares(way, k, criteria, value, sure) for k in range(len(way.entries))]
    best = -np.inf
    for index in product_of([len(one.rows) for one in shares]):
        choice = [one.rows[at] for one, at in zip(shares, index, strict=True)]
        stands = way.sets(choice, not sure) == 0
        if not stands.any():
            continue
        points = sum(one.points[at][stands] for one, at in zip(shares, index, strict=True))
        parts = [one.totals[at][stands] for one, at in zip(shares, index, strict=True)]
        doubtful = way.sets([rows[stands] for rows in choice], False)
        found = _totals(np.stack(parts), np.bitwise_count(doubtful).astype(float))
        for one in criteria:
            if one.fact in TOTALS:
                points = points + np.round(one.weight * value(one, found[one.fact]), 6)
        best = max(best, float(np.max(points)))
    return best


def _totals(parts: Floats, doubt: Floats) -> dict[str, Floats]:
    """Totals of completions: of every group price, mass, days and jobs, in its columns."""
    price, mass, _, jobs = np.moveaxis(parts.sum(axis=0), -1, 0)
    days = parts[:, :, 2].max(axis=0)
    return {
        "price": np.round(price, 2), "mass": np.round(mass, 0), "workshop": np.round(jobs),
        "days": np.round(np.where(days > 0, days + 1.0, 0.0), 2), "doubt": doubt,
    }  # fmt: skip


@dataclass(frozen=True)
class _Shares:
    """Some entries of a group: the points of the criteria that it decides, and what each adds to
    price, mass, days and jobs."""

    rows: Ints
    points: Floats
    totals: Floats


def _shares(
    way: Way, k: int, criteria: Sequence[CriterionClaim], value: Valued, sure: bool
) -> _Shares:
    """The group's entries that break nothing by themselves; of those that differ in nothing but
    points, the best."""
    group, side = way.entries[k], 1 if sure else 0
    rows = np.flatnonzero(group.broken[side] == 0)
    points = np.zeros(len(rows))
    for one in criteria:
        if one.fact not in TOTALS and _home(way, one.fact) == k:
            quantity = _along(way, group, way.scored.number(one.fact))[rows]
            points += np.round(one.weight * value(one, quantity), 6)
    kinds = ("price", "mass", "days", "jobs")
    columns = np.stack([_adds(way, group, name)[rows] for name in kinds], axis=1)
    read = [
        way.shelves.read_by(JOINT, name, way.options[name].row[group.at[name][rows]], not sure)
        for name in ORDERED if name in group.choices
    ]  # fmt: skip
    sums = [ends[side][rows][:, None] for ends in group.sums.values()]
    doubt = group.broken[1][rows].astype(float)[:, None]
    told_apart = np.concatenate([columns, *read, *sums, doubt], axis=1)
    _, kind = np.unique(told_apart, axis=0, return_inverse=True)
    order = np.lexsort((-points, kind.ravel()))
    first = order[np.append(True, np.diff(kind.ravel()[order]) != 0)[: len(order)]]
    return _Shares(rows[first], points[first], columns[first])


def _home(way: Way, fact: str) -> int:
    """The smallest group that has all the choices a fact depends on."""
    own = scope(fact) - {"shock"}
    fitting = [k for k, group in enumerate(way.entries) if own <= set(group.choices)]
    return min(fitting, key=lambda k: len(way.entries[k].choices))


def _along(way: Way, group: Entries, values: Floats) -> Floats:
    """Values along ENTITIES, entry by entry of the group."""
    wide = tuple(len(way.options[e]) if e in group.choices else 1 for e in ENTITIES)
    return np.broadcast_to(values, wide).ravel()


def _adds(way: Way, group: Entries, what: str) -> Floats:
    """What the parts of each entry come to; of days the most."""
    total = np.zeros(len(group))
    names = {"price": ("price", "labour"), "mass": ("mass_g",), "jobs": ("workshop",)}
    for part in group.choices or ("shock",):
        if part not in PARTS:
            continue
        if what == "days":
            ready = way.scored.number(f"{part}_ready_days")
            total = np.maximum(total, _along(way, group, ready))
            continue
        for name in names[what]:
            total = total + _along(way, group, way.scored.number(f"{part}_{name}"))
    return total
