"""What the invented makers' sheets leave out, and what was measured instead of read.

Doubt comes in lumps: most sheets are complete, some makers document poorly. About 8 % of the
secondary facts end up blank and 3 % of the measurable ones carry a tolerance.
"""

from invented.chance import Chance, Row, text

SECONDARY = (
    "mass_g", "head_eye_width_mm", "shaft_eye_width_mm", "trunnion_thread_depth_mm",
    "eyelet_turnable", "end_for_end", "body_head_up_mm", "body_head_left_mm", "body_middle_down_mm",
    "body_shaft_up_mm", "remote_lockout", "compression_class", "rebound_class", "lockout_class",
    "rider_mass_limit_kg", "negative_chamber_cm3", "equalise_at_mm", "pressure_min_psi",
    "pressure_max_psi", "volume_spacer_cm3", "volume_spacers_max", "collar_pitch_mm",
    "preload_turns_max", "spring_length_max_mm", "stock", "delivery_days",
)  # fmt: skip
"""Facts that a buyer may have to ask for; size, mount, kind and price are always stated."""

TOLERANCES = {
    "length_mm": 0.5, "head_eye_width_mm": 0.2, "shaft_eye_width_mm": 0.2,
    "trunnion_width_mm": 0.2, "trunnion_thread_depth_mm": 0.5, "body_head_up_mm": 1.0,
    "body_middle_down_mm": 1.0, "mass_g": 10.0,
}  # fmt: skip
"""Measurable facts and what a caliper, tape or kitchen scale is good for [mem]."""

POORLY_DOCUMENTED, LEFT_OUT = 0.36, 0.19
MEASURED_BY_HAND, MEASURED = 0.14, 0.14
OFFSETS = (-0.6, -0.2, 0.0, 0.2, 0.6)  # of the tolerance: a reading is seldom the nominal figure


def leave_out(row: Row) -> None:
    """Blanks and measures cells of one shock, in place."""
    chance = Chance("blank", str(row["part_number"]))
    if chance.happens(POORLY_DOCUMENTED):
        for name in SECONDARY:
            if name in row and chance.happens(LEFT_OUT):
                row[name] = ""
    if chance.happens(MEASURED_BY_HAND):
        for name, tolerance in TOLERANCES.items():
            value = row.get(name, "")
            if not isinstance(value, str) and chance.happens(MEASURED):
                read = round(value + tolerance * chance.pick(OFFSETS), 1)
                row[name] = f"{text(read)} +/- {text(tolerance)}"
