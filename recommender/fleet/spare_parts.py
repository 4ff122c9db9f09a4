"""The parts that a fleet uses, before and after standardising, and the spares to keep of each."""

from collections import defaultdict
from collections.abc import Iterable

from recommender.fleet.fleet import Fleet
from recommender.fleet.records import SpareRecord, SparesRecord
from recommender.fleet.spares import Policy, Spare, Use, backorders, levels, spares
from recommender.fleet.task import Build
from recommender.fleet.ways import mounting

UNKNOWN_DAYS = 14.0
"""Delivery days of a part whose row does not tell them. From memory."""


def _unit_prices(fleet: Fleet) -> dict[str, tuple[float, float]]:
    """Price and delivery days of every shock and kit by number, in the wishes' currency."""
    market, out = fleet.market, {}
    tables = (
        (market.shocks.keys(), market.shock_price.nominal.low, market.shocks),
        (market.kits.labels, market.kits.facts["price"].nominal.low, fleet.catalogue.kits),
    )
    for keys, prices, table in tables:
        days = table.number("delivery_days")
        wait = [
            (low + top) / 2 if known else UNKNOWN_DAYS
            for low, top, known in zip(
                days.low.tolist(), days.top.tolist(), days.is_known.tolist(), strict=True
            )
        ]
        priced = dict(zip(keys, prices.tolist(), strict=True))
        for key, one in zip(table.keys(), wait, strict=True):
            out[key] = (priced[key], one)
    return out


def _after(fleet: Fleet, prices: dict[str, tuple[float, float]]) -> list[Use]:
    """Builds and kits of the plan with their bikes and hours."""
    bikes: dict[Build | str, int] = defaultdict(int)
    hours: dict[Build | str, float] = defaultdict(float)
    tune: dict[Build, float] = {}
    for one in fleet.changes:
        kits = [fit.part.name for fit in (one.head, one.shaft) if fit.counted]
        some: list[Build | str] = [one.way.build, *kits]
        for used in some:
            bikes[used] += 1
            hours[used] += one.row.hours
        service = mounting(one.way).tune
        tune[one.way.build] = sum(p.price for p in one.way.parts if p.name == service)
    out = []
    for used, count in bikes.items():
        if isinstance(used, Build):
            price, days = prices.get(used.shock, (0.0, UNKNOWN_DAYS))
            out.append(Use(str(used), "shock", count, hours[used], price + tune[used], days))
        else:
            out.append(
                Use(used, "kit", count, hours[used], *prices.get(used, (0.0, UNKNOWN_DAYS)))
            )
    return out


def _before(fleet: Fleet, prices: dict[str, tuple[float, float]]) -> list[Use]:
    """The shocks on the bikes now, of the bikes that the plan serves."""
    bikes: dict[str, int] = defaultdict(int)
    hours: dict[str, float] = defaultdict(float)
    for one in fleet.changes:
        now = one.group.question.bike.present_shock
        name = (now.part_number if now else "") or f"the shock now on {one.group.model}"
        bikes[name] += 1
        hours[name] += one.row.hours
    return [
        Use(name, "shock", count, hours[name], *prices.get(name, (0.0, UNKNOWN_DAYS)))
        for name, count in bikes.items()
    ]


def spares_record(fleet: Fleet, policy: Policy) -> SparesRecord:
    """Spares before and after standardising, and what each level of service takes."""
    prices = _unit_prices(fleet)
    uses = _after(fleet, prices)
    before, after = spares(_before(fleet, prices), policy), spares(uses, policy)
    shocks = [one for one in after if one.use.kind == "shock"]
    return SparesRecord(
        currency=fleet.currency, level=policy.level, measure=policy.measure,
        assumptions=(*_assumptions(policy), *unpriced((*before, *after))),
        before=tuple(_spare(one) for one in before), after=tuple(_spare(one) for one in after),
        shocks_before=sum(one.stock for one in before), shocks_after=sum(o.stock for o in shocks),
        pool_before=sum(one.pool_only for one in before),
        pool_after=sum(one.pool_only for one in shocks),
        cost_before=round(sum(one.cost for one in before), 2),
        cost_after=round(sum(one.cost for one in shocks), 2),
        levels=levels(uses, policy),
    )  # fmt: skip


def unpriced(kept: Iterable[Spare]) -> Iterable[str]:
    """A sentence on the spares whose price nobody told; none where all have one."""
    names = sorted({one.use.part for one in kept if one.stock and not one.use.price})
    if names:
        yield (
            f"No price is known of {', '.join(names)}: left out of the costs, which are at least "
            "what is told."
        )


def _spare(one: Spare) -> SpareRecord:
    return SpareRecord(
        part=one.use.part, kind=one.use.kind, bikes=one.use.bikes,
        hours_per_year=round(one.use.hours, 1), mean_failures=round(one.failures, 4),
        mean_pool=round(one.pool, 4), stock=one.stock, for_services_alone=one.pool_only,
        backorders=round(backorders(one.mean, one.stock), 6), price=round(one.use.price, 2),
        cost=one.cost,
    )  # fmt: skip


def _assumptions(policy: Policy) -> Iterable[str]:
    yield (
        f"A shock fails every {policy.hours_between_failures:g} h and is serviced every "
        f"{policy.hours_between_services:g} h; a kit wears out in {policy.hours_between_kits:g} h "
        "(from memory: put in your own)."
    )
    lead = f"{policy.lead_days:g} days" if policy.lead_days is not None else (
        "the catalogue's delivery days")  # fmt: skip
    yield f"A service keeps a shock away {policy.turnaround_days:g} days; a new unit takes {lead}."
    yield "Failed, and away for service: how many are so at a time, on average."
    plain = policy.measure == "no stock-out"
    what = "no shortage while waiting" if plain else "demands met at once"
    yield f"Demand is Poisson; the stock is the least with {what} at {100 * policy.level:g} %."
