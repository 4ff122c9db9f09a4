"""How far a weight may move before the first place changes, in closed form.

Points are linear in each weight, so each rival's gap is linear in one weight while the others stay;
first place stands where every gap is non-negative: an intersection of half-lines.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from recommender.ranking.order import Ranked


@dataclass(frozen=True)
class Stand:
    """First place stands while the criterion's weight lies in [low, high]; the rivals named take
    over beyond an end ('' where none ever does)."""

    criterion: str
    weight: float
    low: float
    high: float
    below: str = ""
    above: str = ""


def stability(first: Ranked, rivals: Sequence[Ranked]) -> list[Stand]:
    """For each criterion the interval of its weight; weights are never negative.

    Rivals of another certainty stand behind whatever the weights are, and are left out.
    """
    mine = [one for one in rivals if one.bundle.sure == first.bundle.sure]
    weights = [score.criterion.weight for score in first.scores]
    found = intervals(weights, first.values, [one.values for one in mine])
    names = ["" if k is None else _rival(mine[k], first) for _, _, *ends in found for k in ends]
    return [
        Stand(score.criterion.name, score.criterion.weight, low, high, below, above)
        for score, (low, high, _, _), below, above in zip(
            first.scores, found, names[::2], names[1::2], strict=True
        )
    ]


def _rival(one: Ranked, first: Ranked) -> str:
    name = shock_of(one)
    return f"another bundle with {name}" if name == shock_of(first) else name


Interval = tuple[float, float, int | None, int | None]


def intervals(
    weights: Sequence[float], first: Sequence[float], rivals: Sequence[Sequence[float]]
) -> list[Interval]:
    """For each weight (low, high, rival below, rival above): while it lies in [low, high] and the
    others stay, no rival has more points than the first. Values are those of the criteria.

    The first must lead at the weights given; a tie, broken by other means, counts as leading.
    """
    gaps = [
        sum(w * (a - b) for w, a, b in zip(weights, first, rival, strict=True)) for rival in rivals
    ]
    out: list[Interval] = []
    for k, weight in enumerate(weights):
        low, high = 0.0, math.inf
        below: int | None = None
        above: int | None = None
        for who, (gap, rival) in enumerate(zip(gaps, rivals, strict=True)):
            slope = first[k] - rival[k]
            if slope == 0.0:
                continue
            turn = weight - gap / slope
            if slope > 0 and turn > low:
                low, below = turn, who
            if slope < 0 and turn < high:
                high, above = turn, who
        # On equal points rounding may put the turn a hair beyond the weight itself.
        out.append((min(low, weight), max(high, weight), below, above))
    return out


def shock_of(one: Ranked) -> str:
    """Key of a ranked bundle's shock."""
    whole = one.bundle.whole
    return whole.market.shocks.keys()[whole.shock]


def weight_to_win(loser: Ranked, winner: Ranked) -> dict[str, float]:
    """The weight of each criterion at which the loser draws level, where a non-negative does."""
    gap = winner.points - loser.points
    out = {}
    for a, b in zip(loser.scores, winner.scores, strict=True):
        slope = a.value - b.value
        if slope != 0.0:
            weight = a.criterion.weight + gap / slope
            if weight >= 0.0:
                out[a.criterion.name] = weight
    return out
