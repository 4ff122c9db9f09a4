"""What the parts of a group's rows cost and weigh as it is told: ends, and what is blank."""

from typing import NamedTuple

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.rules.fact import blank_span
from recommender.rules.registry import leaves, scope
from recommender.search.frames import Frames, order

MONEY, MASS, DAYS = 1, 2, 4
"""Bits of the totals to which some part's figure is lacking."""


class Ends(NamedTuple):
    """A fact row by row: what it is at least and at most, and where nobody told it."""

    low: Floats
    high: Floats
    blank: Mask

    def told(self, row: int) -> tuple[float, float] | None:
        """Its ends in that row; None where it is blank."""
        return None if self.blank[row] else (float(self.low[row]), float(self.high[row]))


class Cost(NamedTuple):
    """One part in every row of a frame; `lacks` holds the bits of the totals left open by it,
    `days` until it is there where these are told, else 0."""

    price: Ends
    labour: Ends
    days: Floats
    lacks: Ints


def cost_of(frames: Frames, nominal: Frames, choices: tuple[str, ...], part: str) -> Cost:
    """That part in the frame of those choices; `nominal` are the same frames, each fact exact."""
    price, labour = (ends_of(frames, choices, f"{part}_{what}") for what in ("price", "labour"))
    weight = ends_of(frames, choices, f"{part}_mass_g").blank
    figure = f"{part}_ready_days"
    late = np.zeros(len(weight), bool)
    for leaf in sorted(leaves(figure)):
        late = late | ends_of(frames, choices, leaf).blank
    days = np.broadcast_to(nominal.at(figure, choices), weight.shape)
    lacks = MONEY * (price.blank | labour.blank) + MASS * weight + DAYS * late
    return Cost(price, labour, np.where(late, 0.0, days), lacks)


def ends_of(frames: Frames, choices: tuple[str, ...], leaf: str) -> Ends:
    """A leaf fact of shock or parts in the frame of those choices."""
    fact = frames.fact(leaf)
    blank = np.zeros(len(fact.low), bool)
    if fact.loose is not None:
        blank = fact.loose & (fact.high - fact.low >= blank_span(leaf))
    rows = frames.rows_of(choices, order(scope(leaf)))
    if rows is None:
        return Ends(fact.low, fact.high, blank)
    return Ends(fact.low[rows], fact.high[rows], blank[rows])
