"""The charts for the wall: one sheet for each model, build and range of riders."""

from collections.abc import Sequence
from dataclasses import dataclass

from recommender.answer.numbers import number
from recommender.fleet.records import ChartLine, ChartRecord, ChartsRecord, PlanRecord
from recommender.output.bikes import ranged
from recommender.output.fleet_care import alike

WIDTH, HEIGHT = 640.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 76.0, 34.0, 46.0, 56.0


@dataclass(frozen=True)
class Mark:
    """A mass on the drawing, with its figure."""

    x: float
    y: float
    mass: str
    figure: str
    end: bool


@dataclass(frozen=True)
class Sheet:
    """A chart with its bikes. `lines` are polylines, one for each spring setting; `ends` the
    limits of the range to be served."""

    chart: ChartRecord
    bikes: str
    coil: bool
    unit: str
    marks: tuple[Mark, ...]
    lines: tuple[str, ...]
    ticks: tuple[tuple[float, str], ...]
    width: float = WIDTH
    height: float = HEIGHT
    left: float = LEFT
    right: float = WIDTH - RIGHT
    top: float = TOP
    bottom: float = HEIGHT - BOTTOM

    @property
    def ends(self) -> tuple[Mark, ...]:
        return tuple(one for one in self.marks if one.end)


def sheets(plan: PlanRecord, charts: ChartsRecord) -> tuple[Sheet, ...]:
    """The sheets to hang up; groups that are set alike share one."""
    return tuple(_sheet(plan, some) for some in alike(charts))


def _sheet(plan: PlanRecord, some: Sequence[ChartRecord]) -> Sheet:
    chart, groups = some[0], {one.group for one in some}
    bikes = ranged(
        one.bike for one in plan.bike_plans if one.group in groups and one.build == chart.build
    )
    coil = all(line.pressure_psi is None for line in chart.lines)
    figures = [_figure(line, coil) for line in chart.lines]
    low, top, step = _axis(figures)
    light, heavy = chart.lines[0].mass_kg, chart.lines[-1].mass_kg

    def across(mass: float) -> float:
        inner = WIDTH - LEFT - RIGHT - 50
        share = (mass - light) / (heavy - light) if heavy > light else 0.5
        return round(LEFT + 25 + inner * share, 1)

    def up(figure: float) -> float:
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (figure - low) / (top - low), 1)

    marks = tuple(
        Mark(
            across(line.mass_kg), up(figure), number(line.mass_kg, "kg"), f"{figure:.0f}", line.end
        )
        for line, figure in zip(chart.lines, figures, strict=True)
    )
    lines: dict[str, list[str]] = {}
    for line, mark in zip(chart.lines, marks, strict=True):
        lines.setdefault(line.spring, []).append(f"{mark.x},{mark.y}")
    ticks = tuple(
        (up(low + k * step), f"{low + k * step:g}") for k in range(round((top - low) / step) + 1)
    )
    return Sheet(
        chart, bikes, coil, "N/mm" if coil else "psi", marks,
        tuple(" ".join(points) for points in lines.values()), ticks,
    )  # fmt: skip


def _figure(line: ChartLine, coil: bool) -> float:
    return (line.rate_n_per_mm if coil else line.pressure_psi) or 0.0


def _axis(figures: Sequence[float]) -> tuple[float, float, float]:
    """Bottom, top and step of an axis that holds the figures in at most six steps."""
    least, most = min(figures), max(figures)
    step = 5.0
    while (most - least) / step > 4:
        step *= 2
    low = step * (least // step)
    top = step * -(-most // step)
    return low, max(top, low + step), step
