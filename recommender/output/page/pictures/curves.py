"""Force at the wheel and leverage ratio of the best bundles beside the fitted shock."""

from collections.abc import Iterator, Sequence

import numpy as np
from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.graphs import Curve, curve
from recommender.answer.records import Answer
from recommender.output.page.drawing import Board, scales
from recommender.output.page.pictures.picture import Picture
from recommender.rules.market import FITTED

COMPARED = 3
"""How many of the best bundles the curves show beside the present shock."""
SHAPES = ("disc", "square", "triangle", "diamond")
"""Marks of the first four bundles; lines differ in their dashes, the classes line0 to line3."""


def curves(case: Case, made: Answer) -> Iterator[Picture]:
    """Both pictures, where some spring can be drawn."""
    names = {one.rank: one.shock for one in made.bundles}
    places = dict.fromkeys(range(min(COMPARED, len(case.order))))
    if case.market.present in case.order.places:
        places |= {case.order.places[case.market.present]: None}
    chosen = [(case.order[k][0], names.get(k + 1, "") if k < COMPARED else FITTED) for k in places]
    found = [one for one in (curve(ranked, name) for ranked, name in chosen if name) if one]
    if not found:
        return
    key = tuple((k, one.name) for k, one in enumerate(found))
    yield Picture(
        "Force at the wheel",
        "While riding; the filled mark is sag, the open one full travel. "
        "Friction, damper and bump stop are left out.",
        _wheel_force(found), key,
    )  # fmt: skip
    yield Picture(
        "Leverage ratio",
        "The filled mark is sag, the open one full stroke. Shocks of one length share one curve.",
        _leverage(found), key,
    )  # fmt: skip


def _leverage(curves: Sequence[Curve]) -> Markup:
    """Leverage ratio against shaft compression."""
    board = Board(
        "Leverage ratio against shock compression",
        "; ".join(
            f"{c.name}: {c.ratio[0]:.2f} extended, {c.ratio[-1]:.2f} at full stroke" for c in curves
        ),
    )
    low = min(float(c.ratio.min()) for c in curves)
    high = max(float(c.ratio.max()) for c in curves)
    pad = max(0.1, 0.15 * (high - low))
    x, y = scales(board, (0.0, max(c.shaft_mm[-1] for c in curves)), (low - pad, high + pad))
    board.axes(x, y, "shock compression, mm", "leverage ratio")
    for k, one in enumerate(curves):
        points = zip(map(x.at, one.shaft_mm), map(y.at, one.ratio), strict=True)
        board.path(points, f"curve line{k}")
        board.mark((x.at(one.sag_shaft_mm), y.at(one.sag_ratio)), SHAPES[k], 5, f"mark{k}")
        board.mark(
            (x.at(float(one.shaft_mm[-1])), y.at(float(one.ratio[-1]))), SHAPES[k], 4, f"end{k}"
        )
    return board.svg()


def _wheel_force(curves: Sequence[Curve]) -> Markup:
    """Force at the wheel against wheel travel, with sag and full travel marked."""
    board = Board(
        "Force at the wheel against wheel travel",
        "; ".join(
            f"{c.name}: sag {c.sag_wheel_mm:.0f} mm at {c.sag_force_n:.0f} N, "
            f"{c.wheel_mm[-1]:.0f} mm of travel at {c.force_n[-1]:.0f} N"
            for c in curves
        ),
        height=400,
    )
    top = max(float(c.force_n.max()) for c in curves)
    x, y = scales(board, (0.0, max(c.wheel_mm[-1] for c in curves) * 1.02), (0.0, top * 1.08))
    board.axes(x, y, "wheel travel, mm", "force at the wheel, N")
    for k, one in enumerate(curves):
        points = zip(map(x.at, one.wheel_mm), map(y.at, np.maximum(one.force_n, 0.0)), strict=True)
        board.path(points, f"curve line{k}")
        board.mark((x.at(one.sag_wheel_mm), y.at(one.sag_force_n)), SHAPES[k], 5, f"mark{k}")
        end = (x.at(float(one.wheel_mm[-1])), y.at(float(one.force_n[-1])))
        board.mark(end, SHAPES[k], 4, f"end{k}")
    return board.svg()
