"""How far a weight may move before the first place changes, in closed form.

Points are linear in each weight, so each rival's gap is linear in one weight while the others stay;
first place stands where every gap is non-negative: an intersection of half-lines.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.ranking.order import Ranked
from recommender.ranking.ranking import Ranking

_ROUNDING = 1e-4
"""More than rounding can add to the points of a bundle."""


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


def stability(ranking: Ranking) -> list[Stand]:
    """For each criterion the interval of its weight; weights are never negative. Every other bundle
    is a rival, but for those of another certainty: they stand behind whatever the weights are."""
    first, made = ranking.firsts[0], ranking.field.criteria
    ends = Ends(np.array([one.weight for one in made]), np.array(first.values))
    mine = [k for k, one in enumerate(ranking.firsts) if one.sure == first.sure]
    ends.meet(np.array([ranking.firsts[k].values for k in mine]), np.array(mine))
    near = np.zeros(len(ranking.market.shocks), bool)
    least = first.points - ends.reach
    near[[ranking.firsts[k].shock for k in mine if ranking.firsts[k].points >= least]] = True
    place = np.zeros(len(near), np.int64)
    place[[one.shock for one in ranking.firsts]] = np.arange(len(ranking.firsts))
    for lot in ranking.field.lots(near):
        if lot.entrants.sure == first.sure:
            rows = np.flatnonzero(lot.points >= least * 1e6)
            ends.meet(lot.values(made, rows), place[lot.entrants.shock[lot.owner[rows]]])
    names = [one.name for one in ranking.firsts]
    names[0] = f"another bundle with {names[0]}"
    return [
        Stand(
            one.name, one.weight, low, high,
            *("" if rival is None else names[rival] for rival in rivals),
        )
        for one, (low, high, *rivals) in zip(made, ends.intervals, strict=True)
    ]  # fmt: skip


Interval = tuple[float, float, int | None, int | None]


def intervals(
    weights: Sequence[float], first: Sequence[float], rivals: Sequence[Sequence[float]]
) -> list[Interval]:
    """For each weight (low, high, rival below, rival above): while it lies in [low, high] and the
    others stay, no rival has more points than the first. Values are those of the criteria.

    The first must lead at the weights given; a tie, broken by other means, counts as leading.
    """
    ends = Ends(np.array(weights, float), np.array(first, float))
    ends.meet(np.array(rivals, float).reshape(-1, len(weights)), np.arange(len(rivals)))
    return ends.intervals


class Ends:
    """The intervals as rivals are met; of rivals that take over at the same weight the lowest
    number is named."""

    def __init__(self, weights: Floats, first: Floats) -> None:
        self._weights, self._first = weights, first
        # Less is sooner: a lower end is held negated. Nobody, -1, goes before rivals at that weight
        # who take nothing over.
        self._lower: list[_End] = [(0.0, -1)] * len(weights)
        self._upper: list[_End] = [(np.inf, -1)] * len(weights)

    def meet(self, values: Floats, numbers: Ints) -> None:
        """Rivals by their values, one a row, and their numbers."""
        if not len(values):
            return
        slopes = self._first - values
        gaps = slopes @ self._weights
        for k, weight in enumerate(self._weights.tolist()):
            slope = slopes[:, k]
            with np.errstate(divide="ignore", invalid="ignore"):
                turn = weight - gaps / slope
            lower = _soonest(np.where(slope > 0, -turn, np.inf), numbers)
            upper = _soonest(np.where(slope < 0, turn, np.inf), numbers)
            self._lower[k] = min(self._lower[k], lower)
            self._upper[k] = min(self._upper[k], upper)

    @property
    def reach(self) -> float:
        """The most points that a rival may be behind and still narrow some interval: values lie in
        [0, 1], so a weight must move at least by what is to be made up for."""
        down = [weight + low for weight, (low, _) in zip(self._weights, self._lower, strict=True)]
        up = [high - weight for weight, (high, _) in zip(self._weights, self._upper, strict=True)]
        can_win = self._first < 1.0
        return float(np.max([0.0, *down, *np.array(up)[can_win]])) + _ROUNDING

    @property
    def intervals(self) -> list[Interval]:
        # On equal points rounding may put the turn a hair beyond the weight itself.
        return [
            (
                min(0.0 - low, weight),
                max(high, weight),
                None if below < 0 else below,
                None if above < 0 else above,
            )
            for weight, (low, below), (high, above) in zip(
                self._weights.tolist(), self._lower, self._upper, strict=True
            )
        ]


_End = tuple[float, int]
"""A weight and the number of the rival who takes over there."""


def _soonest(turns: Floats, numbers: Ints) -> _End:
    least = turns.min()
    return float(least), int(numbers[turns == least].min())


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
