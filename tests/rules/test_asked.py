"""The question's facts: what a loose or blank figure of the bike may be."""

from typing import Any

import pytest

from recommender.facts.bike import LeverageFacts
from recommender.facts.marks import UNLIMITED
from recommender.rules.asked import leverage
from tests.catalogue import build
from tests.explain.markets import asked


def ratios(**facts: Any) -> list[tuple[float, float, float]]:
    """Ratio at the start and at the end, and stroke in mm, of every corner."""
    curves = leverage(LeverageFacts.model_validate(facts))
    return [
        (round(float(c.ratio(0.0)), 6), round(float(c.ratio(c.stroke_m)), 6),
         round(1000 * c.stroke_m, 6))
        for c in curves
    ]  # fmt: skip


def test_exact_ratios_are_one_curve() -> None:
    assert ratios(stroke_mm=50, ratio_start=2.86, ratio_end=2.34) == [(2.86, 2.34, 50.0)]


def test_loose_ratios_move_apart() -> None:
    """Progression too is not exactly known, so every pair of ends is a corner."""
    got = ratios(stroke_mm=50, ratio_start="2.9 +/- 0.1", ratio_end="2.4 +/- 0.1")
    assert got == [(2.8, 2.3, 50), (2.8, 2.5, 50), (3.0, 2.3, 50), (3.0, 2.5, 50)]


def test_the_stroke_of_the_ratios_may_be_loose() -> None:
    got = ratios(stroke_mm="50 +/- 2", ratio_start=2.86, ratio_end=2.34)
    assert got == [(2.86, 2.34, 48.0), (2.86, 2.34, 52.0)]
    assert ratios(ratio_start=2.86, ratio_end=2.34) == [(2.86, 2.34, 20.0), (2.86, 2.34, 110.0)]


def test_travel_over_stroke() -> None:
    assert ratios(stroke_mm=50, travel_mm=130) == [(2.6, 2.6, 50.0)]
    assert ratios(stroke_mm="50 +/- 2", travel_mm=130) == [
        (2.5, 2.5, 50.0),
        (round(130 / 48, 6), round(130 / 48, 6), 50.0),
    ]


def test_half_a_statement_is_none() -> None:
    """Travel without a stroke says nothing of the curve."""
    assert ratios(travel_mm=130) == [(1.8, 1.8, 60.0), (3.6, 3.6, 60.0)]
    assert ratios(stroke_mm=50) == [(1.8, 1.8, 50.0), (3.6, 3.6, 50.0)]


@pytest.mark.parametrize(
    ("basis", "rider", "bike"),
    [("rider", False, True), ("whole system", True, False)],
)
def test_a_mass_that_no_limit_asks_for_is_not_loose(
    basis: str, rider: bool, bike: bool
) -> None:
    """The rider's own mass and the bike's, both unknown, are known where nothing reads them."""
    one = asked(shocks=[build.shock(rider_mass_limit_kg=120, rider_mass_limit_basis=basis)])
    corners = one.market.scalars
    assert (len(corners["rider_mass_kg"].corners) == 1) == rider
    assert (len(corners["rider_bike_mass_kg"].corners) == 1) == bike


def test_nothing_known() -> None:
    """1.8 to 3.6, from memory."""
    assert [start for start, _, _ in ratios()] == [1.8, 3.6]


def test_a_table_carries_its_reading_error() -> None:
    """0.5 mm at 130 mm of travel, as one offset over the whole curve."""
    lines = [(0, 0.0), (10, 28.0), (20, 55.0), (30, 81.0), (40, 106.0), (50, 130.0)]
    table = [{"compression_mm": x, "wheel_travel_mm": z} for x, z in lines]
    low, high = leverage(LeverageFacts.model_validate({"stroke_mm": 50, "table": table}))
    assert float(low.travel(0.05)) * 1000 == pytest.approx(129.5)
    assert float(high.travel(0.05)) * 1000 == pytest.approx(130.5)


def test_a_rider_s_mass_with_kit_from_the_bare_mass() -> None:
    """Nothing up to a fifth of the whole is kit."""
    one = asked(rider={"mass_with_kit_kg": None, "mass_kg": 72})
    assert one.market.scalars["rider_mass_with_kit_kg"].corners == (72.0, 90.0)
    one = asked(rider={"mass_with_kit_kg": 80, "mass_kg": None},
                shocks=[build.shock(rider_mass_limit_basis="rider")])  # fmt: skip
    assert one.market.scalars["rider_mass_kg"].corners == (64.0, 80.0)


@pytest.mark.parametrize(
    ("tyre", "room"),
    [
        ({"side_room_mm": 8}, (8.0,)),
        ({"measured_width_mm": None, "side_room_mm": 8}, (8.0,)),
        ({"measured_width_mm": None, "side_room_mm": None}, (UNLIMITED,)),
        ({"width_mm": None, "side_room_mm": None}, (UNLIMITED,)),
    ],
)
def test_room_beside_the_tyre_matters_for_another_tyre_alone(
    tyre: dict[str, Any], room: tuple[float, ...]
) -> None:
    assert asked({"tyre": tyre}).market.scalars["bike_tyre_side_room_mm"].corners == room


def test_room_beside_another_tyre_that_nobody_measured_is_loose() -> None:
    found = asked({"tyre": {"side_room_mm": None}}).market.scalars["bike_tyre_side_room_mm"]
    assert len(found.corners) == 2


def test_a_limit_that_the_frame_s_maker_does_not_state_limits_nothing() -> None:
    silent = asked({"limits": {}, "linkage_stop_mm": None}).market.scalars
    for name in ("bike_linkage_stop_mm", "bike_limits_rider_mass_kg"):
        assert silent[name].corners == (UNLIMITED,)
    told = asked({"limits": {"rider_mass_kg": 110}, "linkage_stop_mm": 60}).market.scalars
    assert told["bike_linkage_stop_mm"].corners == (60.0,)
    assert told["bike_limits_rider_mass_kg"].corners == (110.0,)


def test_a_class_table_that_is_not_exact_is_its_narrowest_and_its_widest() -> None:
    """Narrowest: every low end at its highest, every high end at its lowest."""
    loose = build.tune_class(
        "light", 0, 0, rebound_low_n_s_per_m="1500 +/- 10", rebound_high_n_s_per_m="3600 +/- 20",
        compression_low_n_s_per_m="500 +/- 3", compression_high_n_s_per_m="1200 +/- 4",
    )  # fmt: skip
    classes = asked(tune_classes=(loose, *build.TUNE_CLASSES[1:])).market.scalars["classes"].corners
    assert [
        (c.rebound_low[0], c.rebound_high[0], c.compression_low[0], c.compression_high[0])
        for c in classes
    ] == [(1510, 3580, 503, 1196), (1490, 3620, 497, 1204)]
    assert all(c.rebound_low[1:] == (2400, 3600) for c in classes)


def test_an_exact_class_table_has_one_corner() -> None:
    assert len(asked(tune_classes=build.TUNE_CLASSES).market.scalars["classes"].corners) == 1


@pytest.mark.parametrize(
    ("leverage_facts", "expected"),
    [
        ({"stroke_mm": 50, "travel_mm": 130}, (47.0, 50.0)),
        ({"stroke_mm": "50 +/- 1", "travel_mm": 130}, (46.0, 51.0)),
        (
            {"stroke_mm": None, "travel_mm": None, "ratio_start": 2.8, "ratio_end": 2.4},
            (20.0, 110.0),
        ),
    ],
)
def test_where_a_gap_was_measured_that_nobody_wrote_down(
    leverage_facts: dict[str, Any], expected: tuple[float, float]
) -> None:
    """Bottomed by hand, which ends up to 3 mm short [mem], on a shock of the curve's stroke."""
    bike = {"tyre": {"gap_eye_to_eye_mm": None}, "leverage": leverage_facts}
    scalar = asked(bike).market.scalars["bike_gap_compression_mm"]
    assert (scalar.corners[0], scalar.corners[-1]) == expected
