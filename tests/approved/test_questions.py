"""The whole account of seeded questions is, to nine digits, the one that is kept.

That a kept account is right is for the other tests to say; this one says that nothing has changed
that nobody meant to change. `APPROVED_WRITE=1 python -m pytest tests/approved` writes them afresh;
read the difference before it is committed.
"""

import pytest

from tests.approved.account import told
from tests.approved.kept import same_as_kept
from tests.approved.questions import DOUBTFUL, ORDERED, SEEDS, case, doubtful, ordered


@pytest.mark.parametrize("seed", SEEDS)
def test_a_question_is_answered_as_before(seed: int) -> None:
    same_as_kept(f"question-{seed}", told(case(seed)))


@pytest.mark.parametrize("seed", DOUBTFUL)
def test_a_question_about_loose_parts_is_answered_as_before(seed: int) -> None:
    same_as_kept(f"doubtful-{seed}", told(doubtful(seed)))


@pytest.mark.parametrize("seed", ORDERED)
def test_a_question_about_orders_is_answered_as_before(seed: int) -> None:
    same_as_kept(f"ordered-{seed}", told(ordered(seed)))
