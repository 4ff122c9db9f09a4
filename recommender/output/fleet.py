"""A fleet's plan on a terminal: the whole of it, some bikes, and what a dropped part does."""

from collections.abc import Iterable, Sequence

from rich.console import Group, RenderableType
from rich.table import Table

from recommender.answer.numbers import money, span, whole
from recommender.fleet.eased import Unserved
from recommender.fleet.plan import STAGES, letter
from recommender.fleet.records import BikeRecord, DropRecord, GroupRecord, PlanRecord
from recommender.fleet.rollout_records import ChangeRecord
from recommender.output.bikes import ranged
from recommender.output.screen import INVENTED, bullets, heading, line, row, table


def plan(made: PlanRecord) -> RenderableType:
    """The plan: its proved figures, builds and kits, groups against builds, curve, left out."""
    parts: list[RenderableType] = [heading(summary(made)), line(proof(made))]
    if made.invented:
        parts.append(line(INVENTED, "italic"))
    if made.served:
        parts += [_stages(made), heading("Builds"), _builds(made)]
        parts += [heading("Groups and their builds"), _groups(made)]
    if made.curve:
        parts += [heading("The best plan with exactly so many builds"), _curve(made)]
    parts += [unserved(made, one) for one in made.unserved]
    if made.all_in:
        told = bullets(one.text for one in made.all_in)
        parts += [heading("What the limits leave out"), *told]
    if made.cautions:
        parts += [heading("Cautions"), *bullets(made.cautions)]
    parts += [heading("Notes"), *bullets(made.notes)]
    return Group(*parts)


def summary(made: PlanRecord) -> str:
    """The plan in a sentence."""
    if not made.served:
        return f"None of {_count(made.bikes, 'bike')} can be served."
    return (
        f"{made.served} of {_count(made.bikes, 'bike')} served with "
        f"{_count(len(made.builds), 'build')} and {_count(len(made.kits), 'hardware kit')} for "
        f"{whole(made.cost, made.cost_ends, made.currency)}."
    )


def proof(made: PlanRecord) -> str:
    """What is proved of the plan: it is the best in one order of what comes first, not in all."""
    if not made.proved:
        return "The best found: time ran out before it was proved the best."
    if not made.served:
        return "Proved: no plan within the limits serves one."
    more = "" if made.curve else " A plan with more builds may cost less: --curve shows it."
    if made.cost_ends:
        more += f" Costs with two ends count by their middle, {money(made.cost, made.currency)}."
    return (
        "Proved: no plan within the limits serves more bikes. Of those that serve as many, none "
        "has fewer builds; of these none fewer hardware kits; of these none a lower "
        f"{stage_name(made, STAGES[-1], '')}.{more}"
    )


def stage_name(made: PlanRecord, name: str, unit: str) -> str:
    """The last stage's name says what is added to the cost; `unit` stands behind that name."""
    if name != STAGES[-1]:
        return name
    points = f" plus points lost at {made.point:g} {made.currency} each" if made.point else ""
    return f"cost{points}{unit}"


def ends(one: BikeRecord | ChangeRecord) -> tuple[float, float]:
    """The least and the most that a bike may cost; alike where all of it is told."""
    return one.cost_ends or (one.cost, one.cost)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _stages(made: PlanRecord) -> Table:
    stages = table(("stage", "value", "may still be off by"), ("value", "may still be off by"))
    for one in made.stages:
        gap = "0 (proved)" if one.proved else f"{one.gap:g}"
        name = stage_name(made, one.name, f", {made.currency}")
        row(stages, (name, f"{one.value:g}", gap))
    return stages


def _builds(made: PlanRecord) -> Table:
    numbers = ("bikes", "kept", "pieces")
    builds = table(("", "build or kit", *numbers), numbers)
    for number, one in enumerate(made.builds):
        row(builds, (letter(number), one.name, one.bikes, one.kept or "", ""))
    for kit in made.kits:
        row(builds, ("", f"kit {kit.part}", "", "", kit.pieces))
    return builds


def _groups(made: PlanRecord) -> Table:
    """Builds of the plan go by their letters."""
    each = f"each, {made.currency}"
    groups = table(("group", "bikes", "build", each, "best if planned alone"), ("bikes", each))
    marks = {one.name: letter(k) for k, one in enumerate(made.builds)}
    for group in made.groups:
        mine = [one for one in made.bike_plans if one.group == group.name]
        served = f"{group.served}" if group.served == len(group.bikes) else (
            f"{group.served} of {len(group.bikes)}")  # fmt: skip
        used = ", ".join(sorted({marks[one.build] for one in mine}, key=lambda x: (len(x), x)))
        best = marks.get(group.own_best, group.own_best) or "none"
        costs = [cost for one in mine for cost in ends(one)]
        told = span(min(costs), max(costs), "money") if costs else ""
        best = "the same" if best == used else best
        row(groups, (group.name, served, used or "none", told, best))
    return groups


def _curve(made: PlanRecord) -> Table:
    numbers = ("builds", "bikes served", "kits", f"cost, {made.currency}", "points lost")
    curve = table((*numbers, ""), numbers)
    for one in made.curve:
        proved = "" if one.proved else "not proved"
        cost, loss = f"{one.cost:.2f}", f"{one.loss:.2f}"
        row(curve, (one.builds, one.served, one.kits, cost, loss, proved))
    return curve


def named(made: PlanRecord, group: str, bikes: Iterable[str]) -> str:
    """'guide 2 (guide, 60 to 110 kg)'."""
    one: GroupRecord = next(some for some in made.groups if some.name == group)
    return f"{ranged(bikes)} ({one.model}, {one.riders})"


def unserved(made: PlanRecord, one: Unserved) -> RenderableType:
    """Bikes left out: why, the least change, and the nearest misses."""
    rows = [f"least change: {one.least_change}", *one.corrections]
    for miss in one.nearest:
        told = "; ".join(f"{b.rule}: {b.text}" for b in miss.broken[:3])
        more = f"; and {_count(len(miss.broken) - 3, 'rule')} more" if len(miss.broken) > 3 else ""
        rows.append(f"{miss.shock} ({miss.state}): {told}{more}")
    title = heading(f"Not served: {named(made, one.group, one.bikes)}")
    return Group(title, line(one.why), *bullets(rows))


def together(bikes: Iterable[BikeRecord]) -> list[tuple[BikeRecord, tuple[str, ...]]]:
    """Bikes that are told alike, the first of each with the names of all."""
    alike: dict[BikeRecord, list[str]] = {}
    for one in bikes:
        alike.setdefault(one.model_copy(update={"bike": ""}), []).append(one.bike)
    return [(one, tuple(names)) for one, names in alike.items()]


def why(made: PlanRecord, bikes: Sequence[str]) -> RenderableType:
    """Some bikes of the plan in full."""
    parts: list[RenderableType] = []
    for one, names in together(one for one in made.bike_plans if one.bike in bikes):
        springs = "; ".join(
            f"{s.spring} for {span(s.from_kg, s.to_kg, 'kg')} kg" for s in one.settings
        )
        cost = whole(one.cost, one.cost_ends, made.currency)
        each = " each" if len(names) > 1 else ""
        parts += [
            heading(named(made, one.group, names)),
            *bullets(
                (
                    f"{one.build}{', kept' if one.kept else ''}: {one.why}",
                    f"head end: {one.head}; shaft end: {one.shaft}",
                    f"spring: {springs}",
                    f"cost {cost}{each}, {one.points:.2f} points",
                )
            ),
        ]
    parts += [unserved(made, one) for one in made.unserved if set(one.bikes) & set(bikes)]
    if made.cautions:
        parts += [heading("Cautions"), *bullets(made.cautions)]
    return Group(*parts)


def dropped(made: DropRecord, currency: str) -> RenderableType:
    """What breaks without a part."""
    figures = table(("", "with it", "without it"), ("with it", "without it"))
    for name, before, after in (
        ("bikes served", f"{made.served_before}", f"{made.served_after}"),
        ("builds", f"{made.builds_before}", f"{made.builds_after}"),
        ("hardware kits", f"{made.kits_before}", f"{made.kits_after}"),
        (
            "cost", whole(made.cost_before, made.cost_before_ends, currency),
            whole(made.cost_after, made.cost_after_ends, currency),
        ),
    ):
        row(figures, (name, before, after))
    return Group(heading(f"Without {made.part}"), figures, *bullets(_dropped(made, currency)))


def _dropped(made: DropRecord, currency: str) -> Iterable[str]:
    """Who needs the part, what each bike gets without it, and whether fitted ones may stay."""
    used, kept = (_count(len(bikes), "bike") for bikes in (made.used_on, made.kept_on))
    if made.kept_on:
        bought = f"buys it for {used}" if made.used_on else "buys no new one"
        have = "has" if len(made.kept_on) == 1 else "have"
        yield f"the plan {bought} and keeps it on {kept} that {have} it"
    else:
        yield f"the plan needs it on {used}" if made.used_on else "the plan needs no new one"
    for one in made.swaps:
        now = f"{'the fitted ' if one.kept else ''}{one.build}"
        then = f"{one.instead} instead of {now}" if one.instead else f"no longer served (now {now})"
        yield f"{ranged(one.bikes)}: {then}"
    told = {one.instead for one in made.swaps}
    others = [name for name in made.instead if name not in told]
    if others:
        yield f"instead: {'; '.join(others)}"
    if made.keeping:
        some = made.keeping
        yield (
            "the fitted ones need not go: they do because fewest builds and kits come before cost. "
            f"With them kept: {_count(some.served, 'bike')} served, "
            f"{_count(some.builds, 'build')}, {_count(some.kits, 'hardware kit')}, "
            f"{money(some.cost, currency)}{'' if some.proved else ' (not proved best)'}"
        )
    if made.cost_before_ends or made.cost_after_ends:
        yield "costs with two ends count by their middle"
    if not made.proved:
        yield "time ran out: not proved best"
