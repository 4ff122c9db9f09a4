"""What breaks if a part is dropped, put into a record."""

from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.changes import changes
from recommender.fleet.fleet import Fleet
from recommender.fleet.plan import Plan, letter
from recommender.fleet.records import DropRecord
from recommender.fleet.standardise import standardise


def drop_record(fleet: Fleet, part: str) -> DropRecord:
    """What breaks if a part, kit or build is dropped. BadInput for a name that no way uses."""
    names = fleet.task.names
    if part not in names:
        marked = {letter(k): str(build) for k, build in enumerate(fleet.plan.builds)}
        part = marked.get(part, part)
    if part not in names:
        message = f"no build of this fleet takes it{nearest(part, names)}"
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
    now = {one.bike for one in fleet.changes}
    later = {one.bike for one in changes(after, fleet.groups)}
    return DropRecord(
        part=part, used_on=tuple(used), served_before=before.served, served_after=after.served,
        builds_before=len(before.builds), builds_after=len(after.builds),
        kits_before=len(before.numbers), kits_after=len(after.numbers),
        cost_before=before.cost, cost_after=after.cost,
        unserved=tuple(sorted(now - later)),
        instead=tuple(sorted(_names(after) - _names(before))),
        proved=before.proved and after.proved,
    )  # fmt: skip


def _names(plan: Plan) -> set[str]:
    return {*map(str, plan.builds), *plan.numbers}
