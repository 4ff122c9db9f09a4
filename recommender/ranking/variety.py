"""Alternatives that differ in kind from the first: no five near-copies at the top."""

from collections.abc import Callable, Sequence

from recommender.ranking.order import Ranked


def variety(order: Sequence[Sequence[Ranked]]) -> list[tuple[str, Ranked]]:
    """The best bundle; then the best with another spring kind, of another size, the cheapest, and
    that which keeps the fitted shock. Each shock stands once, under the first that it meets."""
    if not order:
        return []
    first = order[0][0]
    every = [one for found in order for one in found[:1]]
    all_bundles = [one for found in order for one in found]
    cheapest = min(all_bundles, key=lambda one: (not one.bundle.sure, one.price, one.key))
    reasons: list[tuple[str, Ranked | None]] = [
        ("the best", first),
        ("another spring", _first(every, lambda one: _kind(one) != _kind(first))),
        ("another size", _first(every, lambda one: _size(one) != _size(first))),
        ("the cheapest", cheapest),
        ("keeping yours", _first(every, _keeps)),
    ]
    out: list[tuple[str, Ranked]] = []
    for reason, one in reasons:
        if one is not None and all(one.bundle.whole.shock != o.bundle.whole.shock for _, o in out):
            out.append((reason, one))
    return out


def _first(every: Sequence[Ranked], meets: Callable[[Ranked], bool]) -> Ranked | None:
    return next((one for one in every if meets(one)), None)


def _kind(one: Ranked) -> int:
    whole = one.bundle.whole
    return int(whole.market.shocks.choice("spring_kind").codes[whole.shock])


def _size(one: Ranked) -> tuple[float, float]:
    whole = one.bundle.whole
    stroke = whole.market.stroke_mm.low[one.bundle.option("stroke")]
    return round(float(whole.market.shocks.number("length_mm").low[whole.shock])), float(stroke)


def _keeps(one: Ranked) -> bool:
    return one.bundle.whole.shock == one.bundle.whole.market.present
