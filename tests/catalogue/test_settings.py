"""Strokes a shock can be set to."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.catalogue.read import parse_table
from recommender.catalogue.settings import parse_settings, stroke_settings
from recommender.facts.problems import BadInput
from tests.catalogue.build import csv_text, shock


def strokes(*rows: tuple[str, str]) -> list[tuple[int, float]]:
    """(row, stroke) for shocks of (delivered stroke, listed settings)."""
    parts = [
        shock(f"S{i}", stroke_mm=stroke, stroke_settings_mm=listed)
        for i, (stroke, listed) in enumerate(rows)
    ]
    table = parse_table(csv_text(parts, "part_number").encode(), "shocks.csv", "shocks")
    owner, stroke = stroke_settings(table)
    assert owner.dtype == np.int64
    assert stroke.dtype == np.float64
    return list(zip(owner.tolist(), stroke.tolist(), strict=True))


def test_sorted_by_shock_then_stroke_each_once_with_the_delivered_one() -> None:
    assert strokes(("52.5", "55;50"), ("50", "50; 47.5"), ("45", "")) == [
        (0, 50.0), (0, 52.5), (0, 55.0), (1, 47.5), (1, 50.0), (2, 45.0),
    ]  # fmt: skip


def test_unknown_stroke_leaves_the_listed_ones_alone() -> None:
    assert strokes(("", "50;55"), ("", ""), ("?", "60")) == [(0, 50.0), (0, 55.0), (2, 60.0)]


def test_measured_stroke_is_the_setting_it_admits_or_its_middle() -> None:
    assert strokes(("54.8 +/- 0.3", "50;55")) == [(0, 50.0), (0, 55.0)]
    assert strokes(("52.4 +/- 0.3", "50;55")) == [(0, 50.0), (0, 52.4), (0, 55.0)]


def test_a_stroke_in_inches_is_the_same_as_in_mm() -> None:
    assert [row for row, _ in strokes(("2.25 in", "57.15"))] == [0]


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
    assert strokes(*((delivered, ";".join(listed)) for delivered, listed in rows)) == expected
