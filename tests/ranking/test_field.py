"""Bundles laid out as columns: of some shocks the same as of all."""

from collections import Counter

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.catalogue.columns import Mask
from recommender.ranking.field import Field, field_of
from tests.ranking.test_whole_products import judged


def laid_out(field: Field, shocks: Mask | None = None) -> Counter[tuple[float, ...]]:
    """Shock, points and totals of every bundle."""
    out: Counter[tuple[float, ...]] = Counter()
    for lot in field.lots(shocks):
        shock = lot.entrants.shock[lot.owner]
        values = lot.values(field.criteria, np.arange(len(shock)))
        out.update(zip(shock, lot.points, *lot.totals.values(), *values.T, strict=True))
    return out


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_bundles_of_some_shocks_are_those_they_have_among_all(seed: int) -> None:
    market, wishes, verdicts, rows = judged(seed)
    field = field_of(market, wishes, verdicts, rows)
    every = laid_out(field)
    for row in rows.tolist():
        some = np.arange(len(market.shocks)) >= row
        wanted = Counter({one: n for one, n in every.items() if some[int(one[0])]})
        assert laid_out(field, some) == wanted
