"""The least amounts by which rules must give way for a shock, and a completion that needs no more.

The least set of rules hides cheaper ways: 'budget + 400' alone also covers 'budget + 5 and 3 g'.
So beside minimal sets the Pareto-least amounts are told: no other completion asks for as little
of everything.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from recommender.catalogue.columns import Floats
from recommender.explain.completions import Completions, Costs, unbeaten, ways, within
from recommender.explain.corrections import Correction, mask_of, weight
from recommender.explain.sides import side_rules
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.registry import RULES, Rule
from recommender.search.completion import Completion
from recommender.search.corners import Corners
from recommender.search.families import Sets
from recommender.search.groups import Rules
from recommender.search.margins import margin
from recommender.search.whole import Whole


@dataclass(frozen=True)
class Amount:
    """How far one side of a rule must give, in the rule's unit; None: no figure can be told.

    For a wish, `fact` is what the rider wished for and `value` the least change of it that does.
    """

    rule: str
    side: int
    unit: str
    short: float | None
    fact: str = ""
    value: float | None = None


@dataclass(frozen=True)
class Change:
    """Rules that give way together, numeric ones by these amounts, and what becomes possible."""

    rules: tuple[str, ...]
    amounts: tuple[Amount, ...]
    sure: bool
    completion: Completion

    @property
    def key(self) -> tuple[int, int, tuple[str, ...], tuple[float, ...]]:
        """Changes go by number of rules, then weight, then names, then amounts."""
        amounts = tuple(np.inf if one.short is None else one.short for one in self.amounts)
        return len(self.rules), weight(self.rules), self.rules, amounts


def least_changes(
    market: Market, wishes: Wishes, shock: int, rules: Iterable[str], sure: bool
) -> tuple[Change, ...]:
    """Every Pareto-least way to let a shock in that breaks none but those rules.

    `sure`: it then fits whatever is measured; otherwise it is no longer ruled out. Raises
    ValueError for a name that is no rule of the question.
    """
    names = tuple(rules)
    found: list[tuple[Completions, Sets, Floats]] = []
    columns: dict[tuple[str, int], int] = {}
    for whole in ways(market, wishes, shock):
        allowed = mask_of(whole.rules, names)
        columns = _columns(whole, allowed)
        costs = [_costs(whole, k, columns, allowed, sure) for k in range(len(whole.groups))]
        got = within(whole, allowed, not sure, costs)
        found.append((got, _flags(got, columns, sure), _amounts(got, columns, sure)))
    flags = np.concatenate([one for _, one, _ in found])
    amounts = np.concatenate([one for _, _, one in found])
    source = np.concatenate([np.full(len(got), k) for k, (got, _, _) in enumerate(found)])
    first = np.cumsum([0, *(len(got) for got, _, _ in found)])
    changes = []
    for row in unbeaten(flags, amounts).tolist():
        got = found[int(source[row])][0]
        choice = tuple(int(rows[row - first[source[row]]]) for rows in got.choice)
        completion = Completion(got.whole, choice)
        changes.append(_change(completion, columns, int(flags[row]), amounts[row], sure))
    return tuple(sorted(changes, key=lambda one: one.key))


def changes_for(
    market: Market, wishes: Wishes, shock: int, correction: Correction
) -> tuple[Change, ...]:
    """The least changes that a correction leads to, and those that ask for less of it by letting
    other numeric wishes give a little too."""
    whole = ways(market, wishes, shock)[0]
    numeric = [name for name in whole.rules.bits if _gives(name)]
    return least_changes(
        market, wishes, shock, dict.fromkeys((*correction.rules, *numeric)), correction.sure
    )


def _rules(whole: Whole, group: int, allowed: int) -> list[Rule]:
    return [
        rule
        for rule in whole.groups[group].rules
        if not rule.categorical and whole.rules.bit(rule) & allowed
    ]


def _columns(whole: Whole, allowed: int) -> dict[tuple[str, int], int]:
    """The columns of amounts: one for each side of a numeric rule, sums last."""
    frames = whole.made.frames
    found = [
        (rule.bit, side)
        for group in range(len(whole.groups))
        for rule in _rules(whole, group, allowed)
        for side in range(len(side_rules(frames, rule)))
    ]
    found += [(rule.bit, 0) for rule in whole.rules.couplings if whole.rules.bit(rule) & allowed]
    return {name: k for k, name in enumerate(dict.fromkeys(found))}


def _costs(
    whole: Whole, group: int, columns: Mapping[tuple[str, int], int], allowed: int, sure: bool
) -> Costs:
    """Flags are the categorical rules broken, amounts what each numeric side is short of."""
    frames, choices = whole.made.frames, whole.groups[group].choices
    amounts, corners = np.zeros((frames.layout(choices).size, len(columns))), Corners(frames)
    for rule in _rules(whole, group, allowed):
        for side, one in enumerate(side_rules(frames, rule)):
            got = margin(corners, one)
            value = got.low if sure else got.high
            short = np.where(value < -rule.tolerance, -value, 0.0)
            rows = frames.rows_of(choices, got.choices)
            column = amounts[:, columns[rule.bit, side]]
            np.maximum(column, short if rows is None else short[rows], out=column)
    pair = whole.tables[group]
    family = pair.possible if sure else pair.certain
    return Costs(family.sets & ~np.uint64(_numeric(whole.rules, columns)), amounts)


def _numeric(rules: Rules, columns: Mapping[tuple[str, int], int]) -> int:
    return mask_of(rules, (bit for bit, _ in columns))


def _flags(found: Completions, columns: Mapping[tuple[str, int], int], sure: bool) -> Sets:
    """Categorical rules that the completions break, joint ones too."""
    return found.broken(not sure) & ~np.uint64(_numeric(found.whole.rules, columns))


def _amounts(found: Completions, columns: Mapping[tuple[str, int], int], sure: bool) -> Floats:
    """The amounts with those of the sums filled in."""
    out = found.amounts.copy()
    for rule in found.whole.rules.couplings:
        if (rule.bit, 0) in columns:
            limit = float(found.whole.market.scalars[rule.reads[1]].corners[0])
            total = found.sums[:, {"price": 0, "mass": 2}[rule.couples] + sure]
            over = total - limit
            out[:, columns[rule.bit, 0]] = np.where(over > rule.tolerance, over, 0.0)
    return out


def _change(
    completion: Completion,
    columns: Mapping[tuple[str, int], int],
    flags: int,
    amounts: Floats,
    sure: bool,
) -> Change:
    rules = completion.whole.rules
    told = tuple(
        _amount(completion.whole.market, bit, side, float(amounts[k]))
        for (bit, side), k in sorted(columns.items(), key=lambda one: rules.bits.index(one[0][0]))
        if amounts[k] > 0
    )
    mask = flags | mask_of(rules, (one.rule for one in told))
    return Change(rules.names(mask), told, sure, completion)


def _amount(market: Market, bit: str, side: int, short: float) -> Amount:
    unit = next(rule.unit for rule in RULES.values() if rule.bit == bit)
    known = short if np.isfinite(short) else None
    gives = _gives(bit)
    if not gives:
        return Amount(bit, side, unit, known)
    fact, way = gives[side]
    value = None if known is None else float(market.scalars[fact].corners[0]) + way * known
    return Amount(bit, side, unit, known, fact, value)


@cache
def _gives(bit: str) -> tuple[tuple[str, int], ...]:
    """For a numeric wish the fact behind each side of its margin, and which way it gives."""
    return next((rule.gives for rule in RULES.values() if rule.bit == bit and rule.gives), ())
