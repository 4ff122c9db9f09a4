"""How many pieces a way buys."""

from recommender.fleet.task import Part, Way
from recommender.fleet.ways import make_task, mounting
from recommender.rules.spring_options import MOST_SPACERS, spacer_words
from tests.fleet.demo import catalogue, groups

COUNT = {spacer_words(n): n for n in range(MOST_SPACERS + 1)}


def spacers(way: Way) -> list[Part]:
    return [part for part in way.parts if part.name.startswith("volume spacers")]


def test_spacers_are_ordered_one_by_one() -> None:
    """As many pieces as go in, each at the price of one: none are in a shock that is bought."""
    read = catalogue()
    prices = dict(zip(read.shocks.keys(), read.shocks.number("volume_spacer_price").low.tolist(),
                      strict=True))  # fmt: skip
    seen = set()
    for way in make_task(groups(), read).ways:
        if mounting(way).kept or not spacers(way):
            continue
        wanted = [COUNT[one.spring] for one in mounting(way).settings if COUNT[one.spring]]
        assert [part.pieces for part in spacers(way)] == wanted
        assert all(part.price == prices[way.build.shock] for part in spacers(way))
        seen |= set(wanted)
    assert max(seen) > 1
