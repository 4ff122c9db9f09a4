"""Why no build serves a group: the nearest misses, and how little of the riders' range is too much.
"""

from dataclasses import dataclass, replace

from recommender.answer.answer import Case, nearest_misses
from recommender.answer.records import Turned
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.explain.accounts import account_of
from recommender.facts.quantity import Quantity
from recommender.fleet.feasible import feasible
from recommender.fleet.groups import Group
from recommender.search.verdicts import FITS

NEAREST = 3
LETS_IN = {
    "rider": "{key} would be in if the wish behind it were given up: {rules}",
    "shop": "{key} would be in with a part for it: {rules}",
    "nobody": "{key} stays out: nobody can change {rules}",
}
"""What a correction of each kind means for a shock."""
CLOSE_KG = 0.5


@dataclass(frozen=True)
class Reason:
    """Why a group has no way at all: the nearest misses, corrections in words, least change."""

    why: str
    least_change: str
    nearest: tuple[Turned, ...]
    corrections: tuple[str, ...]


def reason(group: Group, catalogue: Catalogue) -> Reason:
    """Why no build serves all riders of a group."""
    served = widest(group, catalogue)
    case = Case(group.question, catalogue)
    rows = nearest_misses(case.verdicts, case.keys)[:NEAREST].tolist()
    nearest = tuple(case.turned_of(case.keys[row]) for row in rows)
    out_of_stock = int((case.verdicts.state == FITS).sum())
    corrections = []
    for row in rows:
        found = account_of(case.verdicts, row).corrections
        if found:
            key, rules = case.keys[row], ", ".join(found[0].rules)
            told = LETS_IN[found[0].kind] if rules else "{key} may be in: measure what it hinges on"
            corrections.append(told.format(key=key, rules=rules))
    text = f"no build keeps every rule for riders of {group.riders_text}"
    if out_of_stock and not group.changes:
        text += ", spring settings and kits taken together"
    return Reason(text, served, nearest, tuple(corrections))


def widest(group: Group, catalogue: Catalogue) -> str:
    """The least change of the range that lets some build serve it, from either end."""
    low, high = group.riders.low, group.riders.high
    out = []
    if low < high:
        if _any(group, catalogue, low, low):
            top = _last(group, catalogue, low, low, high, upward=True)
            out.append(f"riders of {round(low, 1):g} to {top:g} kg alone could be served")
        if _any(group, catalogue, high, high):
            bottom = _last(group, catalogue, high, high, low, upward=False)
            out.append(f"riders of {bottom:g} to {round(high, 1):g} kg alone could be served")
    if not group.changes and _any(group, catalogue, low, high, changes=True):
        out.append("changing springs or spacers between riders would serve them all")
    return "; ".join(out) or "no part of the riders' range is served by any build"


def _last(
    group: Group, catalogue: Catalogue, fixed: float, inside: float, outside: float, upward: bool
) -> float:
    """How far the range may reach from its fixed end, to CLOSE_KG, on the safe side."""
    while abs(outside - inside) > CLOSE_KG:
        middle = (inside + outside) / 2
        ends = (fixed, middle) if upward else (middle, fixed)
        if _any(group, catalogue, *ends):
            inside = middle
        else:
            outside = middle
    return round(inside, 1) if inside == fixed else _inward(inside, upward)


def _inward(mass: float, upward: bool) -> float:
    """Rounded to a tenth toward the inside of what was found to be served."""
    tenths = mass * 10
    return (int(tenths) if upward else -int(-tenths // 1)) / 10


def _any(
    group: Group, catalogue: Catalogue, low: float, high: float, changes: bool | None = None
) -> bool:
    mass = Quantity.exact(low) if low == high else Quantity(low, high, "range")
    rider = group.question.rider.model_copy(update={"mass_with_kit_kg": mass})
    question: Question = replace(group.question, rider=rider)
    return bool(feasible(question, catalogue, group.changes if changes is None else changes, 0.0))
