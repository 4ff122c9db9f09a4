"""What to measure next: turning values against the rules' own arithmetic, and the order."""

from typing import Any

import numpy as np
import pytest

from recommender.explain.doubt import TURNS, Measurement, Stretch, measurements
from recommender.explain.refine import refine
from recommender.explain.unknowns import Unknown
from recommender.rules.choices import Market
from recommender.search.verdicts import FITS, Verdicts
from tests.catalogue import build
from tests.explain.markets import Asked, asked


def measured(case: Asked, **more: Any) -> tuple[Measurement, ...]:
    return measurements(case.market, case.wishes, case.judged(), **more)


def test_room_above_the_head_decides() -> None:
    """A body of 48 mm with 3 mm of air (from memory) wants 51; it was read as 53 +/- 4."""
    case = asked(
        {"room": {"head_up_mm": "53 +/- 4", "head_down_mm": 40}},
        shocks=[build.shock(name, body_head_up_mm=48, body_head_down_mm=30) for name in "AB"],
    )  # fmt: skip
    (found,) = measured(case)
    assert (found.unknown.fact, found.shock) == ("bike_room_head_up_mm", -1)
    low, high = found.stretches
    assert (low.low, high.high) == (49, 57)
    assert low.high < 51 <= high.low
    assert high.low - low.high <= 8 / 1024 * 1.01
    assert (low.out, low.fits) == ((0, 1), ())
    assert (high.out, high.fits) == ((), (0, 1))
    assert (found.most, found.mean) == (2, pytest.approx(2))
    assert low.share + high.share == pytest.approx(1)
    assert low.share == pytest.approx(2 / 8, abs=0.002)


def test_a_word_counts_alike() -> None:
    shocks = [build.shock(eyelet_axis="crosswise", eyelet_turnable=None)]
    (found,) = measured(asked(shocks=shocks))
    assert (found.unknown.fact, found.shock) == ("eyelet_turnable", 0)
    assert [(one.low, one.fits, one.out, one.share) for one in found.stretches] == [
        (0.0, (), (0,), 0.5), (1.0, (0,), (), 0.5),
    ]  # fmt: skip
    assert (found.most, found.mean) == (1, 1)


def test_what_settles_more_comes_first() -> None:
    """The room beside the tyre settles all three shocks, a blank of one shock that one alone."""
    case = asked(
        {"tyre": {"side_room_mm": "4.5 +/- 1"}, "allows": {"remote": "no"}},
        shocks=[build.shock("A"), build.shock("B"), build.shock("C", remote_lockout=None)],
    )  # fmt: skip
    found = measured(case)
    assert [one.unknown.fact for one in found] == ["bike_tyre_side_room_mm", "remote_lockout"]
    first, second = found
    assert first.most == 3
    assert second.shock == 2
    # With the room still unknown, a remote alone can only rule C out.
    assert [one.out for one in second.stretches] == [(), (2,)]
    assert second.mean == pytest.approx(0.5)


def test_both_sides_of_a_band_turn() -> None:
    """A sleeve of 22 mm suits gaps from 21.9 to 22.5 mm."""
    case = asked({"head": {"gap_mm": "22.2 +/- 2", "grip_mm": 40}})
    (found,) = measured(case)
    assert [bool(one.fits) for one in found.stretches] == [False, True, False]
    middle = found.stretches[1]
    assert middle.low == pytest.approx(21.9, abs=4 / 1024 * 1.01)
    assert middle.high == pytest.approx(22.5, abs=4 / 1024 * 1.01)


def test_first_place_may_change() -> None:
    def first(market: Market, verdicts: Verdicts) -> tuple[int, ...]:
        return tuple(np.flatnonzero(verdicts.state == FITS)[:1].tolist())

    sure, doubtful = build.shock("A"), build.shock("B", remote_lockout=None)
    bike = {"allows": {"remote": "no"}}
    (last,) = measured(asked(bike, shocks=[sure, doubtful]), best=first)
    assert last.first_may_change is False
    (ahead,) = measured(asked(bike, shocks=[doubtful, sure]), best=first)
    assert ahead.first_may_change is True
    (unasked,) = measured(asked(bike, shocks=[sure, doubtful]))
    assert unasked.first_may_change is None


def test_nothing_to_measure() -> None:
    assert measured(asked()) == ()
    assert measured(asked(shocks=[build.shock(length_mm=250, remote_lockout=None)])) == ()


def test_what_refining_settled_is_not_measured() -> None:
    bike = {"head": {"gap_mm": "22.5 +/- 0.4", "grip_mm": 40}}
    case = asked(bike, kits=[build.kit("A"), build.kit("B", width_mm=22.6)])
    better = refine(case.market, case.wishes, case.judged())
    assert measured(case) != ()
    assert measured(case, state=better.state) == ()


def test_of_two_facts_that_settle_as_much_the_one_that_may_settle_more_comes_first() -> None:
    def told(*shares: tuple[float, int], shock: int = -1, fact: str = "a") -> Measurement:
        stretches = [
            Stretch(0.0, 1.0, share, (), tuple(range(settled)))
            for share, settled in shares
        ]
        return Measurement(Unknown("question", fact, ((0.0, 1.0),)), shock, tuple(stretches))

    even, bold = told((1.0, 2)), told((0.5, 0), (0.5, 4))
    assert (even.mean, even.most, bold.mean, bold.most) == (2.0, 2, 2.0, 4)
    more, shop = told((1.0, 3)), told((0.5, 0), (0.5, 4), shock=0)
    later = told((1.0, 2), fact="b")
    found = sorted([even, later, shop, bold, more], key=lambda one: one.key)
    assert [id(one) for one in found] == [id(one) for one in (more, bold, shop, even, later)]


def test_only_the_first_few_facts_are_looked_at_closely() -> None:
    """Of two facts that each may rule the shock out only one is followed to where it turns."""
    case = asked({"tyre": {"side_room_mm": "4.5 +/- 1"}, "room": {"head_up_mm": "33.5 +/- 1"}})
    closely = measured(case, best=lambda market, verdicts: 0, detail=2)
    first, second = measured(case, best=lambda market, verdicts: 0, detail=1)
    assert {one.unknown.fact for one in closely} == {first.unknown.fact, second.unknown.fact}
    turned = {True: 0, False: 0}
    for one in (first, second):
        low, high = one.stretches
        close = high.low - low.high < 0.01
        turned[close] += 1
        assert close or high.low - low.high >= 1
        assert one.first_may_change is (False if close else None)
    assert turned == {True: 1, False: 1}
    assert all(one.stretches[1].low - one.stretches[0].high < 0.01 for one in closely)


def test_a_turn_is_looked_for_to_a_part_in_so_many_and_no_closer() -> None:
    case = asked(
        {"room": {"head_up_mm": "53 +/- 4", "head_down_mm": 40}},
        shocks=[build.shock(body_head_up_mm=48, body_head_down_mm=30)],
    )  # fmt: skip
    (found,) = measured(case)
    low, high = found.stretches
    assert high.low - low.high == pytest.approx(8 / TURNS)


def test_a_stretch_is_told_only_where_the_values_between_settle_too() -> None:
    """A sleeve of 22 mm suits gaps from 21.9 to 22.5 mm: none of the values first looked at."""
    case = asked({"head": {"gap_mm": "28 +/- 20", "grip_mm": 40}})
    (found,) = measured(case, detail=0)
    out = [one for one in found.stretches if one.out]
    assert [one.low for one in out][:1] == [8]
    assert out[-1].high == 48
    assert all(one.high < 21.9 or one.low > 22.5 for one in out)
    assert found.mean < 1


def test_what_lies_between_is_looked_at_for_each_shock_by_itself() -> None:
    """A bushing of 15 mm fits an eye of 15: of A none of the values first looked at, 10, 17 and 24;
    of B the middle one, so of these two eyes only A's is out at both ends of a half."""
    shocks = [
        build.shock("A", head_eye_bore_mm="17 +/- 7"), build.shock("B", head_eye_bore_mm="15 +/- 5")
    ]  # fmt: skip
    found = {one.shock: one for one in measured(asked(shocks=shocks), detail=0)}
    assert any(one.fits for one in found[1].stretches)
    assert all(one.out for one in found[0].stretches)
    assert not any(one.low < 15 < one.high for one in found[0].stretches)
    assert found[0].mean < 1
