"""The one question that all rivals answer: a bike, a rider and wishes, every fact exact."""

from recommender.catalogue.question import Question
from recommender.facts.bike import Bike
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes

_ROOM = {
    "head_up_mm": 68, "head_down_mm": 45, "head_left_mm": 42, "head_right_mm": 42,
    "middle_up_mm": 49, "middle_down_mm": 44, "middle_left_mm": 40, "middle_right_mm": 40,
    "shaft_up_mm": 40, "shaft_down_mm": 39, "shaft_left_mm": 36, "shaft_right_mm": 36,
}  # fmt: skip
_BIKE = {
    "name": "the bike measured", "mount": "eyelet", "eyelet_axis": "parallel", "yoke": "no",
    "linkage_stop_mm": 55.5,
    "sizes": [{"length_mm": 210, "stroke_ceiling_mm": 52.5}],
    "head": {"gap_mm": 30, "bolt_mm": 8, "carbon_lugs": "no", "grip_mm": 31,
             "trunnion_width_mm": 54, "trunnion_thread": "m10x1"},
    "shaft": {"gap_mm": 22.2, "bolt_mm": 8, "carbon_lugs": "no", "grip_mm": 23.2},
    "leverage": {"stroke_mm": 50, "ratio_start": 2.86, "ratio_end": 2.34},
    "tyre": {"bead_seat_mm": 622, "width_mm": 61, "gap_mm": 9, "gap_eye_to_eye_mm": 158.5,
             "closing": 0.7, "side_room_mm": 8},
    "room": {"measured": "whole travel", **_ROOM},
    "allows": {"coil": "yes", "end_for_end": "no", "remote": "no"},
    "limits": {"rider_mass_kg": 120, "rider_mass_basis": "rider with kit"},
}  # fmt: skip
_RIDER = {"mass_with_kit_kg": 80, "mass_kg": 74, "bike_mass_kg": 15}
_WISHES = {
    "travel_mm": {"must": [125, 140]}, "sag_percent": {"must": [26, 33]},
    "adjusters": {"must": ["rebound"]}, "budget": {"must": 700},
}  # fmt: skip


def question() -> Question:
    """210 x 50 between eyelets, 130 mm of travel, 80 kg, 700 EUR at most."""
    return Question(
        Bike.model_validate(_BIKE), Rider.model_validate(_RIDER), Wishes.model_validate(_WISHES), ""
    )
