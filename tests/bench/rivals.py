"""Three other ways to find which shocks fit, for exact catalogues: slow, and plainly right.

Each is told the same rules in plain Python (`parts`): a loop over pydantic records, the search
library given the whole problem as one, and a CP solver that enumerates it.
"""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from itertools import product
from typing import Any

from constraint import Problem
from ortools.sat.python import cp_model

from tests.bench.parts import (
    BUDGET,
    Parts,
    finds_room,
    kit_price,
    kit_suits,
    mounts,
    need,
    setting_price,
    shock_price,
    stroke_suits,
    strokes,
    tune_suits,
)

Rival = Callable[[Parts], set[int]]
_NONE = 10**9


def looped(parts: Parts) -> set[int]:
    """One loop over the records: the cheapest part of each kind that suits, shock by shock."""
    fits = set()
    for k, shock in enumerate(parts.shocks):
        if not mounts(shock) or not (finds_room(shock, False) or finds_room(shock, True)):
            continue
        total = shock_price(shock)
        for end in ("head", "shaft"):
            suited = [kit_price(kit) for kit in parts.kits if kit_suits(shock, kit, end)]
            total += min(suited, default=float("inf"))
        total += min(
            (
                setting_price(shock, stroke, setting) + tune.price
                for stroke in strokes(shock) if stroke_suits(shock, stroke)
                for setting in parts.settings(shock)
                if (critical := need(shock, stroke, setting)) is not None
                for tune in parts.tunes(shock) if tune_suits(shock, critical, tune)
            ),
            default=float("inf"),
        )  # fmt: skip
        if total <= BUDGET + 1e-9:
            fits.add(k)
    return fits


class _Whole:
    """The problem as one: every choice a number, every rule a predicate over some of them."""

    def __init__(self, parts: Parts) -> None:
        self.parts = parts
        self.strokes = [strokes(shock) for shock in parts.shocks]
        self.settings = [parts.settings(shock) for shock in parts.shocks]
        self.tunes = [parts.tunes(shock) for shock in parts.shocks]
        self.domains: dict[str, Iterable[int]] = {
            "shock": range(len(parts.shocks)),
            "stroke": range(max(map(len, self.strokes))),
            "setting": range(max(map(len, self.settings))),
            "tune": range(max(map(len, self.tunes))),
            "turned": range(2),
            "head": range(len(parts.kits)),
            "shaft": range(len(parts.kits)),
        }

    def mounted(self, shock: int) -> bool:
        return mounts(self.parts.shocks[shock])

    def roomy(self, shock: int, turned: int) -> bool:
        return finds_room(self.parts.shocks[shock], bool(turned))

    def head(self, shock: int, kit: int) -> bool:
        return kit_suits(self.parts.shocks[shock], self.parts.kits[kit], "head")

    def shaft(self, shock: int, kit: int) -> bool:
        return kit_suits(self.parts.shocks[shock], self.parts.kits[kit], "shaft")

    def stroke(self, shock: int, stroke: int) -> bool:
        listed = self.strokes[shock]
        return stroke < len(listed) and stroke_suits(self.parts.shocks[shock], listed[stroke])

    @cache  # noqa: B019
    def need(self, shock: int, stroke: int, setting: int) -> float | None:
        if stroke >= len(self.strokes[shock]) or setting >= len(self.settings[shock]):
            return None
        own = self.parts.shocks[shock]
        return need(own, self.strokes[shock][stroke], self.settings[shock][setting])

    def sprung(self, shock: int, stroke: int, setting: int) -> bool:
        return self.need(shock, stroke, setting) is not None

    def damped(self, shock: int, stroke: int, setting: int, tune: int) -> bool:
        critical = self.need(shock, stroke, setting)
        if critical is None or tune >= len(self.tunes[shock]):
            return False
        return tune_suits(self.parts.shocks[shock], critical, self.tunes[shock][tune])

    def spring_price(self, shock: int, stroke: int, setting: int, tune: int) -> float:
        own = self.parts.shocks[shock]
        price = setting_price(own, self.strokes[shock][stroke], self.settings[shock][setting])
        return price + self.tunes[shock][tune].price

    def affordable(
        self, shock: int, stroke: int, setting: int, tune: int, head: int, shaft: int
    ) -> bool:
        total = shock_price(self.parts.shocks[shock])
        total += self.spring_price(shock, stroke, setting, tune)
        total += kit_price(self.parts.kits[head]) + kit_price(self.parts.kits[shaft])
        return total <= BUDGET + 1e-9


def searched(parts: Parts) -> set[int]:
    """python-constraint, given the whole problem as one: callables over what each rule reads."""
    whole = _Whole(parts)
    problem = Problem()
    for name, domain in whole.domains.items():
        problem.addVariable(name, list(domain))
    for rule, scope in (
        (whole.mounted, ("shock",)), (whole.roomy, ("shock", "turned")),
        (whole.head, ("shock", "head")), (whole.shaft, ("shock", "shaft")),
        (whole.stroke, ("shock", "stroke")), (whole.sprung, ("shock", "stroke", "setting")),
        (whole.damped, ("shock", "stroke", "setting", "tune")),
        (whole.affordable, ("shock", "stroke", "setting", "tune", "head", "shaft")),
    ):  # fmt: skip
        problem.addConstraint(rule, scope)
    return {solution["shock"] for solution in problem.getSolutionIter()}


class _Shocks(cp_model.CpSolverSolutionCallback):
    def __init__(self, shock: cp_model.IntVar) -> None:
        super().__init__()
        self.shock, self.found = shock, set[int]()

    def on_solution_callback(self) -> None:
        self.found.add(self.value(self.shock))


def solved(parts: Parts) -> set[int]:
    """A CP solver that enumerates every bundle: tables of what goes together, prices in cents."""
    whole, model = _Whole(parts), cp_model.CpModel()
    variable = {
        name: model.new_int_var(0, max(domain), name) for name, domain in whole.domains.items()
    }
    dear = model.new_int_var(0, 10_000_000, "setting and tune, cents")
    shocks = [k for k in whole.domains["shock"] if whole.mounted(k)]
    if not shocks:
        return set()
    for name, rule in (("turned", whole.roomy), ("head", whole.head), ("shaft", whole.shaft)):
        model.add_allowed_assignments(
            [variable["shock"], variable[name]], _table(shocks, whole.domains[name], rule)
        )
    rows = [
        (*one, round(100 * whole.spring_price(*one)))
        for one in product(shocks, *(whole.domains[name] for name in ("stroke", "setting", "tune")))
        if whole.stroke(*one[:2]) and whole.sprung(*one[:3]) and whole.damped(*one)
    ]
    scope = [*(variable[name] for name in ("shock", "stroke", "setting", "tune")), dear]
    model.add_allowed_assignments(scope, rows or [(_NONE,) * 5])
    cents = [dear]
    prices = {"shock": [shock_price(one) for one in parts.shocks]}
    prices |= {end: [kit_price(kit) for kit in parts.kits] for end in ("head", "shaft")}
    for name, amounts in prices.items():
        paid = model.new_int_var(0, 10_000_000, f"{name}, cents")
        model.add_element(variable[name], [round(100 * one) for one in amounts], paid)
        cents.append(paid)
    model.add(sum(cents) <= round(100 * BUDGET))
    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    found = _Shocks(variable["shock"])
    solver.solve(model, found)
    return found.found


def _table(shocks: list[int], domain: Iterable[int], rule: Callable[[int, int], bool]) -> list[Any]:
    def rows() -> Iterator[tuple[int, int]]:
        return ((k, n) for k in shocks for n in domain if rule(k, n))

    return list(rows()) or [(_NONE, _NONE)]


RIVALS: dict[str, Rival] = {
    "python-constraint, whole problem": searched,
    "CP solver, every bundle": solved,
    "one loop over pydantic records": looped,
}
