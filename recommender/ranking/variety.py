"""Alternatives that differ in kind from the first: no five near-copies at the top."""

from collections.abc import Callable

from recommender.ranking.firsts import First
from recommender.ranking.order import Ranked
from recommender.ranking.ranking import Ranking


def variety(ranking: Ranking) -> list[tuple[str, Ranked]]:
    """The best bundle; then the best with another spring kind, of another size, the cheapest, and
    that which keeps the fitted shock. Each shock stands once, under the first that it meets."""
    if not len(ranking):
        return []
    shocks, present = ranking.market.shocks, ranking.market.present
    kind = shocks.choice("spring_kind").codes
    length = shocks.number("length_mm").low

    def size(one: First) -> tuple[float, float]:
        return round(float(length[one.shock])), one.stroke_mm

    first = ranking.firsts[0]
    least = min(ranking.firsts, key=lambda one: (not one.sure, *one.cheapest, one.name))
    meets: list[tuple[str, Callable[[First], bool]]] = [
        ("the best", lambda one: one is first),
        ("another spring", lambda one: kind[one.shock] != kind[first.shock]),
        ("another size", lambda one: size(one) != size(first)),
        ("the cheapest", lambda one: one is least),
        ("keeping yours", lambda one: one.shock == present),
    ]
    found: dict[int, str] = {}
    for reason, meet in meets:
        place = next((k for k, one in enumerate(ranking.firsts) if meet(one)), None)
        if place is not None:
            found.setdefault(place, reason)
    return [
        (reason, min(bundles, key=_dear) if reason == "the cheapest" else bundles[0])
        for reason, bundles in zip(found.values(), ranking.at(found), strict=True)
    ]


def _dear(one: Ranked) -> tuple[float, tuple[object, ...]]:
    return one.price, one.key
