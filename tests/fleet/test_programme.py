"""What is told of a programme whose solver stopped before it was done."""

from types import SimpleNamespace
from unittest.mock import patch

import numpy as np
import pytest

from recommender.fleet import programme
from recommender.fleet.programme import Programme, Solved, Terms
from recommender.fleet.standardise import standardise
from recommender.fleet.task import Limits
from tests.fleet.random_tasks import random_task
from tests.fleet.test_standardise import consistent

STOPPED = 1


@pytest.mark.parametrize(
    ("factor", "bound", "told"),
    [(1.0, 3.2, 4.0), (1.0, 3.0, 3.0), (1.5, 3.2, 3.2), (1.0, 5.5, 5.0), (1.5, None, 7.5)],
)
def test_the_bound_of_whole_costs_is_rounded_up_and_no_other(
    monkeypatch: pytest.MonkeyPatch, factor: float, bound: float | None, told: float
) -> None:
    """Five pieces were found. Costs that are whole come to a whole sum, so 3.2 rules out 3."""
    found = SimpleNamespace(status=STOPPED, x=np.array([5.0]), mip_dual_bound=bound)
    monkeypatch.setattr(programme, "milp", lambda *_, **__: found)
    made = Programme()
    solved = made.minimise({made.variable(9.0): factor}, 0.0)
    assert solved is not None
    assert (solved.objective, solved.bound) == (5 * factor, told)
    assert solved.gap == pytest.approx(5 * factor - told)


def test_no_solution_in_time_is_an_error_and_none_at_all_is_told(
    monkeypatch: pytest.MonkeyPatch
) -> None:
    made = Programme()
    made.row({made.variable(1.0): 1.0}, least=2.0)
    assert made.minimise({0: 1.0}, 0.0) is None
    found = SimpleNamespace(status=STOPPED, x=None, mip_dual_bound=0.0)
    monkeypatch.setattr(programme, "milp", lambda *_, **__: found)
    with pytest.raises(TimeoutError):
        made.minimise({0: 1.0}, 0.0)


@pytest.mark.parametrize("solved", [1, 2, 3])
@pytest.mark.parametrize("seed", range(4))
def test_stages_for_which_no_time_is_left_are_told_of_the_plan_that_stands(
    seed: int, solved: int
) -> None:
    """The plan of the stage before stands; nothing rules out that none of these were needed."""
    task = random_task(seed, groups=3, builds=4, kits=2, most=1, ways=3)
    limits = Limits(budget=500.0)
    whole = standardise(task, limits)
    assert whole is not None
    left = solved

    def some(self: Programme, terms: Terms, end: float) -> Solved | None:
        nonlocal left
        left -= 1
        if left < 0:
            raise TimeoutError
        return solve(self, terms, end)

    solve = Programme.minimise
    with patch.object(Programme, "minimise", some):
        plan = standardise(task, limits)
    assert plan is not None
    assert consistent(plan)
    assert not plan.proved
    assert plan.stages[:solved] == whole.stages[:solved]
    assert all(one.gap == one.value for one in plan.stages[solved:])
