"""Bars around zero: what each rule has to spare, one scale per unit."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.graphs import MarginBar, margin_bars
from recommender.answer.names import rule_label
from recommender.answer.numbers import number, unit_words
from recommender.answer.records import Answer
from recommender.output.page.drawing import Board, Scale
from recommender.output.page.pictures.picture import Picture


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
