"""Tyre gap against stroke, with the wanted gap and the stroke ceiling."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.graphs import UNMEASURED_MM, GapCurve, gap_curve
from recommender.answer.numbers import number
from recommender.answer.records import Answer
from recommender.output.page.drawing import Board, scales
from recommender.output.page.pictures.picture import Picture, told_mm
from recommender.output.terminal import figure


def tyre_gap(case: Case, made: Answer) -> Iterator[Picture]:
    """The gap, where it was measured."""
    chosen = []
    for one in made.bundles:
        left = figure(one, "tyre_gap_mm")
        stroke = told_mm(case, one, "stroke_mm")
        if left is None or left.low is None or left.high is None or stroke is None:
            continue
        if left.high - left.low < UNMEASURED_MM:
            chosen.append((stroke, left.low, str(one.rank)))
    strokes = [stroke for stroke, _, _ in chosen] or [50.0]
    gap = gap_curve(case.market, (min(strokes) - 7.5, max(strokes) + 7.5))
    if gap is not None:
        yield Picture(
            "Tyre gap",
            "Gap at full compression for a shock of the frame's own length; the shaded band is "
            "what is not exactly known. Numbers are places in the list, each at the least gap it "
            "may have.",
            _drawn(gap, chosen),
        )


def _drawn(gap: GapCurve, chosen: Sequence[tuple[float, float, str]]) -> Markup:
    board = Board(
        "Gap between tyre and frame against stroke",
        f"{number(gap.wanted_mm, 'mm')} mm are wanted. "
        + "; ".join(
            f"{name}: stroke {number(stroke, 'mm')} mm leaves {number(left, 'mm')} mm"
            for stroke, left, name in chosen
        ),
    )
    low = min(0.0, float(gap.low_mm.min()), *(left for _, left, _ in chosen))
    top = max(float(gap.high_mm.max()), gap.wanted_mm + 5)
    x, y = scales(board, (gap.stroke_mm[0], gap.stroke_mm[-1]), (low, top))
    board.axes(x, y, "stroke, mm", "gap to the frame, mm")
    up = list(zip(map(x.at, gap.stroke_mm), map(y.at, gap.high_mm), strict=True))
    down = list(zip(map(x.at, gap.stroke_mm), map(y.at, gap.low_mm), strict=True))
    board.path([*up, *reversed(down)], "doubt", closed=True)
    board.path(up, "curve line0")
    board.path(down, "curve line0")
    board.line((x.start, y.at(gap.wanted_mm)), (x.end, y.at(gap.wanted_mm)), "limit")
    board.words(
        (x.start + 6, y.at(gap.wanted_mm) - 5), f"wanted: {number(gap.wanted_mm, 'mm')} mm",
        "limit-words",
    )
    if gap.ceiling_mm is not None and x.low <= gap.ceiling_mm <= x.high:
        board.line((x.at(gap.ceiling_mm), y.start), (x.at(gap.ceiling_mm), y.end), "limit")
        board.words(
            (x.at(gap.ceiling_mm) + 6, y.end + 12),
            f"ceiling: {number(gap.ceiling_mm, 'mm')} mm", "limit-words",
        )
    by_place: dict[tuple[float, float], list[str]] = {}
    for stroke, left, name in chosen:
        by_place.setdefault((stroke, round(left, 1)), []).append(name)
    for (stroke, left), names in by_place.items():
        board.mark((x.at(stroke), y.at(left)), "disc", 5, "mark0")
        # Under a dot that stands close above, words go below.
        close = any(one == stroke and 0 < other - left < 3 for one, other in by_place)
        board.words((x.at(stroke) + 8, y.at(left) + (18 if close else -8)), ", ".join(names), "pin")
    return board.svg()
