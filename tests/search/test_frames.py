"""Frames taken some owners at a time."""

import numpy as np
import pytest

from recommender.search.frames import Frames, Options


@pytest.mark.parametrize(
    ("most", "batches"),
    [
        (1, [(0, 1), (1, 1), (2, 1), (3, 1)]),
        (2, [(0, 2), (2, 1), (3, 1)]),
        (4, [(0, 2), (2, 2)]),
        (5, [(0, 3), (3, 1)]),
        (6, [(0, 4)]),
    ],
)
def test_stretches_hold_no_more_rows_than_asked_for(
    most: int, batches: list[tuple[int, int]]
) -> None:
    """Owners of 1, 1, 3 and 1 options, in turn; one owner alone may hold more than that."""
    options = Options(np.array([1, 1, 3, 1]), np.arange(6), {})
    frames = Frames(4, {}, {}, {"tune": options})
    found = list(frames.stretches(("tune",), most))
    assert [(first, part.owners) for first, part in found] == batches
    rows = [part.options["tune"].row.tolist() for _, part in found]
    assert [row for some in rows for row in some] == list(range(6))
