"""Bundles that another equals or betters on every count."""

from collections.abc import Sequence

import numpy as np

from recommender.catalogue.columns import Floats
from recommender.ranking.firsts import First


def beaten_by(firsts: Sequence[First]) -> list[int | None]:
    """For each bundle the first in order that beats it; None: nothing does.

    Weights play no part. A sure bundle is never beaten by a doubtful one.
    """
    values = np.array([one.values for one in firsts]).reshape(len(firsts), -1)
    sure = np.array([one.sure for one in firsts], bool)
    return first_beating(np.column_stack([values, sure]))


def first_beating(values: Floats) -> list[int | None]:
    """For each row the first row that is nowhere less and somewhere more."""
    out: list[int | None] = []
    for row in values:
        covers = (values >= row).all(axis=1) & (values > row).any(axis=1)
        rivals = np.flatnonzero(covers)
        out.append(int(rivals[0]) if len(rivals) else None)
    return out
