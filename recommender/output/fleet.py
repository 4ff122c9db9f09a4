"""The fleet's answers on a terminal."""

from collections.abc import Iterable, Sequence
from itertools import groupby

from rich.box import SIMPLE
from rich.console import Group, RenderableType
from rich.table import Table

from recommender.fleet.eased import Unserved
from recommender.fleet.records import (
    BikeRecord,
    ChangeRecord,
    ChartRecord,
    ChartsRecord,
    DropRecord,
    PlanRecord,
    RolloutRecord,
    SparesRecord,
)
from recommender.output.bikes import ranged
from recommender.output.terminal import bullets, heading, line, money

INVENTED = "The catalogue is invented for the demonstration."


def _table(names: Sequence[str], right: Iterable[str] = ()) -> Table:
    table = Table(box=SIMPLE, pad_edge=False)
    numbers = set(right)
    for name in names:
        table.add_column(
            name, justify="right" if name in numbers else "left", overflow="fold",
        )  # fmt: skip
    return table


def _row(table: Table, cells: Iterable[object]) -> None:
    table.add_row(*(line(cell) for cell in cells))


def plan(made: PlanRecord) -> RenderableType:
    """The plan: its proved figures, builds and kits, groups against builds, curve, left out."""
    proved = "proved" if made.proved else "not proved"
    parts: list[RenderableType] = [
        heading(
            f"{made.served} of {made.bikes} bikes served with {_count(len(made.builds), 'build')} "
            f"and {_count(len(made.kits), 'hardware kit')} for {money(made.cost, made.currency)}: "
            f"the best there is, {proved}."
        )
    ]
    if made.invented:
        parts.append(line(INVENTED, "italic"))
    parts += [_stages(made), heading("Builds"), _builds(made)]
    parts += [heading("Groups and their builds"), _groups(made)]
    if made.curve:
        parts += [heading("The best plan with exactly so many builds"), _curve(made)]
    for one in made.unserved:
        parts.append(unserved(one))
    if made.all_in:
        told = bullets(one.text for one in made.all_in)
        parts += [heading("What each limit leaves out"), *told]
    if made.cautions:
        parts += [heading("Cautions"), *bullets(made.cautions)]
    parts += [heading("Notes"), *bullets(made.notes)]
    return Group(*parts)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _stages(made: PlanRecord) -> Table:
    table = _table(("stage", "value", "may still be off by"), ("value", "may still be off by"))
    for one in made.stages:
        gap = "0 (proved)" if one.proved else f"{one.gap:g}"
        _row(table, (one.name, f"{one.value:g}", gap))
    return table


def _builds(made: PlanRecord) -> Table:
    numbers = ("bikes", "kept", "pieces")
    table = _table(("", "build or kit", *numbers), numbers)
    for number, one in enumerate(made.builds):
        _row(table, (letter(number), one.name, one.bikes, one.kept or "", ""))
    for kit in made.kits:
        _row(table, ("", f"kit {kit.part}", "", "", kit.pieces))
    return table


def letter(number: int) -> str:
    """A, B, ..., Z, AA: the mark of a build in tables and on the page."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(65 + rest) + text
    return text


def _groups(made: PlanRecord) -> Table:
    table = _table(("group", "bikes", "build", "own best", "each"), ("bikes", "each"))
    marks = {one.name: letter(k) for k, one in enumerate(made.builds)}
    for group in made.groups:
        mine = [one for one in made.bike_plans if one.group == group.name]
        served = f"{group.served}" if group.served == len(group.bikes) else (
            f"{group.served} of {len(group.bikes)}")  # fmt: skip
        used = sorted({one.build for one in mine}, key=lambda name: marks[name])
        told = ", ".join(f"{marks[name]} {name}" for name in used) or "none"
        best = "the same" if group.own_best in used else group.own_best or "none"
        costs = sorted({one.cost for one in mine})
        each = " to ".join(f"{c:g}" for c in (costs[:1] + costs[-1:] if len(costs) > 1 else costs))
        _row(table, (group.name, served, told, best, each))
    return table


def _curve(made: PlanRecord) -> Table:
    numbers = ("builds", "bikes served", "kits", "cost", "points lost")
    table = _table((*numbers, ""), numbers)
    for one in made.curve:
        proved = "" if one.proved else "not proved"
        cost, loss = f"{one.cost:.2f}", f"{one.loss:.2f}"
        _row(table, (one.builds, one.served, one.kits, cost, loss, proved))
    return table


def unserved(one: Unserved) -> RenderableType:
    """A group left out: why, the least change, and the nearest misses."""
    rows = [f"least change: {one.least_change}"]
    rows += [f"what would let it in: {text}" for text in one.corrections]
    for miss in one.nearest:
        told = "; ".join(f"{b.rule}: {b.text}" for b in miss.broken[:3])
        more = f"; and {len(miss.broken) - 3} rules more" if len(miss.broken) > 3 else ""
        rows.append(f"{miss.shock} ({miss.state}): {told}{more}")
    title = heading(f"Not served: {one.group} ({ranged(one.bikes)})")
    return Group(title, line(one.why), *bullets(rows))


def together(bikes: Iterable[BikeRecord]) -> list[tuple[BikeRecord, str]]:
    """Bikes that are told alike, the first of each with the names of all."""
    alike: dict[BikeRecord, list[str]] = {}
    for one in bikes:
        alike.setdefault(one.model_copy(update={"bike": ""}), []).append(one.bike)
    return [(one, ranged(names)) for one, names in alike.items()]


def why(made: PlanRecord, bikes: Sequence[str]) -> RenderableType:
    """Some bikes of the plan in full."""
    parts: list[RenderableType] = []
    for one, names in together(one for one in made.bike_plans if one.bike in bikes):
        springs = "; ".join(f"{s.spring} for {s.from_kg:g} to {s.to_kg:g} kg" for s in one.settings)
        parts += [
            heading(f"{names} ({one.group})"),
            *bullets(
                (
                    f"{one.build}{', kept' if one.kept else ''}: {one.why}",
                    f"head end: {one.head}; shaft end: {one.shaft}",
                    f"spring: {springs}",
                    f"cost {money(one.cost, made.currency)} each, {one.points:.2f} points",
                )
            ),
        ]
    parts += [unserved(one) for one in made.unserved if set(one.bikes) & set(bikes)]
    return Group(*parts)


def dropped(made: DropRecord, currency: str) -> RenderableType:
    """What breaks without a part."""
    table = _table(("", "with it", "without it"), ("with it", "without it"))
    for name, before, after in (
        ("bikes served", f"{made.served_before}", f"{made.served_after}"),
        ("builds", f"{made.builds_before}", f"{made.builds_after}"),
        ("hardware kits", f"{made.kits_before}", f"{made.kits_after}"),
        ("cost", money(made.cost_before, currency), money(made.cost_after, currency)),
    ):
        _row(table, (name, before, after))
    rows = [f"the plan puts it on {_count(len(made.used_on), 'bike')}"]
    if made.unserved:
        rows.append(f"no longer served: {', '.join(made.unserved)}")
    if made.instead:
        rows.append(f"instead: {', '.join(made.instead)}")
    if not made.proved:
        rows.append("time ran out: not proved best")
    return Group(heading(f"Without {made.part}"), table, *bullets(rows))


def spares(made: SparesRecord) -> RenderableType:
    """Spares by part, totals before and after, and the price of service."""
    parts: list[RenderableType] = [
        heading(
            f"Spare shocks for {100 * made.level:g} % ({made.measure}): "
            f"{made.shocks_before} before standardising, {made.shocks_after} after"
        ),
        *bullets(made.assumptions),
        *bullets(
            (
                f"the exchange pool for services alone: {made.pool_before} before, "
                f"{made.pool_after} after",
                f"their price: {money(made.cost_before, made.currency)} before, "
                f"{money(made.cost_after, made.currency)} after",
            )
        ),
    ]
    numbers: tuple[str, ...] = ("in use", "failures", "pool", "keep", "cost")
    for title, some in (("After", made.after), ("Before", made.before)):
        table = _table(("part", *numbers), numbers)
        for one in some:
            _row(
                table,
                (one.part, one.bikes, f"{one.mean_failures:.2f}", f"{one.mean_pool:.2f}",
                 one.stock, f"{one.cost:.2f}"),
            )  # fmt: skip
        parts += [heading(title), table]
    numbers = ("units", "cost", "the step costs")
    table = _table(("service", *numbers), numbers)
    for level in made.levels:
        step = f"{level.more:+.2f}" if level is not made.levels[0] else ""
        _row(table, (f"{100 * level.level:g} %", level.units, f"{level.cost:.2f}", step))
    parts += [heading("Each extra per cent of service, kits included"), table]
    return Group(*parts)


def rollout(made: RolloutRecord) -> RenderableType:
    """Orders by supplier, then the changes year by year."""
    whole = money(made.cost, made.currency)
    parts: list[RenderableType] = [heading(f"Orders: {whole} with labour")]
    for order in made.orders:
        table = _table(("part", "pieces", "each", "cost"), ("pieces", "each", "cost"))
        for item in order.lines:
            each = "unknown" if item.price is None else f"{item.price:.2f}"
            _row(table, (item.part, item.pieces, each, f"{item.cost:.2f}"))
        parts += [heading(f"{order.supplier}: {money(order.cost, made.currency)}"), table]
    for year in made.years:
        table = _table(("bikes", "due", "state", "build", "each"), ("each",))
        for (due, state, build, cost), some in groupby(year.changes, _told):
            names = ranged(one.bike for one in some)
            _row(table, (names, due, state, build, f"{cost:.2f}"))
        parts += [heading(f"Year {year.year}: {money(year.cost, made.currency)}"), table]
    if made.unchanged:
        parts.append(line(f"Nothing to do on {ranged(made.unchanged)}."))
    if made.cautions:
        parts += [heading("Cautions"), *bullets(made.cautions)]
    return Group(*parts)


def _told(one: ChangeRecord) -> tuple[str, str, str, float]:
    """What the rollout tells of a change besides the bike."""
    return one.due, one.condition, one.build, one.cost


def charts(made: ChartsRecord) -> RenderableType:
    """Every chart, one under another."""
    parts: list[RenderableType] = []
    if made.invented:
        parts.append(line(INVENTED, "italic"))
    for one in made.charts:
        parts += [heading(f"{one.group}: {one.build}"), _chart(one)]
        parts += bullets(
            f"{r.spring} serves riders of {r.low_kg:.1f} to {r.high_kg:.1f} kg" for r in one.reaches
        )
    return Group(*parts)


def _chart(one: ChartRecord) -> Table:
    numbers = ("kg with kit", "psi", "bar", "N/mm", "sag mm", "sag %")
    table = _table((*numbers[:1], "", "spring", *numbers[1:]), numbers)
    for row in one.lines:
        _row(
            table,
            (f"{row.mass_kg:g}", "end of range" if row.end else "", row.spring,
             _figure(row.pressure_psi, 0), _figure(row.pressure_bar, 1),
             _figure(row.rate_n_per_mm, 1), f"{row.sag_mm:.1f}", f"{row.sag_percent:.1f}"),
        )  # fmt: skip
    return table


def _figure(value: float | None, digits: int) -> str:
    return "" if value is None else f"{value:.{digits}f}"
