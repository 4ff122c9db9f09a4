"""The trade-off curve as points on a drawing, ready for the template to place."""

from dataclasses import dataclass

from recommender.fleet.records import CurvePoint, PlanRecord

WIDTH, HEIGHT = 640.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 90.0, 20.0, 50.0, 56.0
MOST_NAMES = 12
"""Most dots that have their number of builds written below."""


@dataclass(frozen=True)
class Dot:
    """One plan of the curve, placed. `all_served` tells full dots from open ones."""

    x: float
    y: float
    point: CurvePoint
    all_served: bool
    chosen: bool
    named: bool


@dataclass(frozen=True)
class Plot:
    """The drawing: its size, its dots, the line through those that serve the most, the ticks."""

    width: float
    height: float
    left: float
    right: float
    bottom: float
    dots: tuple[Dot, ...]
    line: str
    ticks: tuple[tuple[float, str], ...]
    most: int


def curve_plot(plan: PlanRecord) -> Plot | None:
    """Cost against the number of builds; None where no curve was asked for."""
    if not plan.curve:
        return None
    dearest = max((one.cost for one in plan.curve), default=0.0) or 1.0
    step = _step(dearest)
    top = step * -(-dearest // step)
    count = max(one.builds for one in plan.curve)
    every = -(-len(plan.curve) // MOST_NAMES)

    def across(builds: int) -> float:
        return LEFT + 30 + (WIDTH - LEFT - RIGHT - 60) * (builds - 1) / max(1, count - 1)

    def up(cost: float) -> float:
        return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * cost / top

    most = max(one.served for one in plan.curve)
    dots = tuple(
        Dot(round(across(one.builds), 1), round(up(one.cost), 1), one, one.served == most,
            one.builds == len(plan.builds), k % every == 0)
        for k, one in enumerate(plan.curve)
    )  # fmt: skip
    line = " ".join(f"{dot.x},{dot.y}" for dot in dots if dot.all_served)
    marks = [step * k for k in range(round(top / step) + 1)]
    ticks = tuple((round(up(mark), 1), f"{mark:.0f}") for mark in marks)
    return Plot(
        WIDTH, HEIGHT, LEFT, WIDTH - RIGHT, HEIGHT - BOTTOM, dots, line, ticks, most
    )


def _step(top: float) -> float:
    """A round step (1, 2 or 5 times a power of ten) that gives at most six ticks."""
    step = 1.0
    while top / step > 5:
        step *= 2.5 if str(step)[0] == "2" else 2.0
    return step
