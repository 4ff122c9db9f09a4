"""The fewest parts that serve the fleet, stage by stage, each with its proved bound.

Serve as many bikes as possible; then the fewest distinct builds; then the fewest hardware kits;
then the least cost with what the loss of points is worth. A stage's optimum is held as a limit in
the next. Groups that share no build nor kit are planned apart where no limit joins them.
"""

import time
from contextlib import suppress

import networkx as nx

from recommender.catalogue.columns import Floats
from recommender.fleet.covering import fewest_parts, within
from recommender.fleet.model import Model, make_model
from recommender.fleet.plan import STAGES, Plan, Stage
from recommender.fleet.programme import Solved, Terms
from recommender.fleet.reduce import reduced
from recommender.fleet.relaxed import hopeful
from recommender.fleet.task import Limits, Task

SECONDS = 60.0


def standardise(task: Task, limits: Limits | None = None, seconds: float = SECONDS) -> Plan | None:
    """The best plan; None where no plan keeps within the limits. Raises TimeoutError where not even
    some plan was found in time; a plan whose proof was cut short tells its gap."""
    limits = limits or Limits()
    end = time.monotonic() + seconds
    task = task.only(sorted(task.ways, key=lambda w: (w.group, w.build, w.head, w.shaft, w.cost)))
    few = hopeful(task, end) if limits.local else task
    small = reduced(few) if limits.alike else few
    if not limits.local:
        return _whole(task, small, limits, end)
    parts = [_component(task, part, limits, end) for part in _apart(small)]
    return _together(task, [part for part in parts if part is not None])


def _component(task: Task, part: Task, limits: Limits, end: float) -> Plan | None:
    """A component's plan; where the time ends before the last stage found one, the plan that takes
    the cheapest way among the builds and kits of the stages before, and how far it may be off."""
    fewest = fewest_parts(part, end)
    if fewest.kits is not None:
        with suppress(TimeoutError):
            return _whole(task, part, limits, end, list(fewest.stages))
    return within(task, part, fewest)


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
            model.programme.hold(terms, sign * stage.value)
            continue
        better = _stage(model, terms, end, found)
        if better is None:
            return None
        found = better
        stages.append(Stage(name, sign * found.objective, found.gap))
        model.programme.hold(terms, found.objective)
    if found is None:
        return None
    return _plan(task, model, found.values, tuple(stages))


def _stage(model: Model, terms: Terms, end: float, last: Solved | None) -> Solved | None:
    """The stage's optimum; where the time runs out, the plan of the stage before with no bound."""
    try:
        return model.programme.minimise(terms, end)
    except TimeoutError:
        if last is None:
            raise
        values = model.tight(last.values)
        value = float(sum(factor * values[column] for column, factor in terms.items()))
        return Solved(values, value, min(0.0, value))


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
