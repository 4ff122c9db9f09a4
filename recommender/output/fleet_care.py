"""A fleet's spares, orders, changes and charts on a terminal."""

from collections.abc import Iterator
from itertools import groupby

from rich.console import Group, RenderableType
from rich.table import Table

from recommender.answer.numbers import money, number, span, whole
from recommender.fleet.records import ChartRecord, ChartsRecord, SpareRecord, SparesRecord
from recommender.fleet.rollout_records import ChangeRecord, RolloutRecord, YearRecord
from recommender.output.bikes import ranged
from recommender.output.fleet import ends
from recommender.output.screen import INVENTED, bullets, heading, line, row, table


def spares(made: SparesRecord) -> RenderableType:
    """Spares by part, totals before and after, and the price of service."""
    parts: list[RenderableType] = [
        heading(
            f"Spare shocks for {100 * made.level:g} % ({made.measure}): "
            f"{made.shocks_before} before standardising, {made.shocks_after} after"
        ),
        *bullets(
            (
                f"their price: {money(made.cost_before, made.currency)} before, "
                f"{money(made.cost_after, made.currency)} after",
                f"for services alone: {made.pool_before} before, {made.pool_after} after",
                *made.assumptions,
            )
        ),
    ]
    if made.after:
        parts += [heading("After standardising"), _spares(made.after, made.currency)]
    if made.before:
        parts.append(heading("Before: the shocks on these bikes now"))
        parts.append(_spares(made.before, made.currency))
    numbers = ("units", f"cost, {made.currency}", "the step costs")
    steps = table(("service", *numbers), numbers)
    for level in made.levels:
        step = f"{level.more:+.2f}" if level is not made.levels[0] else ""
        row(steps, (f"{100 * level.level:g} %", level.units, f"{level.cost:.2f}", step))
    if made.after:
        parts += [heading("Each extra per cent of service, kits included"), steps]
    return Group(*parts)


def _spares(some: tuple[SpareRecord, ...], currency: str) -> Table:
    numbers = ("in use", "failed", "away", "keep", f"cost, {currency}")
    made = table(("part", *numbers), numbers)
    for one in some:
        away = f"{one.mean_pool:.2f}" if one.kind == "shock" else ""
        figures = (one.bikes, f"{one.mean_failures:.2f}", away, one.stock, f"{one.cost:.2f}")
        row(made, (one.part, *figures))
    return made


def rollout(made: RolloutRecord) -> RenderableType:
    """Year by year the orders by supplier, then the changes."""
    bought = money(round(sum(order.cost for order in made.orders), 2), made.currency)
    over = f" over {len(made.years)} years" if len(made.years) > 1 else ""
    total = whole(made.cost, made.cost_ends, made.currency)
    parts: list[RenderableType] = [heading(f"Orders: {bought}{over}; total with labour: {total}")]
    if made.spread:
        parts.append(line(made.spread))
    for year in made.years:
        parts += _orders(year, made.currency, f"Year {year.year}, order from " if over else "")
        changes = table(("bikes", "next service", "condition", "build", "each"), ("each",))
        for (due, state, build, cost), some in groupby(year.changes, _told):
            names = ranged(one.bike for one in some)
            row(changes, (names, due, state, build, span(*cost, "cents")))
        spent = whole(year.cost, year.cost_ends, made.currency)
        title = f"Changes, the most urgent first: {spent}"
        if made.yearly_budget is not None:
            title = f"Year {year.year}: {spent} of {money(made.yearly_budget, made.currency)}"
        parts += [heading(title), changes]
    if made.unchanged:
        parts.append(line(f"No new parts for {ranged(made.unchanged)}."))
    if made.unserved:
        parts.append(line(f"Not served by the plan, so not in here: {ranged(made.unserved)}."))
    told = tuple(cautions(made))
    if told:
        parts += [heading("Cautions"), *bullets(told)]
    return Group(*parts)


def _orders(year: YearRecord, currency: str, before: str) -> Iterator[RenderableType]:
    """A table for each supplier; `before` stands before its name."""
    numbers = ("pieces", f"each, {currency}", f"cost, {currency}")
    for order in year.orders:
        lines = table(("part", *numbers), numbers)
        for item in order.lines:
            each = "unknown" if item.price is None else f"{item.price:.2f}"
            row(lines, (item.part, item.pieces, each, f"{item.cost:.2f}"))
        yield heading(f"{before}{order.supplier}: {money(order.cost, currency)}")
        yield lines


def cautions(made: RolloutRecord) -> Iterator[str]:
    """What the order and the sequence of the changes leave for the workshop to see to."""
    if made.service_due:
        yield (
            f"The fitted shock's service is due on {ranged(made.service_due)} and is not in this "
            "budget: have it done before riding on."
        )
    if made.waiting:
        yield (
            f"Broken or due for service, but changed only in a later year: {ranged(made.waiting)}. "
            "Off hire, or repaired and serviced, until then."
        )
    if len(made.years) > 1:
        yield "Any other bike whose service comes round before its change: have it serviced first."
    yield from made.cautions


def _told(one: ChangeRecord) -> tuple[str, str, str, tuple[float, float]]:
    """What the rollout tells of a change besides the bike."""
    return one.due, one.condition, one.build, ends(one)


def alike(charts: ChartsRecord) -> tuple[tuple[ChartRecord, ...], ...]:
    """The charts of groups that are set alike, together."""
    some: dict[tuple[object, ...], list[ChartRecord]] = {}
    for one in charts.charts:
        key = one.model, one.build, one.riders, one.lines, one.reaches
        some.setdefault(key, []).append(one)
    return tuple(tuple(charts) for charts in some.values())


def charts(made: ChartsRecord) -> RenderableType:
    """Every chart, one under another; groups that are set alike share one."""
    parts: list[RenderableType] = []
    if made.invented:
        parts.append(line(INVENTED, "italic"))
    for one, *_ in alike(made):
        parts += [heading(f"{one.model}, {one.riders}: {one.build}"), _chart(one)]
        parts += bullets(
            (
                *filter(None, [one.caution]),
                f"Only for riders of {one.riders}: set no one else by this chart.",
                *(
                    f"{r.spring}: a new chart could cover {r.low_kg:.1f} to {r.high_kg:.1f} kg"
                    for r in one.reaches
                ),
            )
        )
    if not made.charts:
        parts.append(line("No bike is served: there is nothing to set."))
    if made.cautions:
        parts += [heading("Cautions"), *bullets(made.cautions)]
    return Group(*parts)


def _chart(one: ChartRecord) -> Table:
    """The springs are named where they change between riders: under the table they always are."""
    coil = all(line.pressure_psi is None for line in one.lines)
    several = len({line.spring for line in one.lines}) > 1
    numbers = ("kg with kit", *(("N/mm",) if coil else ("psi", "bar")), "sag mm", "sag %")
    made = table((*numbers, *(("spring",) if several else ()), ""), numbers)
    for place, each in enumerate(one.lines):
        figures = [_figure(each.rate_n_per_mm, 1)] if coil else [
            _figure(each.pressure_psi, 0), _figure(each.pressure_bar, 1)]  # fmt: skip
        end = "" if not each.end else "heaviest" if place else "lightest"
        if len(one.lines) == 1:
            end = ""
        sag = f"{each.sag_mm:.1f}", f"{each.sag_percent:.1f}"
        cells = [number(each.mass_kg, "kg"), *figures, *sag]
        row(made, (*cells, *((each.spring,) if several else ()), end))
    return made


def _figure(value: float | None, digits: int) -> str:
    return "" if value is None else f"{value:.{digits}f}"
