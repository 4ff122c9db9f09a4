"""The first stages where no limit joins the bikes: a set covering, then the kits without costs."""

from collections.abc import Mapping
from dataclasses import dataclass

import networkx as nx

from recommender.fleet.model import make_model
from recommender.fleet.plan import STAGES, Plan, Stage
from recommender.fleet.programme import Programme, total
from recommender.fleet.reduce import reduced
from recommender.fleet.relaxed import Row, builds_of, minimal
from recommender.fleet.task import Build, Fit, Limits, Task, Way


@dataclass(frozen=True)
class Fewest:
    """The first stages with the builds and kits of a plan that attains them; `kits` is None, and
    their stage is missing, where the time ended before any number of kits was found."""

    stages: tuple[Stage, ...]
    builds: frozenset[Build]
    kits: frozenset[str] | None


def within(task: Task, part: Task, fewest: Fewest) -> Plan:
    """The plan that takes the cheapest way among the builds and kits of the stages before, and how
    far its cost may be off: no bike costs less than its own cheapest way."""
    kits = fewest.kits
    best: dict[int, tuple[float, Way, Fit, Fit]] = {}
    alone: dict[int, float] = {}
    for way in part.ways:
        ends = [part.fits[key] for key in (way.head, way.shaft)]
        least = part.alone(way)
        alone[way.group] = min(least, alone.get(way.group, least))
        some = [
            [fit for fit in fits if not fit.counted or kits is None or fit.part.name in kits]
            for fits in ends
        ]
        if way.build not in fewest.builds or not all(some):
            continue
        head, shaft = (min(fits, key=lambda fit: (fit.cost, fit.part.name)) for fits in some)
        value = part.weigh(way) + head.cost + shaft.cost
        if way.group not in best or value < best[way.group][0]:
            best[way.group] = value, way, head, shaft
    sizes = part.sizes
    value = sum(sizes[group] * one[0] for group, one in best.items())
    bound = sum(sizes[group] * one for group, one in alone.items())
    places = [
        pair for group, (_, way, head, shaft) in best.items()
        for pair in (
            ((group, "head", way.head), ((head, sizes[group]),)),
            ((group, "shaft", way.shaft), ((shaft, sizes[group]),)),
        )
    ]  # fmt: skip
    taken = tuple((one[1], sizes[group]) for group, one in best.items())
    numbers = {fit.part.name for *_, a, b in best.values() for fit in (a, b) if fit.counted}
    stages = [*fewest.stages]
    if kits is None:
        stages.append(Stage(STAGES[2], float(len(numbers)), float(len(numbers))))
    stages.append(Stage(STAGES[3], value, max(0.0, value - bound)))
    by_place = sorted(places, key=lambda pair: pair[0])
    return Plan(task, taken, tuple(by_place), tuple(stages))


def fewest_parts(task: Task, end: float) -> Fewest:
    """The first three stages where nothing limits how many bikes a build serves. Every group that
    has a way is served; the builds are a covering, smaller components of it solved apart; the kits
    are counted on a task without costs, which is far smaller."""
    groups = builds_of(task)
    served = sum(task.sizes[group] for group in groups)
    value = gap = 0.0
    builds: set[Build] = set()
    for part in _coverings(groups):
        programme = Programme()
        columns = {build: programme.variable(1) for build in sorted(set().union(*part))}
        for some in sorted(part, key=sorted):
            programme.row(total(columns[build] for build in some), least=1)
        found = programme.minimise(total(columns.values()), end)
        if found is None:
            raise ValueError("a group without builds")
        value, gap = value + found.objective, gap + found.gap
        builds |= {build for build, column in columns.items() if round(found.values[column])}
    stages = (Stage(STAGES[0], float(served), 0.0), Stage(STAGES[1], value, gap))
    model = make_model(reduced(task.costless()), Limits())
    model.programme.hold(model.served, -served)
    model.programme.hold(model.builds, value)
    try:
        kits = model.programme.minimise(model.numbers, end)
    except TimeoutError:
        return Fewest(stages, frozenset(builds), None)
    if kits is None:
        raise ValueError("builds that serve every group, but no kits")
    used = frozenset(
        build for build, column in model.columns.builds.items() if round(kits.values[column])
    )
    names = frozenset(
        name for name, column in model.columns.numbers.items() if round(kits.values[column])
    )
    return Fewest((*stages, Stage(STAGES[2], kits.objective, kits.gap)), used, names)


def _coverings(groups: Mapping[int, Row]) -> list[set[Row]]:
    """Sets of builds, each of which must hold a chosen one, in independent lots."""
    graph: nx.Graph[object] = nx.Graph()
    # A build that stands only where another does is needless, and so is its column.
    stands: dict[Build, frozenset[int]] = {}
    numbered = minimal(groups.values())
    for k, one in enumerate(numbered):
        for build in one:
            stands[build] = stands.get(build, frozenset()) | {k}
    alike: dict[frozenset[int], Build] = {}
    for build in sorted(stands):
        alike.setdefault(stands[build], build)
    kept = {build for places, build in alike.items() if not any(places < more for more in alike)}
    for one in numbered:
        nx.add_path(graph, [one, *sorted(one & kept)])
    return [
        {one & kept for one in component if isinstance(one, frozenset)}
        for component in nx.connected_components(graph)
    ]
