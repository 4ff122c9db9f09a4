"""Ways, builds and kits that another makes needless, left out before the programme is solved.

Only where no limit tells parts apart: one that serves wherever the other does, with kits that
include the other's, at no more cost and no more loss, may take its place in any plan, and no stage
gets worse. Ties keep the first by name, so the order of rows does not matter.
"""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.fleet.task import Build, Fit, Task, Way

CENT = 1e-9


def reduced(task: Task) -> Task:
    """The task without what is needless."""
    task = _fewer_kits(task)
    ways = [way for alike in _by_group(task.ways).values() for way in _one_build_each(task, alike)]
    return task.only(_fewer_builds(task, ways))


def _by_group(ways: "tuple[Way, ...] | list[Way]") -> dict[int, list[Way]]:
    out: dict[int, list[Way]] = defaultdict(list)
    for way in ways:
        out[way.group].append(way)
    return out


def _fewer_kits(task: Task) -> Task:
    """Each set without the kits that another kit replaces in every set where they stand."""
    names = sorted({fit.part.name for one in task.fits for fit in one if fit.counted})
    row = {name: k for k, name in enumerate(names)}
    cost = np.full((len(names), len(task.fits)), np.inf)
    for k, one in enumerate(task.fits):
        for fit in one:
            if fit.counted:
                cost[row[fit.part.name], k] = fit.cost
    uses = np.isfinite(cost)
    total = np.where(uses, cost, 0.0).sum(axis=1)
    keep: list[int] = []
    for k in np.lexsort((np.arange(len(names)), total, -uses.sum(axis=1))).tolist():
        if not keep or not (cost[keep] <= cost[k] + CENT).all(axis=1).any():
            keep.append(k)
    stay = {names[k] for k in keep}
    fits = tuple(
        tuple(fit for fit in one if not fit.counted or fit.part.name in stay) for one in task.fits
    )
    return Task(task.sizes, task.ways, fits, task.point)


@dataclass(frozen=True)
class _Column:
    """Ways of one group as arrays."""

    cost: np.ndarray
    loss: np.ndarray
    head: Ints
    shaft: Ints

    @classmethod
    def of(cls, ways: list[Way]) -> "_Column":
        return cls(
            np.array([way.cost for way in ways]), np.array([way.loss for way in ways]),
            np.array([way.head for way in ways], np.int64),
            np.array([way.shaft for way in ways], np.int64),
        )  # fmt: skip

    def betters(self, k: int, within: dict[int, Mask]) -> Mask:
        """Ways that serve as well as the k-th, at no more cost and loss; itself among them."""
        mask: Mask = (self.cost <= self.cost[k] + CENT) & (self.loss <= self.loss[k] + CENT)
        mask &= within[int(self.head[k])][self.head]
        return mask & within[int(self.shaft[k])][self.shaft]


def _within(task: Task, ways: list[Way]) -> dict[int, Mask]:
    """For each set of kits the sets that hold all of it, for the sets that these ways use."""
    keys = sorted({way.head for way in ways} | {way.shaft for way in ways})
    names = {key: _names(task.fits[key]) for key in keys}
    free = {key: any(not fit.counted and fit.cost == 0 for fit in task.fits[key]) for key in keys}
    out = {}
    for key in keys:
        mask = np.zeros(len(task.fits), bool)
        # Hardware that is on the bike and costs nothing is as good as any kit.
        mask[[other for other in keys if free[other] or names[key] <= names[other]]] = True
        out[key] = mask
    return out


def _names(fits: tuple[Fit, ...]) -> frozenset[tuple[str, bool, float]]:
    return frozenset((fit.part.name, fit.counted, fit.cost) for fit in fits)


def _one_build_each(task: Task, ways: list[Way]) -> list[Way]:
    """A group's ways, less those that another way to the same build replaces."""
    within = _within(task, ways)
    by_build: dict[Build, list[Way]] = defaultdict(list)
    for way in ways:
        by_build[way.build].append(way)
    out = []
    for alike in by_build.values():
        if len(alike) == 1:
            out += alike
            continue
        alike = sorted(alike, key=lambda way: (way.cost, way.loss, way.head, way.shaft))
        columns = _Column.of(alike)
        gone = np.zeros(len(alike), bool)
        for k in range(len(alike)):
            better = columns.betters(k, within) & ~gone
            better[k:] = False
            gone[k] = better.any()
        out += [way for way, away in zip(alike, gone.tolist(), strict=True) if not away]
    return out


def _fewer_builds(task: Task, ways: list[Way]) -> list[Way]:
    """Without the builds that another build replaces in every group that they serve."""
    names = sorted({way.build for way in ways})
    number = {name: k for k, name in enumerate(names)}
    groups = _by_group(ways)
    columns = {group: _Column.of(alike) for group, alike in groups.items()}
    within = {group: _within(task, alike) for group, alike in groups.items()}
    builds = {
        group: np.array([number[way.build] for way in alike]) for group, alike in groups.items()
    }
    places: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for group, alike in groups.items():
        for k, way in enumerate(alike):
            places[number[way.build]].append((group, k))
    weight = {
        build: (-len({group for group, _ in at}), _cheap(columns, at))
        for build, at in places.items()
    }
    gone = np.zeros(len(names), bool)
    for build in sorted(places, key=lambda b: (weight[b], b)):
        rivals: np.ndarray | None = None
        for group, k in sorted(places[build], key=lambda at: len(groups[at[0]])):
            mask = np.zeros(len(names), bool)
            mask[builds[group][columns[group].betters(k, within[group])]] = True
            rivals = mask if rivals is None else rivals & mask
        if rivals is None:
            continue
        rivals &= ~gone
        rivals[build] = False
        gone[build] = rivals.any()
    return [way for way in ways if not gone[number[way.build]]]


def _cheap(columns: dict[int, _Column], at: list[tuple[int, int]]) -> float:
    return float(sum(columns[group].cost[k] for group, k in at))
