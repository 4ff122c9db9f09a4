"""The fewest parts that serve the fleet, stage by stage, each with its proved bound.

Serve as many bikes as possible; then the fewest distinct builds; then the fewest hardware kits;
then the least cost with what the loss of points is worth. A stage's optimum is held as a limit in
the next. Groups that share no build nor kit are planned apart where no limit joins them.
"""

import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import networkx as nx

from recommender.catalogue.columns import Floats
from recommender.fleet.model import Model, Place, make_model
from recommender.fleet.programme import Programme, Solved, Terms, total
from recommender.fleet.reduce import reduced
from recommender.fleet.task import Fit, Limits, Part, Task, Way

STAGES = ("bikes served", "builds", "hardware kits", "cost and loss")
SECONDS = 60.0


@dataclass(frozen=True)
class Stage:
    """One objective's value, and how far a better plan may still be off (0: proved best)."""

    name: str
    value: float
    gap: float

    @property
    def proved(self) -> bool:
        return self.gap <= 1e-6 * max(1.0, abs(self.value))


@dataclass(frozen=True)
class Plan:
    """Bikes per way and kits per place. `stages` in the order of STAGES."""

    task: Task
    taken: tuple[tuple[Way, int], ...]
    kits: tuple[tuple[Place, tuple[tuple[Fit, int], ...]], ...]
    stages: tuple[Stage, ...]
    from_hand: tuple[tuple[str, int], ...] = ()

    @property
    def served(self) -> int:
        return sum(count for _, count in self.taken)

    @property
    def builds(self) -> tuple[str, ...]:
        return tuple(sorted({way.build for way, _ in self.taken}))

    @property
    def numbers(self) -> tuple[str, ...]:
        """Hardware kits by part number."""
        names = {fit.part.name for _, some in self.kits for fit, _ in some if fit.counted}
        return tuple(sorted(names))

    @property
    def cost(self) -> float:
        """Money, what is on hand taken off."""
        spent = sum(way.cost * count for way, count in self.taken)
        spent += sum(fit.cost * count for _, some in self.kits for fit, count in some)
        prices = {part.name: part.price for part in self.parts()}
        saved = sum(prices[name] * count for name, count in self.from_hand)
        return round(float(spent - saved), 2)

    @property
    def loss(self) -> float:
        """Points that the fleet's bikes have fewer than with their own best ways."""
        return round(float(sum(way.loss * count for way, count in self.taken)), 6)

    @property
    def proved(self) -> bool:
        return all(stage.proved for stage in self.stages)

    def parts(self) -> Iterator[Part]:
        """Every part that is used, as its task knows it."""
        for way, _ in self.taken:
            yield from way.parts
        for _, some in self.kits:
            yield from (fit.part for fit, _ in some if fit.counted)

    def pieces(self) -> dict[str, int]:
        """Pieces of each part that the plan needs, on hand or not."""
        out: dict[str, int] = defaultdict(int)
        for way, count in self.taken:
            for part in way.parts:
                out[part.name] += part.pieces * count
        for _, some in self.kits:
            for fit, count in some:
                if fit.counted:
                    out[fit.part.name] += fit.part.pieces * count
        return dict(out)


def standardise(task: Task, limits: Limits | None = None, seconds: float = SECONDS) -> Plan | None:
    """The best plan; None where no plan keeps within the limits. Raises TimeoutError where not even
    some plan was found in time; a plan whose proof was cut short tells its gap."""
    limits = limits or Limits()
    end = time.monotonic() + seconds
    task = task.only(sorted(task.ways, key=lambda w: (w.group, w.build, w.head, w.shaft, w.cost)))
    small = reduced(task) if limits.alike else task
    if not limits.local:
        return _whole(task, small, limits, end)
    parts = [_whole(task, part, limits, end, _fewest(part, end)) for part in _apart(small)]
    return _together(task, [part for part in parts if part is not None])


def _apart(task: Task) -> list[Task]:
    """The task split into components that share no build and no kit."""
    graph: nx.Graph[tuple[str, object]] = nx.Graph()
    for way in task.ways:
        mine = ("group", way.group)
        graph.add_edge(mine, ("build", way.build))
        for key in (way.head, way.shaft):
            for fit in task.fits[key]:
                if fit.counted:
                    graph.add_edge(mine, ("kit", fit.part.name))
    found = []
    for component in nx.connected_components(graph):
        ways = [way for way in task.ways if ("group", way.group) in component]
        found.append(task.only(ways))
    return sorted(found, key=lambda part: part.ways[0].group)


def _fewest(task: Task, end: float) -> list[Stage]:
    """The first three stages where nothing limits how many bikes a build serves. Every group that
    has a way is served; the builds are a covering, smaller components of it solved apart; the kits
    are counted on a task without costs, which is far smaller."""
    groups: dict[int, frozenset[str]] = {}
    for way in task.ways:
        groups[way.group] = groups.get(way.group, frozenset()) | {way.build}
    served = sum(task.sizes[group] for group in groups)
    value = gap = 0.0
    for part in _coverings(groups):
        programme = Programme()
        columns = {build: programme.variable(1) for build in sorted(set().union(*part))}
        for builds in sorted(part, key=sorted):
            programme.row(total(columns[build] for build in builds), least=1)
        found = programme.minimise(total(columns.values()), _left(end))
        if found is None:
            raise ValueError("a group without builds")
        value, gap = value + found.objective, gap + found.gap
    stages = [Stage(STAGES[0], float(served), 0.0), Stage(STAGES[1], value, gap)]
    model = make_model(reduced(task.costless()), Limits())
    _hold(model, model.served, -served)
    _hold(model, model.builds, value)
    kits = _minimise(model, model.numbers, end, None)
    if kits is None:
        raise ValueError("builds that serve every group, but no kits")
    return [*stages, Stage(STAGES[2], kits.objective, kits.gap)]


def _coverings(groups: dict[int, frozenset[str]]) -> list[set[frozenset[str]]]:
    """Sets of builds, each of which must hold a chosen one, in independent lots."""
    graph: nx.Graph[object] = nx.Graph()
    every = set(groups.values())
    # A set that holds another is met wherever that one is.
    rows = {one for one in every if not any(other < one for other in every)}
    # A build that stands only where another does is needless, and so is its column.
    stands: dict[str, frozenset[int]] = {}
    numbered = sorted(rows, key=sorted)
    for k, one in enumerate(numbered):
        for build in one:
            stands[build] = stands.get(build, frozenset()) | {k}
    alike: dict[frozenset[int], str] = {}
    for build in sorted(stands):
        alike.setdefault(stands[build], build)
    kept = {build for places, build in alike.items() if not any(places < more for more in alike)}
    for one in numbered:
        nx.add_path(graph, [one, *sorted(one & kept)])
    return [
        {one & kept for one in component if isinstance(one, frozenset)}
        for component in nx.connected_components(graph)
    ]


def _whole(
    task: Task, small: Task, limits: Limits, end: float, known: list[Stage] | None = None
) -> Plan | None:
    """The stages one after another; those `known` are only held."""
    model = make_model(small, limits)
    stages: list[Stage] = []
    found: Solved | None = None
    objectives = (model.served, model.builds, model.numbers, model.weighed)
    for name, terms in zip(STAGES, objectives, strict=True):
        sign = -1.0 if name == STAGES[0] else 1.0
        if known and len(stages) < len(known):
            stage = known[len(stages)]
            stages.append(stage)
            _hold(model, terms, sign * stage.value)
            continue
        better = _minimise(model, terms, end, found)
        if better is None:
            return None
        found = better
        stages.append(Stage(name, sign * found.objective, found.gap))
        _hold(model, terms, found.objective)
    if found is None:
        return None
    return _plan(task, model, found.values, tuple(stages))


def _minimise(model: Model, terms: Terms, end: float, last: Solved | None) -> Solved | None:
    """The stage's optimum; where the time runs out, the plan of the stage before with no bound."""
    try:
        return model.programme.minimise(terms, _left(end))
    except TimeoutError:
        if last is None:
            raise
        value = sum(factor * last.values[column] for column, factor in terms.items())
        return Solved(last.values, float(value), min(0.0, float(value)))


def _left(end: float) -> float:
    return max(1.0, end - time.monotonic())


def _hold(model: Model, terms: Terms, value: float) -> None:
    whole = all(factor == round(factor) for factor in terms.values())
    model.programme.row(terms, most=value + (1e-6 if whole else 1e-4))


def _plan(task: Task, model: Model, values: Floats, stages: tuple[Stage, ...]) -> Plan:
    taken = [
        (way, round(values[column]))
        for way, column in zip(model.task.ways, model.columns.ways, strict=True)
        if round(values[column])
    ]
    kits = tuple((place, tuple(some)) for place, some in sorted(model.kits_of(values).items()))
    hand = tuple(
        (name, round(values[column])) for name, column in sorted(model.columns.from_hand.items())
        if round(values[column])
    )  # fmt: skip
    return Plan(task, tuple(taken), kits, stages, hand)


def _together(task: Task, parts: list[Plan]) -> Plan:
    """The plans of components as one."""
    stages = tuple(
        Stage(name, sum(p.stages[k].value for p in parts), sum(p.stages[k].gap for p in parts))
        for k, name in enumerate(STAGES)
    )
    return Plan(
        task, tuple(pair for part in parts for pair in part.taken),
        tuple(sorted((pair for part in parts for pair in part.kits), key=lambda pair: pair[0])),
        stages,
    )  # fmt: skip
