"""What breaks if a part is dropped, put into a record."""

from collections.abc import Iterable, Iterator, Mapping

from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.changes import Change, changes
from recommender.fleet.checked import checked, cost_ends, off_by_bike
from recommender.fleet.curve import curve_point
from recommender.fleet.fleet import Fleet
from recommender.fleet.plan import Plan, letter
from recommender.fleet.records import CurvePoint, DropRecord, SwapRecord
from recommender.fleet.standardise import standardise
from recommender.fleet.task import Task, Way


def drop_record(fleet: Fleet, part: str) -> DropRecord:
    """What breaks if a part, kit or build is dropped. BadInput for a name that no way uses."""
    names = fleet.task.names
    if part not in names:
        marked = {letter(k): str(build) for k, build in enumerate(fleet.plan.builds)}
        part = marked.get(part, part)
    if part not in names:
        message = f"no build of this fleet takes it{nearest(part, names)}"
        if any(_keeps(way, part) for way in fleet.task.ways):
            message = "no bike gets a new one, and those fitted may stay: the plan is the same"
        raise BadInput([Problem("the fleet", message, value=part)])
    before, rest = fleet.plan, fleet.task.without(part)
    try:
        after = standardise(rest, fleet.limits, fleet.seconds) or Plan(rest, (), (), ())
    except TimeoutError as error:
        raise BadInput([Problem("the plan", str(error))]) from None
    used = [
        one.bike for one in fleet.changes
        if part in (str(one.way.build), one.way.shock, *(p.name for p in one.parts))
    ]  # fmt: skip
    kept = [one.bike for one in fleet.changes if _keeps(one.way, part)]
    later = {one.bike: one for one in changes(after, fleet.groups)}
    off = off_by_bike(checked(later.values(), fleet.catalogue))
    stay = all(bike in later and _keeps(later[bike].way, part) for bike in kept)
    return DropRecord(
        part=part, used_on=tuple(used), kept_on=tuple(kept),
        keeping=None if stay else _keeping(fleet, rest, part),
        served_before=before.served, served_after=after.served,
        builds_before=len(before.builds), builds_after=len(after.builds),
        kits_before=len(before.numbers), kits_after=len(after.numbers),
        cost_before=before.cost, cost_before_ends=fleet.ends(fleet.changes, before.cost),
        cost_after=after.cost, cost_after_ends=cost_ends(off.values(), after.cost),
        unserved=tuple(sorted({one.bike for one in fleet.changes} - set(later))),
        instead=tuple(sorted(_names(after) - _names(before))),
        swaps=tuple(_swaps(fleet.changes, later)),
        proved=before.proved and after.proved,
    )  # fmt: skip


def _keeps(way: Way, shock: str) -> bool:
    return not way.shock and way.build.shock == shock


def _keeping(fleet: Fleet, rest: Task, shock: str) -> CurvePoint | None:
    """The best plan where every group that now keeps the shock goes on with it; None where the
    limits allow none, or none was found in the time."""
    groups = {way.group for way, _ in fleet.plan.taken if _keeps(way, shock)}
    ways = [way for way in rest.ways if way.group not in groups or _keeps(way, shock)]
    try:
        plan = standardise(rest.only(ways), fleet.limits, fleet.seconds)
    except TimeoutError:
        return None
    return None if plan is None else curve_point(plan, len(plan.builds))


def _swaps(now: Iterable[Change], later: Mapping[str, Change]) -> Iterator[SwapRecord]:
    """The bikes whose build or whose shock is another, those that go the same way together."""
    alike: dict[tuple[str, bool, str], list[str]] = {}
    for one in now:
        then = later.get(one.bike)
        if then is None or (then.way.build, then.way.shock) != (one.way.build, one.way.shock):
            instead = "" if then is None else str(then.way.build)
            alike.setdefault((str(one.way.build), not one.way.shock, instead), []).append(one.bike)
    for (build, kept, instead), bikes in alike.items():
        yield SwapRecord(bikes=tuple(bikes), build=build, kept=kept, instead=instead)


def _names(plan: Plan) -> set[str]:
    return {*map(str, plan.builds), *plan.numbers}
