"""Strokes a shock can be set to."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.catalogue.read import parse_table
from recommender.catalogue.settings import parse_settings
from recommender.facts.problems import BadInput
from recommender.rules.stroke_options import stroke_options
from tests.catalogue.build import csv_text, shock

Setting = tuple[int, float, float]


def strokes(*rows: tuple[str, str]) -> list[Setting]:
    """(row, lowest, highest) for shocks of (delivered stroke, listed settings)."""
    parts = [
        shock(f"S{i}", stroke_mm=stroke, stroke_settings_mm=listed)
        for i, (stroke, listed) in enumerate(rows)
    ]
    table = parse_table(csv_text(parts, "part_number").encode(), "shocks.csv", "shocks")
    owner, stroke = stroke_options(table)
    assert owner.dtype == np.int64
    ends = zip(owner.tolist(), stroke.low.tolist(), stroke.high.tolist(), strict=True)
    return [(row, round(low, 6), round(high, 6)) for row, low, high in ends]


def exact(*found: tuple[int, float]) -> list[Setting]:
    return [(row, stroke, stroke) for row, stroke in found]


def test_sorted_by_shock_then_stroke_each_once_with_the_delivered_one() -> None:
    assert strokes(("52.5", "55;50"), ("50", "50; 47.5"), ("45", "")) == exact(
        (0, 50.0), (0, 52.5), (0, 55.0), (1, 47.5), (1, 50.0), (2, 45.0)
    )


def test_unknown_stroke_is_loose_only_where_nothing_is_listed() -> None:
    assert strokes(("", "50;55"), ("", ""), ("?", "60")) == [
        *exact((0, 50.0), (0, 55.0)), (1, 20.0, 110.0), *exact((2, 60.0))
    ]  # fmt: skip


def test_measured_stroke_is_the_setting_it_admits_or_loose() -> None:
    assert strokes(("54.8 +/- 0.3", "50;55")) == exact((0, 50.0), (0, 55.0))
    assert strokes(("52.4 +/- 0.3", "50;55")) == [
        (0, 50.0, 50.0), (0, 52.1, 52.7), (0, 55.0, 55.0)
    ]  # fmt: skip


def test_a_stroke_in_inches_is_the_same_as_in_mm() -> None:
    assert [row for row, *_ in strokes(("2.25 in", "57.15"))] == [0]


@pytest.mark.parametrize(
    "text", ["50;", "50,55", "5 0", "50;x", "nan", "1e2", "-50", "19.9", "111"]
)
def test_what_is_no_list_of_strokes(text: str) -> None:
    with pytest.raises(ValueError, match="accepted"):
        parse_settings(text)
    with pytest.raises(BadInput) as caught:
        strokes(("50", ""), ("50", text))
    (problem,) = caught.value.problems
    assert (problem.row, problem.column, problem.value) == (3, "stroke_settings_mm", text)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["", "45", "50", "52.5"]),
            st.lists(st.sampled_from(["45", "50", "52.5", "55.0", "110"]), max_size=4),
        ),
        min_size=1,
        max_size=6,
    )
)
def test_agrees_with_a_row_at_a_time(rows: list[tuple[str, list[str]]]) -> None:
    expected: list[tuple[int, float]] = []
    for i, (delivered, listed) in enumerate(rows):
        told = {float(text) for text in [*listed, delivered] if text}
        expected.extend((i, stroke) for stroke in sorted(told))
    made = strokes(*((delivered, ";".join(listed)) for delivered, listed in rows))
    known = [(row, low) for row, low, high in made if low == high]
    assert known == expected
    blank = [i for i, (delivered, listed) in enumerate(rows) if not delivered and not listed]
    assert [row for row, low, high in made if low < high] == blank
