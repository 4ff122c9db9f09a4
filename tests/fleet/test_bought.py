"""How many pieces a way buys."""

import numpy as np
import pytest

from recommender.fleet.bought import Bought


@pytest.mark.parametrize(
    ("each", "price", "pieces"), [(9.0, 18.0, 2), (9.0, 9.0, 1), (9.0, 13.5, 2), (0.0, 5.0, 1)]
)
def test_spacers_are_ordered_one_by_one(each: float, price: float, pieces: int) -> None:
    """Where it is not known how many are in it, enough for the price that the plan counts."""
    made = object.__new__(Bought)
    made.spacer_price = np.array([each])
    assert made._spacers(0, price) == pieces
