"""All that is worked out for a fleet, as text: the ways, the plan and its proof, changes and years,
orders, spares, charts, what goes without a part, and what limits leave out."""

from collections.abc import Iterator

from recommender.fleet.account import plan_record
from recommender.fleet.charts import charts_record
from recommender.fleet.dropped import drop_record
from recommender.fleet.fleet import Fleet
from recommender.fleet.rollout import rollout_record
from recommender.fleet.spare_parts import spares_record
from recommender.fleet.spares import Policy
from recommender.fleet.ways import mounting
from tests.approved.plain import lines


def told(fleet: Fleet) -> Iterator[str]:
    """The whole account."""
    yield from lines([(one.name, one.bikes, one.changes) for one in fleet.groups], "groups")
    yield from _ways(fleet)
    record = plan_record(fleet, with_curve=not fleet.limits.builds)
    # Of bikes that are served alike the first stands for all.
    alike = {(one.group, one.build): one for one in reversed(record.bike_plans)}
    first = tuple(one for one in record.bike_plans if one in alike.values())
    yield from lines(record.model_copy(update={"bike_plans": first}), "plan")
    yearly = 1.5 * max((one.cost for one in fleet.changes), default=0.0)
    yield from lines(rollout_record(fleet, yearly), "rollout")
    for measure in ("no stock-out", "fill"):
        yield from lines(spares_record(fleet, Policy(measure=measure)), f"spares, {measure}")
    charts = charts_record(fleet).charts
    for one in charts[:3]:
        yield from lines(one, "chart")
    for build in fleet.plan.builds[:1]:
        for part in (str(build), build.shock):
            yield from lines(drop_record(fleet, part), f"without {part}")


def _ways(fleet: Fleet) -> Iterator[str]:
    """What each group may be given; some of them in full."""
    task = fleet.task
    yield from lines([(one.group, str(one.build), one.shock, one.work, one.loss, task.alone(one))
                      for one in task.ways[:: max(1, len(task.ways) // 24)]], "ways")  # fmt: skip
    for one in task.ways[:: max(1, len(task.ways) // 5)]:
        how = mounting(one)
        yield from lines([how.row, how.kept, how.turned, how.clocked, how.tune, how.points], "way")
        yield from lines(how.settings, "settings", 1)
        yield from lines(one.parts, "parts", 1)
        for end, key in (("head", one.head), ("shaft", one.shaft)):
            told = [(fit.part.name, fit.part.pieces, fit.cost) for fit in task.fits[key]]
            yield from lines(told, end, 1)
