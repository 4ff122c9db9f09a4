"""The least sets of broken rules, enumerated by a SAT solver.

One literal for every option and for every rule; an assignment of options that breaks a rule implies
the rule's literal. Sums and what is ordered are told to the solver when a model gets them wrong. A
set is made least by asking for a strict part of it, then forbidden with all that contain it.
"""

from collections.abc import Callable, Iterator
from itertools import count
from typing import Any

from pysat.solvers import Cadical153

from tests.search.own_cells import Option
from tests.search.referee import Bits, Ordering, Referee, minimal

Parts = list[Option]


def families(referee: Referee, shock: int) -> tuple[frozenset[Bits], frozenset[Bits]]:
    """Certain and possible family of one shock, over its ways of mounting."""
    out = []
    for possible in (False, True):
        masks: set[int] = set()
        for facts, options in referee.variants(shock):
            masks |= set(_least(referee, facts, options, possible))
        out.append(referee.named(minimal(masks)))
    return out[0], out[1]


def _least(
    referee: Referee, facts: dict[str, Any], options: dict[str, Parts], possible: bool
) -> Iterator[int]:
    numbers = count(1)
    rule = {bit: next(numbers) for bit in referee.bits.values()}
    option = {name: [next(numbers) for _ in some] for name, some in options.items()}
    broken = _by_sums(referee, facts, options, possible)
    with Cadical153() as solver:
        for literals in option.values():
            solver.add_clause(literals)
            for k, one in enumerate(literals):
                for other in literals[k + 1 :]:
                    solver.add_clause([-one, -other])
        for scope, table in referee._tables(facts, options):
            for index, masks in table.items():
                chosen = [-option[name][k] for name, k in zip(scope, index, strict=True)]
                for bit, literal in rule.items():
                    if masks[possible] & bit:
                        solver.add_clause([*chosen, literal])

        def model(assumed: list[int]) -> int | None:
            """A set of rules that some completion breaks, and no other; none: there is none."""
            while solver.solve(assumptions=assumed):
                true = {one for one in solver.get_model() if one > 0}
                told = sum(bit for bit, literal in rule.items() if literal in true)
                picked = [
                    next(k for k, one in enumerate(literals) if one in true)
                    for literals in option.values()
                ]
                wrong = broken(picked) & ~told
                if not wrong:
                    return told
                chosen = [-some[k] for some, k in zip(option.values(), picked, strict=True)]
                for bit, literal in rule.items():
                    if wrong & bit:
                        solver.add_clause([*chosen, literal])
            return None

        while (found := model([])) is not None:
            while found:
                less = next(numbers)
                inside = [literal for bit, literal in rule.items() if found & bit]
                outside = [-literal for bit, literal in rule.items() if not found & bit]
                solver.add_clause([-less, *(-one for one in inside)])
                smaller = model([less, *outside])
                if smaller is None:
                    break
                found = smaller
            yield found
            solver.add_clause([-literal for bit, literal in rule.items() if found & bit])


def _by_sums(
    referee: Referee, facts: dict[str, Any], options: dict[str, Parts], possible: bool
) -> Callable[[list[int]], int]:
    """Rules about all parts together that a completion breaks."""
    sums = [rule for rule in referee.rules if rule.couples]
    ordering = Ordering(referee, facts["shock_piece"].values[0], options)

    def broken(picked: list[int]) -> int:
        parts = [some[k] for some, k in zip(options.values(), picked, strict=True)]
        mask: int = ordering.broken(parts)[possible]
        for rule in sums:
            mask |= referee._sum(rule, facts, parts)[possible]
        return mask

    return broken
