"""What a job costs, and where it is done."""

import pytest

from recommender.catalogue.read import parse_table
from recommender.rules.work import works
from tests.catalogue.build import csv_text

JOB = {
    "job": "change stroke", "place": "home", "tools": "shaft clamp; strap wrench", "price": 40,
    "work_days": 2, "currency": "GBP",
}  # fmt: skip
TOOLS = ("shaft clamp", "strap wrench", "caliper")


@pytest.mark.parametrize(
    ("job", "tools", "costs", "workshop"),
    [
        ({}, TOOLS, False, 0.0),
        ({}, TOOLS[:1], True, 1.0),
        ({"tools": ""}, (), False, 0.0),
        ({"place": "workshop"}, TOOLS, True, 1.0),
    ],
)
def test_a_job_is_done_at_home_with_its_tools(
    job: dict[str, str], tools: tuple[str, ...], costs: bool, workshop: float
) -> None:
    table = parse_table(csv_text([JOB | job], "job").encode(), "jobs.csv", "jobs")
    found = works(table, tools, {"GBP": 1.25})["change stroke"]
    for what, much in (("labour", 50.0), ("days", 2.0)):
        fact = found.fact(what, [1.0])
        assert (fact.low[0], fact.high[0]) == ((much, much) if costs else (0.0, 0.0))
    assert found.fact("workshop", [1.0]).low[0] == workshop
    assert found.fact("workshop", [0.0]).low[0] == 0.0
