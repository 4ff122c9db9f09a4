"""How to find out each fact that may be unknown: two sentences a fact, common practice."""

from collections.abc import Mapping
from types import MappingProxyType

from recommender.answer.measuring_parts import THIRDS, measuring_parts
from recommender.explain.unknowns import Unknown
from recommender.facts import words
from recommender.facts.tables import TABLES

_ENDS = {"head": "end that takes the shock's head", "shaft": "end that takes the shock's shaft"}


def how(unknown: Unknown) -> str:
    """How to find out a fact; '' for one that nobody can measure.

    A column without words of its own here is told by its description.
    """
    own = MEASURING.get(unknown.name)
    if own is not None or unknown.place not in TABLES:
        return own or ""
    field = TABLES[unknown.place][0].model_fields.get(unknown.fact)
    if field is None or not field.description:
        return ""
    return f"Look it up in the maker's papers, or ask the maker: {field.description}."


def _mounts() -> dict[str, str]:
    out: dict[str, str] = {}
    for end, place in _ENDS.items():
        out |= {
            f"bike_{end}_gap_mm": f"Take the shock out and measure between the inner faces of the "
            f"frame at the {place} with a caliper, to 0.1 mm. Measure at the top and at the bottom "
            "and take the smaller, without pressing the faces together.",
            f"bike_{end}_bolt_mm": f"Measure the smooth part of the bolt at the {place} with a "
            "caliper, to 0.1 mm. Do not measure across the thread.",
            f"bike_{end}_grip_mm": f"Measure how wide a sleeve the bolt at the {place} still "
            "clamps: the length under its head less both walls of the frame and the thread that "
            "must engage. The frame maker's drawing gives it as clamping length.",
            f"bike_{end}_carbon_lugs": f"Look whether the frame at the {place} is carbon or metal "
            "where the sleeve's faces bear: bare metal shines where it was scratched. The frame "
            "maker's sheet tells, or ask the maker.",
            f"bike_{end}_trunnion_width_mm": f"Measure between the faces that the trunnion head "
            f"sits between at the {place}, to 0.1 mm. Leave inserts or bearings in place while you "
            "measure.",
            f"bike_{end}_trunnion_thread": "Read the thread on the bolt or in the frame maker's "
            "sheet. A thread gauge tells the pitch, a caliper the outside diameter.",
            f"bike_{end}_bolt_protrusion_mm": "Put the bolt through the frame without the shock "
            "and measure how much thread stands out on the inside. Do it with every washer in "
            "place.",
        }
    return out


def _rooms() -> dict[str, str]:
    out: dict[str, str] = {}
    for third, where in THIRDS.items():
        for side in words.SIDES:
            out[f"bike_room_{third}_{side}_mm"] = (
                f"With the shock out, measure from the line between the two bolts {side} to the "
                f"nearest thing in the {where}, frame, link or yoke. Do it extended, at half "
                "travel and bottomed, and note the least."
            )
    return out


def _bike() -> dict[str, str]:
    return {
        "bike_mount": "Look at the end that takes the shock's head: one bolt through an eye is an "
        "eyelet, two bolts into its sides a trunnion. A fork-shaped yoke at the other end says "
        "nothing about it.",
        "bike_eyelet_axis": "Look along both bolts of the shock: they lie parallel, or crosswise "
        "at a right angle. What counts is how the frame holds the shaft end.",
        "bike_nominal_length_mm": "Read eye to eye length in the frame maker's sheet, or measure "
        "the fitted shock between bolt centres, fully extended and unloaded, to 0.5 mm. Let a "
        "second person read it again.",
        "bike_sizes": "Ask the frame maker which lengths and strokes are approved for this frame "
        "and year. A manual or the maker's own support page states them.",
        "bike_length_tolerance_mm": "Ask the frame maker how far a length may be off. Without an "
        "answer one millimetre is common practice.",
        "bike_linkage_stop_mm": "Ask the frame maker at which shock compression the linkage "
        "stops. Do not find out by force.",
        "bike_leverage": "With the spring out, lift the wheel in steps of 5 mm of shock "
        "compression and note the wheel's height at each, to 0.5 mm. Five or more lines make a "
        "table; start and end ratio from the frame maker do as well.",
        "bike_gap_compression_mm": "Measure the shock eye to eye at the very moment you measure "
        "the tyre's gap. A bumper often holds it one to three millimetres short.",
        "bike_tyre_gap_mm": "Let all air out (coil: spring off), compress the suspension fully and "
        "measure from tyre to the nearest part of the frame. Look at seat tube, brace, stays, "
        "mudguard and a dropped saddle.",
        "bike_tyre_closing": "Compress the suspension and note the gap at 10 mm before full "
        "compression and at full. The share is how much the gap shrank over how far the wheel "
        "moved.",
        "bike_tyre_bead_seat_mm": "Read the second number of the size on the tyre's side wall, "
        "such as 622 in 57-622. It is the diameter in millimetres.",
        "bike_tyre_width_mm": "Read the first number of the size on the tyre to be ridden, such as "
        "57 in 57-622. Measure the inflated tyre with a caliper where it matters.",
        "bike_tyre_measured_width_mm": "Measure the inflated tyre that was on the wheel when the "
        "gaps were taken. Leave it blank where it is the same tyre.",
        "bike_tyre_minimum_gap_mm": "Choose the gap you want to keep between tyre and frame at "
        "full compression. Six millimetres is a workshop's choice and no standard.",
        "bike_tyre_side_room_mm": "Measure the least clearance beside the tyre on each side, at "
        "stays and linkage alike. Turn the wheel once so that a wheel out of true is seen.",
        "bike_tyre_minimum_side_room_mm": "Choose the clearance to keep beside the tyre. Four "
        "millimetres is a workshop's choice and no standard.",
        "bike_room_minimum_air_mm": "Choose the clearance to keep around the shock's body. "
        "Three millimetres is a workshop's choice and no standard.",
        "bike_allows_air": "Look up in the frame's manual whether air shocks are allowed. Ask the "
        "frame maker where it is silent.",
        "bike_allows_coil": "Look up in the frame's manual whether coil shocks are allowed. Frames "
        "with a long yoke often forbid them; ask the maker where the manual is silent.",
        "bike_allows_end_for_end": "Look up in the frame's manual whether the shock may be "
        "mounted end for end. Silence is no permission.",
        "bike_allows_remote": "Look whether a cable can be led to the shock without a sharp bend, "
        "over the whole travel. The frame's manual shows the intended way.",
        "bike_limits_rider_mass_kg": "Look up the highest mass in the frame's manual. Note whether "
        "it means the rider, the rider with kit, or everything.",
        "bike_limits_rider_mass_basis": "Look up in the frame's manual what its highest mass is "
        "about: rider, rider with kit, or whole system. Ask the maker where the words are vague.",
        "bike_rear_sprung_mass_kg": "Estimate what of the bike rests on the rear suspension, or "
        "weigh the rear end with the wheel held by its axle. Five kilograms, or eight to ten with "
        "a motor, is a figure from memory.",
    }


def _rider() -> dict[str, str]:
    return {
        "rider_mass_with_kit_kg": "Stand on a scale as you ride: clothes, shoes, helmet, pack and "
        "water. To the kilogram is enough.",
        "rider_mass_kg": "Stand on a scale without clothes or kit. To the kilogram is enough.",
        "rider_bike_mass_kg": "Stand on a scale with the bike in your hands and take your own mass "
        "off. Leave on it what is on it when you ride.",
        "rider_rear_share": "Stand on the bike as you ride with the rear wheel on a scale and "
        "something as high under the front. Divide what it shows, less the bike's own part, by "
        "your mass with kit.",
        "rider_rebound_ratio": "Say whether you like the bike plush, neutral or firm. It sets the "
        "damping that is aimed at.",
        "rider_compression_ratio": "Say whether you like the bike plush, neutral or firm. It sets "
        "the damping that is aimed at.",
        "classes": "Ask the workshop which damping coefficients its tune classes cover. A "
        "dynamometer measures them.",
    }


MEASURING: Mapping[str, str] = MappingProxyType(
    _mounts() | _rooms() | _bike() | _rider() | measuring_parts()
)
"""Fact -> how to find it out. Facts of the question under their own names; those of parts after
'shock_', 'kit_', 'spring_' and 'tune_'."""
