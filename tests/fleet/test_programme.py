"""What is told of a programme whose solver stopped before it was done."""

from types import SimpleNamespace

import numpy as np
import pytest

from recommender.fleet import programme
from recommender.fleet.programme import Programme

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
