"""Bundles that another equals or betters on every count."""

from collections.abc import Sequence

import numpy as np

from recommender.ranking.order import Ranked


def beaten_by(ranked: Sequence[Ranked]) -> list[int | None]:
    """For each bundle the first in order that is at least as good on every criterion and better on
    one; None: nothing beats it. Weights play no part; a sure bundle is never beaten by a doubtful."""
    values = np.array([one.values for one in ranked]).reshape(len(ranked), -1)
    sure = np.array([one.bundle.sure for one in ranked], bool)
    out: list[int | None] = []
    for k in range(len(ranked)):
        covers = (values >= values[k]).all(axis=1) & (values > values[k]).any(axis=1)
        covers &= sure | ~sure[k]
        rivals = np.flatnonzero(covers)
        out.append(int(rivals[0]) if len(rivals) else None)
    return out
