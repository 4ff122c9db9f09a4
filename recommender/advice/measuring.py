"""How to measure or find each fact that is asked for, in a sentence or two."""

from collections.abc import Mapping
from types import MappingProxyType

from recommender.answer.measuring import MEASURING
from recommender.answer.measuring_parts import THIRDS
from recommender.facts.words import SIDES


def how(place: str) -> str:
    """How to find the fact at a dotted place of the question's file; '' if it needs no telling."""
    return _OWN.get(place) or MEASURING.get(place.replace(".", "_"), "")


_ROOM = (
    "With the shock out, from the line between the two bolts to the nearest thing on each side, "
    "frame, link or yoke. Do it extended, at half travel and bottomed, and note the least."
)
_OWN: Mapping[str, str] = MappingProxyType(
    {
        "bike.frame": (
            "The frame's id in the catalogue; its maker's facts then stand where yours are blank."
        ),
        "bike.sizes": (
            "Length: bolt centre to bolt centre, no load, air in. Stroke: let the air out, "
            "push the shock together fully, and take the length lost; better, the frame "
            "maker's own figure."
        ),
        "bike.yoke": "Whether a forked link stands between the shock's shaft end and the rocker.",
        "bike.leverage.stroke_mm": (
            "The shock stroke that the frame's stated travel belongs to: its original shock's."
        ),
        "bike.leverage.travel_mm": (
            "The frame maker's rear wheel travel; or the rise of the axle from fully extended "
            "to bottomed, air out, measured upright."
        ),
        "bike.leverage.ratio_start": (
            "The maker's leverage at the start of the travel and at its end, as '2.9 to 2.3'; "
            "nobody measures this at home without a table."
        ),
        "bike.tyre.gap_eye_to_eye_mm": (
            "At that same moment, bolt centre to bolt centre of the shock: a bumper often "
            "stops it 1 to 3 mm short."
        ),
        "bike.present_shock.part_number": (
            "The full part number on the shock's label, as it is written."
        ),
        "bike.present_shock.volume_spacers": (
            "Air out first, then unscrew the can's cap and count; a workshop does it in minutes."
        ),
        "bike.present_shock.spring_rate_n_per_mm": (
            "Stamped on the coil, often as '450 x 2.5': the first number is its rate in lbf/in."
        ),
        "bike.present_shock.condition": (
            "Good: holds air overnight, no oil on the shaft, no play. Broken: damping gone. "
            "Anything between, or a year since the last service: service due."
        ),
        "bike.present_shock.head_sleeve.width_mm": (
            "The old sleeve's width, bore and outside diameter with a caliper, as '30 x 8 x 12'."
        ),
        "bike.present_shock.shaft_sleeve.width_mm": (
            "The old sleeve's width, bore and outside diameter with a caliper, as '22.2 x 8 x 12'."
        ),
        "bike.present_shock.head_sleeve.condition": (
            "Worn: grooves, a rough turn, or play at the wheel."
        ),
        "bike.present_shock.shaft_sleeve.condition": (
            "Worn: grooves, a rough turn, or play at the wheel."
        ),
        "bike.room.measured": (
            "The rear end swings toward the shock: room that is measured extended only leaves the "
            "rest of the travel open."
        ),
        **{f"bike.room.{third}_{side}_mm": _ROOM for third in THIRDS for side in SIDES},
        "rider.taste": (
            "How the damping should feel: plush lets the wheel move freely, firm holds it."
        ),
        "rider.tools": "What is at hand decides which jobs need a workshop; none is an answer.",
        "wishes.travel_mm": "Rear wheel travel that would do, as '130 to 140'.",
        "wishes.sag_target_percent": (
            "Share of the shock's stroke that your weight should take; 25 to 35 is usual, 30 "
            "a good start."
        ),
        "wishes.budget": "The most that shock, hardware and work together may cost.",
        "wishes.days": "The most days until it rides again.",
        "wishes.adjusters": "What must be there, such as rebound; lockout.",
    }
)
"""What the rules do not read by that name, or is asked for in one go. From practice, no source."""
