"""From whom a plan's parts are ordered, and in which order its changes are done."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from recommender.answer.cautions import USUAL
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.changes import Change
from recommender.fleet.fleet import Fleet
from recommender.fleet.plan import Plan
from recommender.fleet.records import (
    ChangeRecord,
    OrderLineRecord,
    OrderRecord,
    RolloutRecord,
    YearRecord,
)
from recommender.fleet.ways import mounting


@dataclass(frozen=True)
class Year:
    """The changes of one year, in order."""

    number: int
    changes: tuple[Change, ...]

    @property
    def cost(self) -> float:
        return round(sum(one.cost for one in self.changes), 2)


def orders(plan: Plan, minimums: Mapping[str, float]) -> tuple[OrderRecord, ...]:
    """The order list by supplier; what lies on hand is not ordered, and no sum has a part without a
    price. `minimums`: orders below them are not taken."""
    known = {part.name: part for part in plan.parts()}
    hand = dict(plan.from_hand)
    lines: dict[str, list[OrderLineRecord]] = defaultdict(list)
    for name, needed in sorted(plan.pieces().items()):
        part, mine = known[name], hand.get(name, 0)
        price = part.price if part.priced else None
        lines[part.supplier].append(
            OrderLineRecord(
                part=name, pieces=needed - mine, on_hand=mine,
                price=None if price is None else round(price, 2),
                cost=round((needed - mine) * (price or 0.0), 2),
                stock=part.stock if part.stock < float("inf") else None,
            )
        )  # fmt: skip
    return tuple(
        _order(supplier, some, minimums.get(supplier, 0.0))
        for supplier, some in sorted(lines.items())
    )


def _order(supplier: str, lines: Sequence[OrderLineRecord], minimum: float) -> OrderRecord:
    cost = round(sum(line.cost for line in lines), 2)
    return OrderRecord(
        supplier=supplier or "no supplier told", lines=tuple(lines), cost=cost, minimum=minimum,
        short=round(max(0.0, minimum - cost), 2),
    )  # fmt: skip


def rollout(made: Sequence[Change], yearly: float | None) -> tuple[tuple[Year, ...], float]:
    """The changes by urgency, year by year within the yearly budget; and the fleet's whole cost.

    A year is closed when the next bike does not fit it: nobody is passed by. Raises BadInput where
    one bike alone costs more than a year's budget.
    """
    due = sorted((one for one in made if one.needed), key=lambda one: one.urgency)
    whole = round(sum(one.cost for one in due), 2)
    if yearly is None:
        return ((Year(1, tuple(due)),) if due else ()), whole
    dear = [one for one in due if one.cost > yearly + 1e-9]
    if dear:
        dearest = max(dear, key=lambda one: one.cost)
        more = f", and {len(dear) - 1} others more than {yearly:g}" if len(dear) > 1 else ""
        message = f"the change of {dearest.bike} alone costs {dearest.cost:g}{more}: "
        message += f"at least {dearest.cost:g} is wanted"
        raise BadInput([Problem("--yearly", message, value=f"{yearly:g}")])
    years: list[list[Change]] = []
    left = 0.0
    for one in due:
        if not years or one.cost > left + 1e-9:
            years.append([])
            left = yearly
        years[-1].append(one)
        left -= one.cost
    return tuple(Year(k + 1, tuple(some)) for k, some in enumerate(years)), whole


def rollout_record(fleet: Fleet, yearly: float | None) -> RolloutRecord:
    """Orders by supplier, and the changes by year."""
    years, whole = rollout(fleet.changes, yearly)
    listed = orders(fleet.plan, fleet.market.order_minimum)
    return RolloutRecord(
        currency=fleet.currency, cost=fleet.plan.cost, yearly_budget=yearly,
        orders=listed,
        years=tuple(
            YearRecord(
                year=year.number, cost=year.cost,
                changes=tuple(_change(one, year.number) for one in year.changes),
            )
            for year in years
        ),
        unchanged=tuple(one.bike for one in fleet.changes if not one.needed),
        service_due=tuple(one.bike for one in fleet.changes if one.service_due),
        waiting=tuple(
            one.bike for year in years[1:] for one in year.changes
            if one.row.facts.condition in ("broken", "service due")
        ),
        unserved=tuple(
            bike for number, group in enumerate(fleet.groups)
            for bike in group.bikes[fleet.plan.by_group[number] :]
        ),
        cautions=(*_cautions(fleet, listed, whole), *(USUAL if fleet.changes else ())),
    )  # fmt: skip


def _change(one: Change, year: int) -> ChangeRecord:
    how = mounting(one.way)
    bike = one.group.question.bike
    approved = [
        f"{size.length_mm.mid:g} x up to {size.stroke_ceiling_mm.mid:g}"
        for size in bike.sizes if size.length_mm.known and size.stroke_ceiling_mm.known
    ]  # fmt: skip
    sizes = f"{how.length_mm:g} x {how.stroke_mm:g} mm; "
    sizes += f"approved: {', '.join(approved) or 'not told'}"
    return ChangeRecord(
        bike=one.bike, model=one.group.model, year=year, due=one.row.facts.due,
        condition=one.row.facts.condition or "", build=str(one.way.build),
        parts=tuple(part.name for part in one.parts), cost=one.cost, sizes=sizes,
    )  # fmt: skip


def _cautions(fleet: Fleet, listed: tuple[OrderRecord, ...], whole: float) -> Iterable[str]:
    for one in listed:
        if one.short > 0:
            yield (
                f"the order from {one.supplier} comes to {one.cost:g} {fleet.currency}, "
                f"{one.short:g} {fleet.currency} below its minimum: add spares to it"
            )
        for line in one.lines:
            if line.stock is not None and line.pieces > line.stock:
                yield (
                    f"{line.part}: {line.pieces} needed, {line.stock:g} on the shelf of "
                    f"{one.supplier}"
                )
    if fleet.plan.from_hand:
        yield (
            f"what lies on hand is not counted as paid: the total bike by bike is {whole:g} "
            f"{fleet.currency}"
        )
