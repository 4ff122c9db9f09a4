"""Where the trade-off curve begins, passes and ends, against plans made one by one."""

import pytest

from recommender.fleet.curve import curve
from recommender.fleet.standardise import standardise
from recommender.fleet.task import Limits, Task
from tests.fleet.random_tasks import random_task


def values(task: Task) -> dict[int, float]:
    """What the best plan with exactly so many builds is worth, for every number there can be."""
    out = {}
    for count in range(1, len({way.build for way in task.ways}) + 1):
        plan = standardise(task, Limits(builds=count))
        if plan is not None:  # never more builds than bikes
            out[count] = round(plan.stages[-1].value, 3)
    return out


@pytest.mark.parametrize(("seed", "last"), [(27, 5), (2, 3), (39, 5)])
def test_one_dearer_point_is_passed_and_two_in_a_row_end_the_curve(seed: int, last: int) -> None:
    """Kits come before cost: a further build may cost more, then less. Of the last fleet one build
    serves three bikes, two serve all five: that costs more and is no dearer point."""
    task = random_task(seed, groups=5, builds=6, kits=4, most=1, ways=5)
    every = values(task)
    assert every[2] > every[1]
    found = {count: round(plan.stages[-1].value, 3) for count, plan in curve(task, Limits(), 60.0)}
    assert found == {count: value for count, value in every.items() if count <= last}


def test_no_time_is_no_curve() -> None:
    task = random_task(2, groups=5, builds=6, kits=4, most=1, ways=5)
    assert list(curve(task, Limits(), 0.0)) == []
