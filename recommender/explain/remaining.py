"""What must still be measured after a correction that is not sure."""

from dataclasses import replace

import numpy as np

from recommender.explain.completions import Costs, ways, within
from recommender.explain.corrections import Correction, mask_of
from recommender.explain.sets import minimal
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market


def with_left(market: Market, wishes: Wishes, shock: int, correction: Correction) -> Correction:
    """The correction with `left`: each least set of rules that may still be broken by a completion
    which certainly breaks nothing else. Once one such set is shown to be met, the shock fits; each
    may turn out met, since what is certainly broken is no part of it."""
    found: set[int] = set()
    for whole in ways(market, wishes, shock):
        given = mask_of(whole.rules, correction.rules)
        costs = [
            Costs(pair.possible.sets & ~np.uint64(given), np.zeros((len(pair.possible.sets), 0)))
            for pair in whole.tables
        ]
        got = within(whole, given, True, costs)
        found |= {int(one) for one in got.broken(False) & ~np.uint64(given)}
        names = whole.rules.names
    left = sorted((names(one) for one in minimal(found)), key=lambda one: (len(one), one))
    return replace(correction, left=tuple(left))
