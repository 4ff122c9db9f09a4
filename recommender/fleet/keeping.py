"""Spares, orders, rollout and charts of a plan, put into records."""

from collections import defaultdict
from collections.abc import Iterable

from recommender.answer.shopping import spring_words
from recommender.facts.units import UNITS
from recommender.fleet.account import Fleet
from recommender.fleet.changes import Change, Order, orders, rollout
from recommender.fleet.charts import Chart, chart
from recommender.fleet.records import (
    ChangeRecord,
    ChartLine,
    ChartRecord,
    ChartsRecord,
    LevelRecord,
    OrderLineRecord,
    OrderRecord,
    ReachRecord,
    RolloutRecord,
    SpareRecord,
    SparesRecord,
    YearRecord,
)
from recommender.fleet.spares import Policy, Spare, Use, backorders, levels, spares
from recommender.fleet.ways import mounting
from recommender.rules.market import open_market

UNKNOWN_DAYS = 14.0
"""Delivery days of a part whose row does not tell them. From memory."""


def _unit_prices(fleet: Fleet) -> dict[str, tuple[float, float]]:
    """Price and delivery days of every shock and kit by number, in the wishes' currency."""
    market = open_market(fleet.groups[0].question, fleet.catalogue)
    out = {}
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
        for key, price, one in zip(keys, prices.tolist(), wait, strict=False):
            out[key] = (price, one)
    return out


def _after(fleet: Fleet, prices: dict[str, tuple[float, float]]) -> list[Use]:
    """Builds and kits of the plan with their bikes and hours."""
    bikes: dict[tuple[str, str], int] = defaultdict(int)
    hours: dict[tuple[str, str], float] = defaultdict(float)
    tune: dict[str, float] = {}
    for one in fleet.changes:
        numbers = [("shock", one.way.build)]
        numbers += [("kit", fit.part.name) for fit in (one.head, one.shaft) if fit.counted]
        for key in numbers:
            bikes[key] += 1
            hours[key] += one.row.hours
        service = mounting(one.way).tune
        tune[one.way.build] = sum(p.price for p in one.way.parts if p.name == service)
    out = []
    for (kind, name), count in bikes.items():
        price, days = prices.get(name.split(" | ")[0], (0.0, UNKNOWN_DAYS))
        if kind == "shock":
            out.append(Use(name, "shock", count, hours[kind, name], price + tune[name], days))
        else:
            out.append(Use(name, "kit", count, hours[kind, name], price, days))
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
        assumptions=tuple(_assumptions(policy)),
        before=tuple(_spare(one) for one in before), after=tuple(_spare(one) for one in after),
        shocks_before=sum(one.stock for one in before), shocks_after=sum(o.stock for o in shocks),
        pool_before=sum(one.pool_only for one in before),
        pool_after=sum(one.pool_only for one in shocks),
        cost_before=round(sum(one.cost for one in before), 2),
        cost_after=round(sum(one.cost for one in shocks), 2),
        levels=tuple(
            LevelRecord(level=one.level, units=one.units, cost=one.cost, more=one.more)
            for one in levels(uses, policy)
        ),
    )  # fmt: skip


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


def rollout_record(fleet: Fleet, yearly: float | None) -> RolloutRecord:
    """Orders by supplier, and the changes by year."""
    years, whole = rollout(fleet.changes, yearly)
    listed = orders(fleet.plan, fleet.minimums)
    return RolloutRecord(
        currency=fleet.currency, cost=fleet.plan.cost, yearly_budget=yearly,
        orders=tuple(_order(one) for one in listed),
        years=tuple(
            YearRecord(
                year=year.number, cost=year.cost,
                changes=tuple(_change(one, year.number) for one in year.changes),
            )
            for year in years
        ),
        unchanged=tuple(one.bike for one in fleet.changes if not one.needed),
        unserved=tuple(
            bike for number, group in enumerate(fleet.groups)
            for bike in group.bikes[fleet.plan.by_group[number] :]
        ),
        cautions=tuple(_cautions(fleet, listed, whole)),
    )  # fmt: skip


def _order(one: Order) -> OrderRecord:
    return OrderRecord(
        supplier=one.supplier or "no supplier told",
        lines=tuple(
            OrderLineRecord(
                part=line.part.name, pieces=line.pieces, on_hand=line.on_hand,
                price=round(line.part.price, 2) if line.part.priced else None, cost=line.cost,
                stock=line.part.stock if line.part.stock < float("inf") else None,
            )
            for line in one.lines
        ),
        cost=one.cost, short=one.short,
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
        condition=one.row.facts.condition or "", build=one.way.build,
        parts=tuple(part.name for part in one.parts), cost=one.cost, sizes=sizes,
    )  # fmt: skip


def _cautions(fleet: Fleet, listed: tuple[Order, ...], whole: float) -> Iterable[str]:
    for one in listed:
        if one.short > 0:
            yield (
                f"the order from {one.supplier} comes to {one.cost:g} {fleet.currency}, "
                f"{one.short:g} below its minimum: add spares to it"
            )
        for line in one.lines:
            if line.pieces > line.part.stock:
                yield (
                    f"{line.part.name}: {line.pieces} needed, {line.part.stock:g} on the shelf "
                    f"of {one.supplier or 'the supplier'}"
                )
    if fleet.plan.from_hand:
        yield (
            f"what lies on hand is not counted as paid: bike by bike the changes come to {whole:g} "
            f"{fleet.currency}"
        )


def charts_record(fleet: Fleet) -> ChartsRecord:
    """A chart for every group of the plan and each way it is served."""
    made: dict[tuple[int, str], Chart] = {}
    for way, _ in fleet.plan.taken:
        key = way.group, way.build
        if key not in made:
            made[key] = chart(fleet.groups[way.group], way, fleet.catalogue)
    return ChartsRecord(
        invented=fleet.invented, charts=tuple(_chart(one) for _, one in sorted(made.items()))
    )


def _chart(one: Chart) -> ChartRecord:
    bar = UNITS["psi"][1] / UNITS["bar"][1]

    def rounded(value: float | None, digits: int) -> float | None:
        return None if value is None else round(value, digits)

    return ChartRecord(
        group=one.group.name, model=one.group.model, build=one.build,
        riders=one.group.riders_text,
        lines=tuple(
            ChartLine(
                mass_kg=line.mass_kg, spring=spring_words(line.spring),
                pressure_psi=rounded(line.pressure_psi, 1),
                pressure_bar=rounded(line.pressure_psi and line.pressure_psi * bar, 2),
                rate_n_per_mm=rounded(line.rate_n_per_mm, 2), sag_mm=round(line.sag_mm, 2),
                sag_percent=round(line.sag_percent, 2), end=line.end,
            )
            for line in one.lines
        ),
        reaches=tuple(
            ReachRecord(
                spring=spring_words(r.spring), low_kg=round(r.low_kg, 2),
                high_kg=round(r.high_kg, 2),
            )
            for r in one.reaches
        ),
    )  # fmt: skip


