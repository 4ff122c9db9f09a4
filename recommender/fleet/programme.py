"""A mixed-integer programme put together row by row and solved by HiGHS with its bound."""

import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from recommender.catalogue.columns import Floats

Terms = Mapping[int, float]
SOLVED, INFEASIBLE = 0, 2
CLOSE = 1e-6
LEAST_SECONDS = 1.0
"""Time that an optimum is given though the whole is over."""


@dataclass(frozen=True)
class Solved:
    """A solution's values and objective, and the bound below which no solution lies."""

    values: Floats
    objective: float
    bound: float

    @property
    def gap(self) -> float:
        """How much better another solution might still be; 0 where this one is proved best."""
        return max(0.0, self.objective - self.bound)


class Programme:
    """Variables are numbered as they are added; every one is a whole number unless said."""

    def __init__(self) -> None:
        self._upper: list[float] = []
        self._whole: list[int] = []
        self._data: list[float] = []
        self._column: list[int] = []
        self._row: list[int] = []
        self._least: list[float] = []
        self._most: list[float] = []

    def variable(self, most: float, whole: bool = True) -> int:
        """A variable from 0 to `most`."""
        self._upper.append(most)
        self._whole.append(int(whole))
        return len(self._upper) - 1

    def row(self, terms: Terms, least: float = -np.inf, most: float = np.inf) -> None:
        """least <= the sum of the terms <= most."""
        for column, factor in terms.items():
            self._column.append(column)
            self._data.append(factor)
            self._row.append(len(self._least))
        self._least.append(least)
        self._most.append(most)

    def hold(self, terms: Terms, value: float) -> None:
        """Keeps the sum of the terms at the value, an optimum that was found, or below it."""
        whole = all(factor == round(factor) for factor in terms.values())
        self.row(terms, most=value + (1e-6 if whole else 1e-4))

    def minimise(self, objective: Terms, end: float) -> Solved | None:
        """The best solution found until `end` by the monotonic clock; None where there is none.

        Raises TimeoutError where the time ran out before any solution was found. An objective of
        whole factors is rounded, and its bound with it.
        """
        size = len(self._upper)
        if size == 0:
            return Solved(np.zeros(0), 0.0, 0.0)
        seconds = max(LEAST_SECONDS, end - time.monotonic())
        cost = np.zeros(size)
        for column, factor in objective.items():
            cost[column] = factor
        shape = (len(self._least), size)
        matrix = csr_array((self._data, (self._row, self._column)), shape=shape)
        found: Any = milp(
            cost,
            integrality=np.array(self._whole),
            bounds=Bounds(np.zeros(size), np.array(self._upper)),
            constraints=LinearConstraint(matrix, np.array(self._least), np.array(self._most)),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )
        if found.status == INFEASIBLE:
            return None
        if found.x is None:
            raise TimeoutError(f"no plan was found in {seconds:.0f} s: give it more time")
        values = np.where(np.array(self._whole) == 1, np.round(found.x), found.x)
        value, bound = float(cost @ values), found.mip_dual_bound
        bound = value if bound is None else float(bound)
        if (cost == np.round(cost)).all():
            bound = float(np.ceil(bound - CLOSE))
        if found.status == SOLVED and value - bound <= CLOSE * max(1.0, abs(value)):
            bound = value
        return Solved(values, value, min(bound, value))


def total(columns: Iterable[int], factor: float = 1.0) -> dict[int, float]:
    """The sum of variables, each times the factor."""
    return dict.fromkeys(columns, factor)
