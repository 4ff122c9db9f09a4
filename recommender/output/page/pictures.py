"""The pictures of an answer: size map, curves, tyre gap, the shock in its room, fit margins."""

from collections.abc import Sequence

import numpy as np
from markupsafe import Markup

from recommender.answer.graphs import Curve, GapCurve, MarginBar, SizeDot, Window
from recommender.answer.wording import number, rule_label, unit_words
from recommender.output.page.drawing import Board, Scale, scales

SHAPES = ("disc", "square", "triangle", "diamond")
"""Marks of the first four bundles; lines differ in their dashes, the classes line0 to line3."""
STATE_SHAPES = {"fits": "disc", "open": "diamond", "ruled out": "cross"}


def size_map(
    dots: Sequence[SizeDot], windows: Sequence[Window], chosen: Sequence[tuple[float, float, str]]
) -> Markup:
    """Length against stroke: the frame's window, every size of the catalogue, the candidates."""
    fit = sum(dot.counts.get("fits", 0) + dot.counts.get("open", 0) for dot in dots)
    board = Board(
        "Size map of the catalogue",
        f"Length against stroke. {len(dots)} sizes; {fit} shocks fit or may fit this frame.",
        height=400,
    )
    lengths = (
        [dot.length_mm for dot in dots] + [w.low_mm for w in windows] + [x for x, _, _ in chosen]
    )
    strokes = [dot.stroke_mm for dot in dots] + [w.ceiling_mm for w in windows]
    if not lengths:
        return Markup("")
    x, y = scales(board, (min(lengths) - 5, max(lengths) + 5), (min(strokes) - 3, max(strokes) + 5))
    board.axes(x, y, "eye-to-eye length, mm", "stroke, mm")
    for window in windows:
        low, high = x.at(window.low_mm), x.at(window.high_mm)
        board.box((low - 2, y.start), (high + 2, y.at(window.ceiling_mm)), "window")
    for dot in dots:
        counts = dot.counts
        state = next(s for s in ("fits", "open", "ruled out") if counts.get(s))
        size = 3.0 + min(4.0, float(np.sqrt(sum(counts.values()))))
        shown = f"state-{state.replace(' ', '-')}"
        board.mark((x.at(dot.length_mm), y.at(dot.stroke_mm)), STATE_SHAPES[state], size, shown)
    # Sizes of one family lie close above each other, so their pins go to either side in turn.
    for k, (place, (length, stroke, _)) in enumerate(_apart(chosen)):
        side, anchor = ((10, "start"), (-10, "end"))[k % 2]
        board.words((x.at(length) + side, y.at(stroke) + 4), place, "pin", anchor)
    return board.svg()


def _apart(
    chosen: Sequence[tuple[float, float, str]],
) -> list[tuple[str, tuple[float, float, str]]]:
    """Candidates of one size share one pin: '1, 3'."""
    by_size: dict[tuple[float, float], list[str]] = {}
    for length, stroke, place in chosen:
        by_size.setdefault((round(length), stroke), []).append(place)
    return [(", ".join(names), (length, stroke, "")) for (length, stroke), names in by_size.items()]


def leverage(curves: Sequence[Curve]) -> Markup:
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


def wheel_force(curves: Sequence[Curve]) -> Markup:
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


def tyre_gap(gap: GapCurve, chosen: Sequence[tuple[float, float, str]]) -> Markup:
    """Tyre gap against stroke, with the wanted gap and the stroke ceiling."""
    board = Board(
        "Gap between tyre and frame against stroke",
        f"{number(gap.wanted_mm, 'mm')} mm are wanted. "
        + "; ".join(
            f"{name}: stroke {stroke:g} mm leaves {left:.1f} mm" for stroke, left, name in chosen
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
        (x.start + 6, y.at(gap.wanted_mm) - 5), f"wanted: {gap.wanted_mm:g} mm", "limit-words"
    )
    if gap.ceiling_mm is not None and x.low <= gap.ceiling_mm <= x.high:
        board.line((x.at(gap.ceiling_mm), y.start), (x.at(gap.ceiling_mm), y.end), "limit")
        board.words(
            (x.at(gap.ceiling_mm) + 6, y.end + 12), f"ceiling: {gap.ceiling_mm:g} mm", "limit-words"
        )
    by_place: dict[tuple[float, float], list[str]] = {}
    for stroke, left, name in chosen:
        by_place.setdefault((stroke, round(left, 1)), []).append(name)
    for (stroke, left), names in by_place.items():
        board.mark((x.at(stroke), y.at(left)), "disc", 5, "mark0")
        board.words((x.at(stroke) + 8, y.at(left) - 8), ", ".join(names), "pin")
    return board.svg()


def margins(bars: Sequence[MarginBar]) -> Markup:
    """Bars around zero: what each rule has to spare, one scale per unit."""
    if not bars:
        return Markup("")
    step, top = 30.0, 26.0
    board = Board(
        "Fit margins",
        f"{len(bars)} rules with an amount; the tightest of each unit first.",
        height=top + step * len(bars) + 8,
    )
    board.words((320, 14), "0", "tick", "middle")
    board.words((310, 14), "missing", "tick", "end")
    board.words((330, 14), "to spare", "tick")
    most = {
        unit: max(max(abs(b.low), abs(b.high)) for b in bars if b.unit == unit) or 1.0
        for unit in {bar.unit for bar in bars}
    }
    for k, bar in enumerate(bars):
        y = top + step * k
        scale = Scale(-most[bar.unit], most[bar.unit], 130, 510)
        board.words((4, y + 11), rule_label(bar.rule), "words")
        board.box(
            (scale.at(0), y + 15),
            (scale.at(bar.low), y + 23),
            "bar" if bar.low >= 0 else "bar-short",
        )
        if bar.high - bar.low > 1e-9:
            board.box((scale.at(bar.low), y + 15), (scale.at(bar.high), y + 23), "bar-doubt")
        low, high = number(bar.low, bar.unit), number(bar.high, bar.unit)
        told = low if low == high else f"{low} to {high}"
        board.words((636, y + 11), f"{told} {unit_words(bar.unit)}".strip(), "words", "end")
    board.line((320, top - 6), (320, board.height - 4), "axis")
    return board.svg()
