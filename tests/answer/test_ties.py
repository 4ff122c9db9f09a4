"""Parts that are alike in all that counts: which is told, and in which place, goes by name."""

import random
from dataclasses import replace
from typing import Any

import pytest

from recommender.answer.answer import Case, answer
from tests.search.random_market import base

TWINS = {"shocks": "part_number", "kits": "part_number", "services": "service_number"}


def told(market: Any) -> dict[str, Any]:
    """The whole answer but for what the files' bytes decide."""
    made = answer(Case(*market.open()), top=50, rejected=None)
    return made.model_dump(exclude={"question_digest", "catalogue_digest"})


@pytest.mark.parametrize("seed", [0, 1, 3, 8, 9])
def test_the_order_of_rows_changes_no_answer(seed: int) -> None:
    rng = random.Random(seed)
    market = base(rng)
    tables = dict(market.tables)
    for name, key in TWINS.items():
        tables[name] = [twin for row in tables[name]
                        for twin in (row, {**row, key: f"{row[key]}-TWIN"})]  # fmt: skip
    first = told(replace(market, tables=tables))
    mixed = {name: rng.sample(rows, len(rows)) for name, rows in tables.items()}
    backwards = {name: rows[::-1] for name, rows in tables.items()}
    assert told(replace(market, tables=mixed)) == first
    assert told(replace(market, tables=backwards)) == first
