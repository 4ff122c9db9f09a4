"""Length against stroke: the frame's window, every size of the catalogue, the candidates."""

from collections.abc import Iterator, Sequence

import numpy as np
from markupsafe import Markup

from recommender.answer import graphs
from recommender.answer.answer import Case
from recommender.answer.graphs import SizeDot, Window
from recommender.answer.records import Answer
from recommender.output.page.drawing import Board, scales
from recommender.output.page.pictures.picture import Picture, told_mm

STATE_SHAPES = {"fits": "disc", "open": "diamond", "ruled out": "cross"}


def size_map(case: Case, made: Answer) -> Iterator[Picture]:
    """The map, always."""
    dots, windows = graphs.size_map(case.market, case.verdicts)
    chosen = []
    for one in made.bundles:
        length, stroke = (told_mm(case, one, name) for name in ("shock_length_mm", "stroke_mm"))
        if length is not None and stroke is not None:
            chosen.append((length, stroke, str(one.rank)))
    yield Picture(
        "Size map",
        "Length against stroke. The green box is what the frame is approved for; a disc fits, a "
        "diamond can't be said yet, a cross is ruled out; numbers are the places of the "
        "candidates.",
        _drawn(dots, windows, chosen),
    )


def _drawn(
    dots: Sequence[SizeDot], windows: Sequence[Window], chosen: Sequence[tuple[float, float, str]]
) -> Markup:
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
