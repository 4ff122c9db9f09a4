"""A fleet's plan put into a record."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from recommender.answer.cautions import USUAL
from recommender.fleet.changes import Change
from recommender.fleet.checked import Checked, cautions_of
from recommender.fleet.curve import curve, curve_point
from recommender.fleet.fleet import Fleet
from recommender.fleet.orders import orders
from recommender.fleet.plan import Plan
from recommender.fleet.records import (
    BikeRecord,
    BuildRecord,
    CurvePoint,
    GroupRecord,
    KitRecord,
    OwnBest,
    PlanRecord,
    SettingRecord,
    StageRecord,
)
from recommender.fleet.task import Build, Task, Way
from recommender.fleet.unserved import LeftOut
from recommender.fleet.untold import middles, untold
from recommender.fleet.ways import mounting


def plan_record(fleet: Fleet, with_curve: bool = False) -> PlanRecord:
    """The plan in full; the trade-off curve where it is asked for."""
    plan, task = fleet.plan, fleet.task
    left_out = LeftOut(task, fleet.limits, fleet.currency, fleet.seconds)
    return PlanRecord(
        currency=fleet.currency,
        invented=fleet.invented,
        catalogue_digest=fleet.catalogue.digest,
        bikes=task.bikes,
        served=plan.served,
        stages=tuple(
            StageRecord(
                name=one.name, value=round(one.value, 4), gap=round(one.gap, 4), proved=one.proved
            )
            for one in plan.stages
        ),
        proved=plan.proved,
        cost=plan.cost,
        cost_ends=fleet.ends(fleet.changes, plan.cost),
        loss=plan.loss,
        point=fleet.point,
        builds=_builds(fleet.changes),
        kits=_kits(plan),
        groups=tuple(_group(fleet, number) for number in range(len(fleet.groups))),
        bike_plans=tuple(_bike(fleet, one) for one in fleet.changes),
        unserved=tuple(left_out.groups(plan, fleet.groups, fleet.catalogue)),
        all_in=tuple(left_out.all_in(plan)),
        curve=tuple(_points(fleet)) if with_curve else (),
        cautions=cautions(fleet, fleet.checked),
        notes=tuple(_notes(fleet)),
    )


def cautions(fleet: Fleet, some: Sequence[Checked]) -> tuple[str, ...]:
    """What these bikes' bundles call for, what nobody told of them, and what holds wherever a shock
    is fitted."""
    return (*cautions_of(some), *untold(fleet, some), *(USUAL if some else ()))


def _builds(made: Iterable[Change]) -> tuple[BuildRecord, ...]:
    by_build: dict[Build, list[Change]] = defaultdict(list)
    for one in made:
        by_build[one.way.build].append(one)
    out = []
    for build, some in sorted(by_build.items()):
        kept = sum(not one.way.shock for one in some)
        out.append(
            BuildRecord(name=str(build), bikes=len(some), kept=kept, **build._asdict())
        )
    return tuple(out)


def _kits(plan: Plan) -> tuple[KitRecord, ...]:
    pieces = plan.pieces()
    return tuple(KitRecord(part=name, pieces=pieces[name]) for name in plan.numbers)


def _group(fleet: Fleet, number: int) -> GroupRecord:
    group = fleet.groups[number]
    best = fleet.task.own_best.get(number)
    fitting = {way.build for way in fleet.task.ways if way.group == number}
    return GroupRecord(
        name=group.name, model=group.model, riders=group.riders_text,
        own_best=str(best.build) if best else "", spring_changes=group.changes, bikes=group.bikes,
        builds_that_fit=tuple(str(build) for build in sorted(fitting)),
        served=fleet.plan.by_group[number],
    )  # fmt: skip


def _bike(fleet: Fleet, one: Change) -> BikeRecord:
    how = mounting(one.way)
    best = fleet.task.own_best[one.way.group]
    return BikeRecord(
        bike=one.bike,
        group=one.group.name,
        build=str(one.way.build),
        kept=how.kept,
        head=one.head.part.name,
        shaft=one.shaft.part.name,
        settings=tuple(
            SettingRecord(
                spring=s.spring, from_kg=round(s.low, 2), to_kg=round(s.high, 2)
            )
            for s in how.settings
        ),
        cost=one.cost,
        cost_ends=fleet.ends([one], one.cost),
        points=how.points,
        own_best=OwnBest(
            build=str(best.build), cost=round(_money_alone(fleet.task, best), 2),
            points=mounting(best).points,
        ),
        why=_why(fleet, one, best),
    )  # fmt: skip


def _money_alone(task: Task, way: Way) -> float:
    return task.alone(way) - task.point * way.loss


def _why(fleet: Fleet, one: Change, best: Way) -> str:
    """Why this bike has this build and not its own best."""
    if one.way.build == best.build:
        return "this build is the best if planned alone"
    groups = {c.group.name: c.group.model for c in fleet.changes if c.way.build == one.way.build}
    others = sorted({model for name, model in groups.items() if name != one.group.name})
    more = one.cost - _money_alone(fleet.task, best)
    points = mounting(best).points - mounting(one.way).points
    told = f"{best.build} would be best if planned alone: "
    told += f"{abs(more):.2f} {fleet.currency} {'less' if more >= 0 else 'more'}, "
    told += f"{abs(points):.2f} points {'more' if points >= 0 else 'fewer'}"
    if others:
        named = ", ".join(others[:3]) + (f" and {len(others) - 3} more" if len(others) > 3 else "")
        return f"shared with {named}; {told}"
    return f"it needs the fewest kits of the plan; {told}"


def _points(fleet: Fleet) -> Iterable[CurvePoint]:
    for count, plan in curve(fleet.task, fleet.limits, fleet.seconds):
        yield curve_point(plan, count)


def _notes(fleet: Fleet) -> Iterable[str]:
    yield (
        f"A point of one bike's score is weighed as {fleet.point:g} {fleet.currency}; points are "
        "those the build itself decides, for the middle rider."
    )
    if not fleet.limits.in_stock:
        short = _short_of_stock(fleet.plan)
        if short:
            yield (
                "Suppliers' stock is no limit here; fewer on the shelf than the plan needs: "
                f"{', '.join(short[:6])}{' and others' if len(short) > 6 else ''}. "
                "Add --in-stock for a plan within it."
            )
    for one in orders(fleet.plan, fleet.market.order_minimum):
        if one.short > 0:
            yield (
                f"Order minimums are no limit here: {one.supplier}'s is {one.minimum:g} "
                f"{fleet.currency}, {one.short:g} more than the plan orders there."
            )
    if fleet.limits.names and fleet.plan.served < fleet.task.bikes:
        yield (
            "What lets a bike in is the least with which it can be served beside all that are "
            "served now; the best plan for it may take in others instead, as many or more."
        )
    yield from middles(fleet.checked, fleet.currency)
    unpriced = sorted({part.name for part in fleet.plan.parts() if not part.priced})
    if unpriced:
        yield f"No price is known for {', '.join(unpriced)}: the cost is without them."
    for stage in fleet.plan.stages:
        if not stage.proved:
            yield (
                f"Time ran out: {stage.name} are not proved best; a plan better by up to "
                f"{stage.gap:g} is not ruled out."
            )


def _short_of_stock(plan: Plan) -> list[str]:
    stock = {part.name: part.stock for part in plan.parts()}
    hand = dict(plan.from_hand)
    return [
        f"{name} ({pieces - hand.get(name, 0)} needed, {stock[name]:g} there)"
        for name, pieces in sorted(plan.pieces().items())
        if pieces - hand.get(name, 0) > stock[name]
    ]
