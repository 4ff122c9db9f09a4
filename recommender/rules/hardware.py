"""Mounting hardware at each end: sleeve, bushing, bearing axle, and a trunnion head's bolts.

`shock_<end>_gap_mm` and its like are the frame's mount as this shock's end meets it. Tolerances
of width and bore are from memory.
"""

from typing import Any

import numpy as np

from recommender.facts import words
from recommender.rules.mounting import EYELET, TRUNNION, YES, verdict
from recommender.rules.registry import INAPPLICABLE, code, figure, rule

SLEEVE = code(words.KIT_KINDS, "sleeve")
AXLE = code(words.KIT_KINDS, "bearing axle")
BOLTS = code(words.KIT_KINDS, "trunnion bolts")
BEARING = code(words.EYES, "bearing")
NO_BUSHING = code(words.BUSHINGS, "none")
WIDTH_SLACK, WIDTH_SLACK_CARBON, WIDTH_EXCESS = 0.5, 0.3, 0.1
BORE_PLAY = 0.2
EYE_PLAY = 0.1
DIAMETER_PLAY = 0.05
THREAD_ENGAGED = 6.0


@figure()
def head_takes(shock_head_mount: Any, shock_head_eye: Any) -> Any:
    """Kind of kit the shock's head takes."""
    eye = np.where(shock_head_eye == BEARING, AXLE, SLEEVE)
    return np.where(shock_head_mount == TRUNNION, BOLTS, eye)


@figure()
def shaft_takes(shock_shaft_eye: Any) -> Any:
    return np.where(shock_shaft_eye == BEARING, AXLE, SLEEVE)


@figure()
def head_meets_lugs(head_takes: Any, head_joins: Any) -> Any:
    """An eye between the frame's lugs: what sleeve width and bore are about."""
    return (head_takes != BOLTS) & head_joins


@figure()
def shaft_meets_lugs(shock_reversed: Any, bike_mount: Any) -> Any:
    return (shock_reversed == 0) | (bike_mount == EYELET)


def _where_sleeved(meets: Any, made: Any, *margins: Any) -> Any:
    return tuple(np.where(meets & (made == 0), margin, INAPPLICABLE) for margin in margins)


@rule(
    "hardware kind", "limit", "", standing="part maker", categorical=True, each="end",
    says="the {end} end takes {end_takes}, this kit is {end_kit_kind}",
)  # fmt: skip
def hardware_kind(end_takes: Any, end_kit_kind: Any, end_kit_made: Any) -> Any:
    return np.where(end_kit_made == 1, INAPPLICABLE, verdict(end_takes == end_kit_kind))


@figure("mm", each="end")
def end_width_over_gap_mm(end_kit_width_mm: Any, shock_end_gap_mm: Any) -> Any:
    return end_kit_width_mm - shock_end_gap_mm


@rule(
    "hardware width", "limit", "mm", scale=0.1, standing="mem", each="end",
    says="at the {end} end the sleeve of {end_kit_width_mm} mm is {short} mm outside what a gap of "
    "{shock_end_gap_mm} mm takes",
    fix="a sleeve {shock_end_gap_mm} mm wide",
)  # fmt: skip
def hardware_width(
    end_width_over_gap_mm: Any, shock_end_carbon_lugs: Any, end_meets_lugs: Any, end_kit_made: Any
) -> Any:
    slack = np.where(shock_end_carbon_lugs == YES, WIDTH_SLACK_CARBON, WIDTH_SLACK)
    return _where_sleeved(
        end_meets_lugs, end_kit_made,
        end_width_over_gap_mm + slack, WIDTH_EXCESS - end_width_over_gap_mm,
    )  # fmt: skip


@rule(
    "hardware bore", "limit", "mm", scale=0.1, standing="mem", each="end",
    says="at the {end} end the bore of {end_kit_bore_mm} mm is {short} mm outside what a bolt of "
    "{shock_end_bolt_mm} mm takes",
    fix="a sleeve for a {shock_end_bolt_mm} mm bolt",
)  # fmt: skip
def hardware_bore(
    end_kit_bore_mm: Any, shock_end_bolt_mm: Any, end_meets_lugs: Any, end_kit_made: Any
) -> Any:
    play = end_kit_bore_mm - shock_end_bolt_mm
    return _where_sleeved(end_meets_lugs, end_kit_made, play, BORE_PLAY - play)


@rule(
    "bolt length", "limit", "mm", standing="part maker", each="end",
    says="at the {end} end the frame's bolt clamps {shock_end_grip_mm} mm, {short} mm less than "
    "the sleeve is wide",
    rises=("shock_end_grip_mm",), falls=("end_kit_width_mm",),
)  # fmt: skip
def bolt_length(
    shock_end_grip_mm: Any, end_kit_width_mm: Any, end_meets_lugs: Any, end_kit_made: Any
) -> Any:
    return _where_sleeved(end_meets_lugs, end_kit_made, shock_end_grip_mm - end_kit_width_mm)[0]


@rule(
    "eye against gap", "limit", "mm", scale=0.1, standing="part maker", each="end",
    says="the shock's {end} eye is {shock_end_eye_width_mm} mm wide, {short} mm more than the "
    "frame's gap of {shock_end_gap_mm} mm takes",
    rises=("shock_end_gap_mm",), falls=("shock_end_eye_width_mm",),
)  # fmt: skip
def eye_against_gap(
    shock_end_gap_mm: Any, shock_end_eye_width_mm: Any, end_meets_lugs: Any
) -> Any:
    room = shock_end_gap_mm + WIDTH_EXCESS - shock_end_eye_width_mm
    return np.where(end_meets_lugs, room, INAPPLICABLE)


@rule(
    "eye against sleeve", "limit", "mm", scale=0.1, standing="part maker", each="end",
    says="the shock's {end} eye is {shock_end_eye_width_mm} mm wide, {short} mm wider than the "
    "sleeve of {end_kit_width_mm} mm",
    fix="a sleeve at least {shock_end_eye_width_mm} mm wide",
    rises=("end_kit_width_mm",), falls=("shock_end_eye_width_mm",),
)  # fmt: skip
def eye_against_sleeve(
    end_kit_width_mm: Any, shock_end_eye_width_mm: Any, end_meets_lugs: Any, end_kit_made: Any
) -> Any:
    return _where_sleeved(
        end_meets_lugs, end_kit_made, end_kit_width_mm - shock_end_eye_width_mm
    )[0]


@rule(
    "bushing in the eye", "limit", "mm", scale=0.1, standing="part maker", each="end",
    says="the kit's bushing of {end_kit_bushing_diameter_mm} mm does not suit the {end} eye's bore "
    "of {shock_end_eye_bore_mm} mm",
    fix="a bushing for an eye of {shock_end_eye_bore_mm} mm",
)  # fmt: skip
def bushing_in_eye(
    end_kit_bushing_diameter_mm: Any,
    end_kit_bushing: Any,
    shock_end_eye_bore_mm: Any,
    end_takes: Any,
    end_kit_made: Any,
) -> Any:
    applies = (end_kit_bushing != NO_BUSHING) & (end_takes == SLEEVE)
    over = end_kit_bushing_diameter_mm - shock_end_eye_bore_mm
    return _where_sleeved(applies, end_kit_made, over + EYE_PLAY, EYE_PLAY - over)


@rule(
    "sleeve diameter", "limit", "mm", scale=0.1, standing="cp", each="end",
    says="at the {end} end the shock takes a sleeve of {shock_end_sleeve_diameter_mm} mm outside "
    "diameter, this one has {end_kit_sleeve_diameter_mm} mm",
    fix="a sleeve for a {shock_end_sleeve_diameter_mm} mm bushing",
)  # fmt: skip
def sleeve_diameter(
    end_kit_sleeve_diameter_mm: Any,
    end_kit_bushing: Any,
    shock_end_sleeve_diameter_mm: Any,
    end_takes: Any,
    end_kit_made: Any,
) -> Any:
    # A kit with its own bushing brings a matched pair; a bearing eye never takes a bushing.
    applies = (end_takes != BOLTS) & ((end_kit_bushing == NO_BUSHING) | (end_takes == AXLE))
    over = end_kit_sleeve_diameter_mm - shock_end_sleeve_diameter_mm
    return _where_sleeved(applies, end_kit_made, over + DIAMETER_PLAY, DIAMETER_PLAY - over)


@rule(
    "unworn sleeve", "limit", "", standing="cp", categorical=True, each="end",
    says="the sleeve on the bike is worn (or its condition is unknown) and would be reused",
    fix="a new sleeve",
)  # fmt: skip
def unworn_sleeve(end_kit_worn: Any) -> Any:
    return verdict(end_kit_worn == 0)


@rule(
    "hardware on offer", "offer", "", standing="catalogue", categorical=True, each="end",
    says="nobody in the catalogue sells the hardware the {end} end needs",
)  # fmt: skip
def hardware_on_offer(end_kit_made: Any) -> Any:
    return verdict(end_kit_made == 0)


@rule(
    "trunnion width", "limit", "mm", scale=0.1, standing="mem",
    says="the trunnion head of {shock_trunnion_width_mm} mm is {short} mm outside what the frame's "
    "{bike_head_trunnion_width_mm} mm takes",
)  # fmt: skip
def trunnion_width(
    shock_trunnion_width_mm: Any, bike_head_trunnion_width_mm: Any, head_takes: Any, head_joins: Any
) -> Any:
    over = shock_trunnion_width_mm - bike_head_trunnion_width_mm
    applies = (head_takes == BOLTS) & head_joins
    return tuple(
        np.where(applies, margin, INAPPLICABLE)
        for margin in (over + WIDTH_SLACK, WIDTH_EXCESS - over)
    )


@rule(
    "trunnion thread", "limit", "", standing="part maker", categorical=True,
    says="the bolts are {head_kit_thread}, the shock's head is threaded {shock_trunnion_thread}",
    fix="bolts threaded {shock_trunnion_thread}",
)  # fmt: skip
def trunnion_thread(
    head_kit_thread: Any, shock_trunnion_thread: Any, head_takes: Any, head_kit_made: Any
) -> Any:
    silent = (head_takes != BOLTS) | (head_kit_made == 1)
    return np.where(silent, INAPPLICABLE, verdict(head_kit_thread == shock_trunnion_thread))


@rule(
    "trunnion bolt depth", "limit", "mm", standing="mem",
    says="the bolts enter by {head_kit_protrusion_mm} mm; between 6 mm and the thread's "
    "{shock_trunnion_thread_depth_mm} mm is wanted, {short} mm are missing",
    fix="bolts that enter by 6 to {shock_trunnion_thread_depth_mm} mm",
)  # fmt: skip
def trunnion_bolt_depth(
    head_kit_protrusion_mm: Any,
    shock_trunnion_thread_depth_mm: Any,
    head_takes: Any,
    head_kit_made: Any,
) -> Any:
    applies = head_takes == BOLTS
    return _where_sleeved(
        applies, head_kit_made,
        shock_trunnion_thread_depth_mm - head_kit_protrusion_mm,
        head_kit_protrusion_mm - THREAD_ENGAGED,
    )  # fmt: skip
