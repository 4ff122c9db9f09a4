"""The strokes that a shock can be set to."""

import numpy as np

from recommender.catalogue.columns import Ints, Table
from recommender.catalogue.settings import SAME, listed_settings
from recommender.rules.fact import Fact


def stroke_options(shocks: Table) -> tuple[Ints, Fact]:
    """Shock row and stroke of every setting, by row then stroke: those its manual lists and the
    delivered one. An imprecise delivered stroke is loose unless a listed setting lies in it."""
    owner, listed = listed_settings(shocks)
    delivered = shocks.number("stroke_mm")
    low, top = delivered.low, delivered.top
    inside = (listed >= low[owner] - SAME) & (listed <= top[owner] + SAME)
    told = np.zeros(len(shocks), bool)
    told[owner[inside]] = True
    added = np.flatnonzero(~told)
    owner = np.concatenate([owner, added])
    lowest = np.concatenate([listed, low[added]])
    highest = np.concatenate([listed, top[added]])
    order = np.lexsort((lowest, owner))
    owner, lowest, highest = owner[order], lowest[order], highest[order]
    fresh = np.ones(len(owner), bool)
    fresh[1:] = (np.diff(owner) != 0) | (np.diff(lowest) > SAME) | (highest > lowest)[1:]
    return owner[fresh], Fact.bounds(lowest[fresh], highest[fresh])
