"""In which order a plan's changes are done, year by year, and what is ordered in each."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from recommender.answer.cautions import USUAL
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.changes import Change
from recommender.fleet.fleet import Fleet
from recommender.fleet.orders import Orders, orders, orders_by_year
from recommender.fleet.rollout_records import ChangeRecord, RolloutRecord, YearRecord
from recommender.fleet.untold import middles, untold
from recommender.fleet.ways import mounting

CENT = 1e-9
"""What sums of cents may be off by, as they are reckoned."""


@dataclass(frozen=True)
class Year:
    """The changes of one year, in order."""

    number: int
    changes: tuple[Change, ...]

    @property
    def cost(self) -> float:
        return round(sum(one.cost for one in self.changes), 2)


def rollout(made: Sequence[Change], yearly: float | None) -> tuple[tuple[Year, ...], float]:
    """The changes by urgency, year by year within the yearly budget; and the fleet's whole cost.

    The most urgent first, each goes into the first year that still has room for it. So the years of
    the bikes, read by urgency, are the least there are: in any other spread, of the bikes whose
    year differs the most urgent waits longer. Raises BadInput where one bike alone costs more than
    a year's budget.
    """
    due = sorted((one for one in made if one.needed), key=lambda one: one.urgency)
    whole = round(sum(one.cost for one in due), 2)
    if yearly is None:
        return ((Year(1, tuple(due)),) if due else ()), whole
    dear = [one for one in due if one.cost > yearly + CENT]
    if dear:
        dearest = max(dear, key=lambda one: one.cost)
        more = f", and {len(dear) - 1} others more than {yearly:g}" if len(dear) > 1 else ""
        message = f"the change of {dearest.bike} alone costs {dearest.cost:g}{more}: "
        message += f"at least {dearest.cost:g} is wanted"
        raise BadInput([Problem("--yearly", message, value=f"{yearly:g}")])
    years: list[list[Change]] = []
    left: list[float] = []
    # A year without room for a cost never has room for it again.
    first: dict[float, int] = defaultdict(int)
    for one in due:
        while first[one.cost] < len(years) and one.cost > left[first[one.cost]] + CENT:
            first[one.cost] += 1
        if first[one.cost] == len(years):
            years.append([])
            left.append(yearly)
        years[first[one.cost]].append(one)
        left[first[one.cost]] -= one.cost
    return tuple(Year(k + 1, tuple(some)) for k, some in enumerate(years)), whole


def rollout_record(fleet: Fleet, yearly: float | None) -> RolloutRecord:
    """Orders by supplier, and the changes by year."""
    years, whole = rollout(fleet.changes, yearly)
    minimums = fleet.market.order_minimum
    by_year = tuple(orders_by_year(fleet.plan, [year.changes for year in years], minimums))
    return RolloutRecord(
        currency=fleet.currency, cost=fleet.plan.cost, yearly_budget=yearly,
        cost_ends=fleet.ends(fleet.changes, fleet.plan.cost),
        orders=orders(fleet.plan, minimums),
        years=tuple(
            YearRecord(
                year=year.number, cost=year.cost, orders=ordered,
                cost_ends=fleet.ends(year.changes, year.cost),
                changes=tuple(_change(fleet, one, year.number) for one in year.changes),
            )
            for year, ordered in zip(years, by_year, strict=True)
        ),
        spread=_spread(len(years), yearly, whole),
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
        cautions=(
            *_too_dear(fleet, years, yearly), *_cautions(fleet, by_year, whole),
            *middles(fleet.checked, fleet.currency), *untold(fleet, fleet.checked),
            *(USUAL if fleet.changes else ()),
        ),
    )  # fmt: skip


def _spread(years: int, yearly: float | None, whole: float) -> str:
    """How the changes are spread over the years, and what is claimed of it."""
    if yearly is None or years < 2:
        return ""
    least = math.ceil(whole / yearly - CENT)
    fewer = (
        "Fewer years would not have money enough." if years == least else
        f"Fewer years (no fewer than {least}) may do, but a more urgent bike would wait longer."
    )  # fmt: skip
    return (
        "By urgency, each bike in the first year whose budget still has room for it: none waits "
        f"for one less urgent. {fewer}"
    )


def _change(fleet: Fleet, one: Change, year: int) -> ChangeRecord:
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
        cost_ends=fleet.ends([one], one.cost),
    )  # fmt: skip


def _too_dear(fleet: Fleet, years: Sequence[Year], yearly: float | None) -> Iterable[str]:
    """Years whose budget is kept at the middle of what is open, and not at its dearest."""
    for year in years:
        ends = fleet.ends(year.changes, year.cost)
        if ends and yearly is not None and ends[1] > yearly + CENT:
            yield (
                f"year {year.number} may come to {ends[1]:g} {fleet.currency}, more than its "
                "budget: amounts that are told with two ends are taken at their middle"
            )


def _cautions(fleet: Fleet, by_year: Sequence[Orders], whole: float) -> Iterable[str]:
    several = len(by_year) > 1
    for year, listed in enumerate(by_year, 1):
        for one in listed:
            if one.short > 0:
                when = f"year {year}: " if several else ""
                more = " or some of a later year's parts" if year < len(by_year) else ""
                yield (
                    f"{when}the order from {one.supplier} comes to {one.cost:g} {fleet.currency}, "
                    f"{one.short:g} {fleet.currency} below its minimum of {one.minimum:g}: add "
                    f"spares{more} to it"
                )
    for one in orders(fleet.plan, {}):
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
