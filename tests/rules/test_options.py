"""Every column of a part is a fact of its options, also of those that stand in no table."""

from pathlib import Path

import pytest

from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import read_question
from recommender.facts.fields import numbers, own
from recommender.facts.parts import Kit, Priced, Service, Spring
from recommender.rules.choices import MADE, REUSED_HEAD, REUSED_SHAFT, SERVICED, Market
from recommender.rules.market import open_market
from recommender.rules.tune_options import OF_TUNE
from tests.catalogue.build import kit, shock, write_catalogue

FITTED = """
[bike]
mount = "eyelet"
[bike.present_shock]
part_number = "A"
head_sleeve = { width_mm = 22.2, bore_mm = 8 }
"""


@pytest.fixture
def market(tmp_path: Path) -> Market:
    """One shock, fitted, and one kit."""
    question = tmp_path / "question.toml"
    question.write_text(FITTED, encoding="utf-8")
    folder = write_catalogue(tmp_path / "catalogue", shocks=[shock("A")], kits=[kit("K")])
    catalogue = read_catalogue(folder)
    return open_market(read_question([question], catalogue), catalogue)


def test_every_column_of_its_own_is_a_fact(market: Market) -> None:
    assert set(own(Kit, Priced)) <= set(market.kits.facts)
    assert set(own(Spring, Priced)) <= set(market.springs.facts)
    assert set(own(Service, Priced)) - {"work_days"} <= set(OF_TUNE) <= set(market.tunes.facts)


@pytest.mark.parametrize("table", ["kits", "springs", "tunes"])
def test_every_fact_has_a_row_for_each_option(table: str, market: Market) -> None:
    options = getattr(market, table)
    assert {len(fact) for fact in options.facts.values()} == {len(options.labels)}


def test_what_nobody_said_of_a_sleeve_on_the_bike_may_be_anything(market: Market) -> None:
    kits = market.kits
    assert kits.labels == ("K", REUSED_HEAD, REUSED_SHAFT, MADE)
    low, high = kits.facts["width_mm"].low.tolist(), kits.facts["width_mm"].high.tolist()
    bounds = numbers(Kit)["width_mm"]
    assert (low[1], high[1]) == (22.2, 22.2)
    assert (low[2], high[2]) == (bounds.low, bounds.high)
    # A column that is none of a sleeve's facts counts as blank.
    bounds = numbers(Kit)["pieces"]
    found = kits.facts["pieces"]
    assert (found.low.tolist()[1], found.high.tolist()[1]) == (bounds.low, bounds.high)
    assert (found.low.tolist()[3], found.high.tolist()[3]) == (0.0, 0.0)


def test_the_fitted_shock_serviced_keeps_its_tune(market: Market) -> None:
    tunes = market.tunes
    kept = tunes.labels.index(SERVICED)
    for name in OF_TUNE:
        fact = tunes.facts[name]
        assert {*map(str, fact.take([0]).corners)} == {*map(str, fact.take([kept]).corners)}
