"""Exact questions given to two constraint solvers as one problem.

The CP solver gets the encoding of `cp_encoding`; the search library gets every rule as a callable
over the choices that it reads.
"""

import random
from typing import Any

from constraint import Problem
from hypothesis import given
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import STATES
from tests.search.cp_encoding import Own, encoded, plain_case
from tests.search.examples import examples
from tests.search.families import told
from tests.search.fitting import fitting
from tests.search.random_market import Case, cases
from tests.search.referee import (
    ZERO,
    Ordering,
    Referee,
    choices_of,
    order_minimums,
)
from tests.search.sat_encoding import families


class Counter(cp_model.CpSolverSolutionCallback):
    """Counts distinct assignments of the choices."""

    def __init__(self, choices: list[cp_model.IntVar]) -> None:
        super().__init__()
        self.choices = choices
        self.found: set[tuple[int, ...]] = set()

    def on_solution_callback(self) -> None:
        self.found.add(tuple(self.value(one) for one in self.choices))


def solutions(own: Own) -> int:
    model, choices = encoded(own)
    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    counter = Counter(choices)
    solver.solve(model, counter)
    return len(counter.found)


@given(st.integers(0, 2**32 - 1))
@examples(60)
def test_cp_solver_counts_the_same_bundles(seed: int) -> None:
    case = plain_case(random.Random(seed))
    question, catalogue = case.open()
    verdicts = judge(open_market(question, catalogue), question.wishes)
    referee = Referee(question, catalogue)
    for k, shock in enumerate(case.tables["shocks"]):
        number = solutions(Own(case, shock))
        assert number == referee.judge(k).fitting
        assert (STATES[int(verdicts.state[k])] == "fits") == (number > 0)


@given(cases(loose=3))
@examples(20)
def test_sat_solver_finds_the_same_least_sets(case: Case) -> None:
    question, catalogue = case.open()
    verdicts = judge(open_market(question, catalogue), question.wishes)
    referee = Referee(question, catalogue)
    for shock in range(len(referee.shocks)):
        assert told(verdicts, shock)[1:] == families(referee, shock)


@given(st.integers(0, 2**32 - 1))
@examples(15)
def test_search_library_finds_the_same_bundles(seed: int) -> None:
    """All shocks, ways of mounting and choices in one problem; each rule is a callable."""
    question, catalogue = plain_case(random.Random(seed)).open()
    referee = Referee(question, catalogue)
    mounted = [(k, *way) for k in range(len(referee.shocks)) for way in referee.variants(k)]
    names = list(mounted[0][2])
    problem = Problem()
    problem.addVariable("mounted", range(len(mounted)))
    for name in names:
        problem.addVariable(name, range(max(len(options[name]) for _, _, options in mounted)))
        problem.addConstraint(
            lambda m, k, name=name: k < len(mounted[m][2][name]), ("mounted", name)
        )
    for rule in referee.rules:
        if not rule.couples:
            scope = choices_of(rule, names)
            problem.addConstraint(passes(referee, rule, mounted, scope), ("mounted", *scope))
    problem.addConstraint(orderly(referee, mounted, names), ("mounted", *names))
    found = {tuple(one[name] for name in ("mounted", *names)) for one in problem.getSolutions()}
    labels = {(mounted[m][0], *(mounted[m][2][name][k].label for name, k in
               zip(names, rest, strict=True))) for m, *rest in found}  # fmt: skip
    expected = {
        (shock, *named[1:])
        for shock in range(len(referee.shocks))
        for named in fitting(question, catalogue, shock)
    }
    assert labels == expected
    verdicts = judge(open_market(question, catalogue), question.wishes)
    fits = {k for k in range(len(referee.shocks)) if STATES[int(verdicts.state[k])] == "fits"}
    assert fits == {shock for shock, *_ in labels}


def passes(referee: Referee, rule: Any, mounted: Any, scope: tuple[str, ...]) -> Any:
    def check(m: int, *chosen: int) -> bool:
        _, facts, options = mounted[m]
        at = dict(facts)
        for choice, k in zip(scope, chosen, strict=True):
            if k >= len(options[choice]):
                return False
            at |= options[choice][k].facts
        return referee.interval(rule, at).low >= -ZERO * rule.scale

    return check


def orderly(referee: Referee, mounted: Any, names: list[str]) -> Any:
    wishes = referee.question.wishes
    minimum = order_minimums(referee.question, referee.catalogue)

    def check(m: int, *chosen: int) -> bool:
        _, facts, options = mounted[m]
        if any(k >= len(options[name]) for name, k in zip(names, chosen, strict=True)):
            return False
        parts = [options[name][k] for name, k in zip(names, chosen, strict=True)]
        cost = facts["shock_cost"].values[-1] + sum(part.cost[1] for part in parts)
        mass = facts["shock_mass"].values[-1] + sum(part.mass[1] for part in parts)
        ordering = Ordering(referee, facts["shock_piece"].values[0], options)
        assert ordering.minimum == minimum
        return (
            (wishes.budget.must is None or cost <= wishes.budget.must + ZERO)
            and (wishes.mass_g.must is None or mass <= wishes.mass_g.must + ZERO)
            and ordering.broken(parts)[1] == 0
        )

    return check
