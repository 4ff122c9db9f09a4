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
    out = []
    mine = [one for one in rivals if one.bundle.sure == first.bundle.sure]
    for k, score in enumerate(first.scores):
        weight = score.criterion.weight
        low, high, below, above = 0.0, math.inf, "", ""
        for rival in mine:
            gap = sum(
                a.criterion.weight * (a.value - b.value)
                for a, b in zip(first.scores, rival.scores, strict=True)
            )
            slope = score.value - rival.scores[k].value
            if slope == 0.0:
                continue
            turn = weight - gap / slope
            if slope > 0 and turn > low:
                low, below = turn, shock_of(rival)
            if slope < 0 and turn < high:
                high, above = turn, shock_of(rival)
        # On equal points the tie is broken the other way at most by rounding.
        out.append(
            Stand(score.criterion.name, weight, min(low, weight), max(high, weight), below, above)
        )
    return out


def shock_of(one: Ranked) -> str:
    """Key of a ranked bundle's shock."""
    whole = one.bundle.whole
    return whole.market.shocks.keys()[whole.shock]


def weight_to_win(loser: Ranked, winner: Ranked) -> dict[str, float]:
    """For each criterion the weight at which the loser draws level, where a non-negative one does."""
    gap = winner.points - loser.points
    out = {}
    for a, b in zip(loser.scores, winner.scores, strict=True):
        slope = a.value - b.value
        if slope != 0.0:
            weight = a.criterion.weight + gap / slope
            if weight >= 0.0:
                out[a.criterion.name] = weight
    return out
