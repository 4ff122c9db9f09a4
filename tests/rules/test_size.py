"""Sizes and the tyre. Gap figures: the project's worked example (D, closed form of the stated
model); 6 mm of gap and 1 mm of length are from memory and common practice."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from recommender.rules.size import ApprovedSizes
from tests.rules.one import margin, sides, value


@pytest.mark.parametrize(
    ("length", "expected"), [(210.0, 1.0), (211.0, 0.0), (208.5, -0.5), (213.0, -2.0)]
)
def test_length_within_a_millimetre(length: float, expected: float) -> None:
    assert margin("length", shock_length_mm=length) == pytest.approx(expected)


def test_ceiling_of_the_nearest_size() -> None:
    sizes = ApprovedSizes((210.0, 200.0), (52.5, 57.0))
    assert margin("stroke ceiling", bike_sizes=sizes) == pytest.approx(2.5)
    short = {"bike_sizes": sizes, "shock_length_mm": 200.4, "stroke_mm": 57.0}
    assert margin("stroke ceiling", **short) == pytest.approx(0.0)
    assert margin("stroke ceiling", bike_sizes=sizes, stroke_mm=55.0) == pytest.approx(-2.5)


def test_the_higher_ceiling_of_sizes_as_near() -> None:
    sizes = ApprovedSizes((210.0, 210.0), (50.0, 55.0))
    assert value("stroke_ceiling_mm", bike_sizes=sizes) == 55.0


def test_no_size_known_is_anything_or_nothing() -> None:
    assert margin("length", bike_sizes=ApprovedSizes((), (), free=True)) == 1.0
    assert margin("length", bike_sizes=ApprovedSizes((), (), free=False)) < -100
    assert margin("stroke ceiling", bike_sizes=ApprovedSizes((), (), free=False)) == -50.0
    assert margin("stroke ceiling", bike_sizes=ApprovedSizes((), (), free=True)) == 60.0


def test_an_unsure_size_at_its_best_and_worst() -> None:
    """Approved length 210 +/- 2: a shock of 210 is off by nothing or by two."""
    best, worst = (ApprovedSizes((210.0,), (50.0,), (2.0,), (1.0,), free) for free in (True, False))
    assert [float(one.off(210.0)) for one in (best, worst)] == [0.0, 2.0]
    assert [float(one.off(213.0)) for one in (best, worst)] == [1.0, 5.0]
    assert [float(one.ceiling(210.0)) for one in (best, worst)] == [51.0, 49.0]


def test_an_unsure_size_may_be_the_nearest() -> None:
    """210 +/- 2 lies 0 to 3.4 mm from 211.4, 213 lies 1.6: either may be nearer; from 214.9 not."""
    best, worst = (
        ApprovedSizes((210.0, 213.0), (55.0, 50.0), (2.0, 0.0), free=free) for free in (True, False)
    )
    lengths = np.array([211.4, 214.9])
    assert best.ceiling(lengths).tolist() == [55.0, 50.0]
    assert worst.ceiling(lengths).tolist() == [50.0, 50.0]


def test_of_two_sizes_the_one_less_sure_may_be_farther_sooner() -> None:
    """200 +/- 2 and 210: at 204 either may be 6 mm away."""
    assert ApprovedSizes((210.0, 200.0), (50.0, 50.0), (0.0, 2.0)).turns() == (200.0, 204.0, 210.0)


def test_linkage_moves_less_with_a_longer_shock() -> None:
    """A shock 2 mm longer at the same stroke leaves the linkage 2 mm less compressed."""
    assert margin("linkage stop", bike_linkage_stop_mm=50.0) == pytest.approx(0.0)
    assert margin("linkage stop", bike_linkage_stop_mm=49.0, shock_length_mm=212.0) == (
        pytest.approx(1.0)
    )
    assert margin("linkage stop", bike_linkage_stop_mm=50.0, shock_length_mm=209.0) == (
        pytest.approx(-1.0)
    )


def test_longer_stroke_takes_5_82_mm() -> None:
    taken = value("tyre_gap_mm") - value("tyre_gap_mm", stroke_mm=52.5)
    assert taken == pytest.approx(5.82, abs=0.005)
    assert margin("tyre gap") == pytest.approx(8.0)
    assert margin("tyre gap", stroke_mm=52.5) == pytest.approx(14 - 5.8175 - 6, abs=1e-6)


def test_shorter_shock_takes_2_33_mm() -> None:
    taken = value("tyre_gap_mm") - value("tyre_gap_mm", shock_length_mm=209.0)
    assert taken == pytest.approx(2.33, abs=0.005)


def test_half_the_closing_takes_half() -> None:
    taken = value("tyre_gap_mm") - value("tyre_gap_mm", stroke_mm=52.5, bike_tyre_closing=0.5)
    assert taken == pytest.approx(5.8175 / 2, abs=1e-6)


def test_wider_tyre() -> None:
    """5 mm wider: 10 mm more in diameter, 5 mm at the frame; 2.5 mm at each side."""
    wide = {"bike_tyre_width_mm": 65.0}
    assert value("tyre_gap_mm", **wide) == pytest.approx(14.0 - 5.0)
    assert margin("tyre side room", **wide) == pytest.approx(8.0 - 2.5 - 4.0)


def test_bumper_held_the_wheel_short() -> None:
    """The gap taken 2 mm before full compression shrinks by z(50) - z(48) = 4.7008 mm."""
    assert value("tyre_gap_mm", bike_gap_compression_mm=48.0) == pytest.approx(14 - 4.7008)


def test_travel_in_millimetres() -> None:
    """130.0, 135.82 and 141.57 mm, not stroke times mean ratio."""
    got = [float(value("travel_mm", stroke_mm=s)) for s in (50.0, 52.5, 55.0)]
    assert got == pytest.approx([130.0, 135.82, 141.57], abs=0.005)
    wished = {"wish_travel_low_mm": 130.0, "wish_travel_high_mm": 140.0}
    assert sides("wish: travel", **wished) == pytest.approx((0.0, 10.0))
    assert margin("wish: travel", stroke_mm=55.0, **wished) == pytest.approx(-1.57, abs=0.005)


SIZES = st.lists(
    st.tuples(st.integers(34, 46), st.sampled_from((0.0, 0.5, 3.0)), st.integers(40, 60)),
    min_size=1, max_size=5,
)  # fmt: skip


@given(SIZES, st.integers(168, 232), st.integers(1, 12))
def test_nothing_is_better_or_worse_than_at_the_ends_and_turns(
    some: list[tuple[int, float, int]], low: int, wide: int
) -> None:
    """Of a shock whose length is loose, against every eighth of a millimetre that it may be."""
    lengths, errors, ceilings = (tuple(map(float, one)) for one in zip(*some, strict=True))
    lengths = tuple(5 * length for length in lengths)
    best, worst = (ApprovedSizes(lengths, ceilings, errors, (), free) for free in (True, False))
    turns = worst.turns()
    assert turns == best.turns()
    assert list(turns) == sorted(set(turns))
    high = low + wide
    at = np.array([low, *(turn for turn in turns if low < turn < high), high])
    every = np.linspace(low, high, 8 * wide + 1)
    assert best.off(at).min() == best.off(every).min()
    assert worst.off(at).max() == worst.off(every).max()
    assert best.ceiling(at).max() == best.ceiling(every).max()
    assert worst.ceiling(at).min() == worst.ceiling(every).min()
