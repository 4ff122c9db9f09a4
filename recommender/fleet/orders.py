"""From whom a plan's parts are ordered: in all, and year by year."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from recommender.fleet.changes import Change
from recommender.fleet.plan import Plan
from recommender.fleet.rollout_records import OrderLineRecord, OrderRecord

Orders = tuple[OrderRecord, ...]


def orders(plan: Plan, minimums: Mapping[str, float]) -> Orders:
    """The order list by supplier; what lies on hand is not ordered, and no sum has a part without a
    price. `minimums`: orders below them are not taken."""
    pieces, hand = Counter(plan.pieces()), Counter(dict(plan.from_hand))
    return _orders(plan, pieces, hand, Counter(), minimums)


def orders_by_year(
    plan: Plan, years: Iterable[Sequence[Change]], minimums: Mapping[str, float]
) -> Iterator[Orders]:
    """The order lists of the years' changes, what lies on hand used up first. Where the years hold
    every change, pieces and cost add up to those of `orders`."""
    left, bought = Counter(dict(plan.from_hand)), Counter[str]()
    for made in years:
        needed = Counter[str]()
        for part in (part for one in made for part in one.parts):
            needed[part.name] += part.pieces
        mine = needed & left
        yield _orders(plan, needed, mine, bought, minimums)
        left -= mine
        bought += needed - mine


def _orders(
    plan: Plan, needed: Counter[str], hand: Counter[str], bought: Counter[str],
    minimums: Mapping[str, float],
) -> Orders:  # fmt: skip
    """`bought` are the pieces of earlier orders: only counted on from them do cents add up."""
    known = {part.name: part for part in plan.parts()}
    lines: dict[str, list[OrderLineRecord]] = defaultdict(list)
    for name, pieces in sorted(needed.items()):
        part, more = known[name], pieces - hand[name]
        price, before = part.price if part.priced else 0.0, bought[name]
        lines[part.supplier].append(
            OrderLineRecord(
                part=name, pieces=more, on_hand=hand[name],
                price=round(price, 2) if part.priced else None,
                cost=round(round((before + more) * price, 2) - round(before * price, 2), 2),
                stock=part.stock if part.stock < float("inf") else None,
            )
        )  # fmt: skip
    return tuple(
        _order(supplier, some, minimums.get(supplier, 0.0))
        for supplier, some in sorted(lines.items())
    )


def _order(supplier: str, lines: Sequence[OrderLineRecord], minimum: float) -> OrderRecord:
    cost = round(sum(line.cost for line in lines), 2)
    short = max(0.0, minimum - cost) if any(line.pieces for line in lines) else 0.0
    return OrderRecord(
        supplier=supplier or "no supplier told", lines=tuple(lines), cost=cost, minimum=minimum,
        short=round(short, 2),
    )  # fmt: skip
