"""The trade-off curve: the best plan with exactly one build, two builds, and so on."""

import time
from collections.abc import Iterator
from dataclasses import replace

from recommender.fleet.plan import Plan
from recommender.fleet.records import CurvePoint
from recommender.fleet.standardise import standardise
from recommender.fleet.task import Limits, Task


def curve(task: Task, limits: Limits, seconds: float) -> Iterator[tuple[int, Plan]]:
    """Builds and plan, from one build on, until two in a row serve no more bikes and lower no cost,
    the worth of lost points counted, or the time is over: with still more builds the cost might
    fall again. The curve passes the plan with the fewest builds."""
    end = time.monotonic() + seconds
    most = len({way.build for way in task.ways})
    dearer = 0
    best: float | None = None
    served = 0
    for count in range(1, most + 1):
        left = end - time.monotonic()
        if left <= 0:
            return
        try:
            plan = standardise(task, replace(limits, builds=count), left)
        except TimeoutError:
            return
        if plan is None:
            continue
        yield count, plan
        value = plan.stages[-1].value
        gains = plan.served > served or best is None or value < best - 1e-6
        dearer = 0 if gains else dearer + 1
        best = value if plan.served > served or best is None else min(best, value)
        served = max(served, plan.served)
        # Kits come before cost, so one dearer point may be followed by a cheaper one.
        if dearer >= 2:
            return


def curve_point(plan: Plan, builds: int) -> CurvePoint:
    """A plan's figures."""
    return CurvePoint(
        builds=builds, served=plan.served, kits=len(plan.numbers), cost=plan.cost, loss=plan.loss,
        proved=plan.proved,
    )  # fmt: skip
