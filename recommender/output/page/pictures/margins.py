"""Bars around zero: what each rule has to spare, one scale per unit."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.graphs import MarginBar, margin_bars
from recommender.answer.names import rule_label
from recommender.answer.numbers import span, with_unit
from recommender.answer.records import Answer
from recommender.output.page.drawing import Board, Scale
from recommender.output.page.pictures.picture import Picture

ZERO, REACH = 325.0, 125.0
"""Where nothing is to spare and nothing missing, and how far the longest bar of a unit goes."""


def margins(case: Case, made: Answer) -> Iterator[Picture]:
    """The first bundle's bars, where there is one."""
    if case.order:
        yield Picture(
            "Fit margins",
            f"What {made.bundles[0].shock} has to spare against each rule, one scale per unit; to "
            "the left of zero something is missing, the pale part is what is not exactly known.",
            _drawn(margin_bars(case.order[0][0])),
        )


def _drawn(bars: Sequence[MarginBar]) -> Markup:
    if not bars:
        return Markup("")
    step, top, thick = 27.0, 26.0, 12.0
    board = Board(
        "Fit margins",
        f"{len(bars)} rules with an amount; the tightest of each unit first.",
        height=top + step * len(bars) + 4,
    )
    board.words((ZERO, 14), "0", "tick", "middle")
    board.words((ZERO - 10, 14), "missing", "tick", "end")
    board.words((ZERO + 10, 14), "to spare", "tick")
    most = {
        unit: max(max(abs(b.low), abs(b.high)) for b in bars if b.unit == unit) or 1.0
        for unit in {bar.unit for bar in bars}
    }
    for k, bar in enumerate(bars):
        y = top + step * k
        scale = Scale(-most[bar.unit], most[bar.unit], ZERO - REACH, ZERO + REACH)
        board.line((0, y), (board.width, y), "rule")
        board.words((4, y + 18), rule_label(bar.rule), "words")
        upper, lower = y + (step - thick) / 2, y + (step + thick) / 2
        sure = min(bar.high, 0.0) if bar.low < 0 else bar.low
        board.box(
            (scale.at(0), upper), (scale.at(sure), lower), "bar" if bar.low >= 0 else "bar-short"
        )
        if bar.high - bar.low > 1e-9:
            board.box((scale.at(bar.low), upper), (scale.at(bar.high), lower), "bar-doubt")
        told = with_unit(span(bar.low, bar.high, bar.unit), bar.unit)
        board.words((636, y + 18), told, "words", "end")
    board.line((ZERO, top - 6), (ZERO, board.height - 4), "axis")
    return board.svg()
