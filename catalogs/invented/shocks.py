"""shocks.csv: the models over their sizes, and a few rows that are different on purpose."""

from invented import chambers
from invented.blanks import leave_out
from invented.chance import SOURCE, Cell, Chance, Row, text
from invented.models import MODELS, Model, Size

SUPPLIERS = {"Ostlin Pryce Wholesale": 5.0, "Skarrowdale Workshop": 3.0, "Kettlebarrow Parts": 2.0}
TRUNNION_WIDTH = 54.0  # mm [mem]
STOCKS: tuple[Cell, ...] = ("", 0, 1, 1, 2, 2, 3, 4, 6)
SETTING_STEP = 2.5  # mm, the usual step of internal spacers [cp]


def rows() -> list[Row]:
    out: list[Row] = []
    for model in MODELS:
        out += [_row(model, size, "eyelet") for size in model.eyelet]
        out += [_row(model, size, "trunnion") for size in model.trunnion]
    ordinary = {str(row["part_number"]): row for row in out}
    special = _special(ordinary)
    for row in out:
        leave_out(row)
    return out + special


def _row(model: Model, size: Size, mount: str) -> Row:
    length, stroke = size
    mark = "T" if mount == "trunnion" else ""
    number = f"{model.code}-{mark}{length:g}x{stroke:g}"
    chance = Chance("shock", number)
    row: Row = {
        "part_number": number, "maker": model.maker, "model": model.name,
        "spring_kind": "coil" if model.coil else "air", "head_mount": mount,
        "length_mm": length, "stroke_mm": stroke,
    }  # fmt: skip
    if model.settings:
        strokes = [stroke - SETTING_STEP * step for step in (3, 2, 1, 0)]
        row["stroke_settings_mm"] = ";".join(text(one) for one in strokes)
    longer = min(1.0, max(0.0, (stroke - 37.5) / 37.5))
    row["mass_g"] = round(_within(model.mass, longer, chance) / 5) * 5
    row |= _mounts(model, mount, chance)
    row |= _body(model, chance)
    row |= _adjusters(model, chance)
    row |= _coil(stroke, chance) if model.coil else _air(model, stroke, chance)
    row["price"] = round(_within(model.price, longer, chance) / 5) * 5
    row["supplier"] = chance.weighed(SUPPLIERS)
    row["stock"] = chance.pick(STOCKS)
    row["delivery_days"] = chance.between(2, 12, 1) if row["stock"] != 0 else 21
    row["source"] = SOURCE
    return row


def _within(limits: tuple[int, int], share: float, chance: Chance) -> float:
    low, high = limits
    return low + (high - low) * (0.7 * share + 0.3 * chance.between(0, 1, 0.05))


def _eye(end: str, kind: str, bore: float, sleeve: float, chance: Chance) -> Row:
    return {
        f"{end}_eye": kind,
        f"{end}_eye_width_mm": chance.pick((12.7, 13.0, 14.0, 15.0)),
        f"{end}_eye_bore_mm": bore,
        f"{end}_sleeve_diameter_mm": sleeve,
    }


def _mounts(model: Model, mount: str, chance: Chance) -> Row:
    row: Row = {}
    if mount == "eyelet":
        row |= _eye("head", "bushing", model.eye_bore, model.sleeve, chance)
    shaft = ("bearing", 24.0, 15.0) if model.bearing else ("bushing", model.eye_bore, model.sleeve)
    row |= _eye("shaft", *shaft, chance)
    if mount == "trunnion":
        row["trunnion_width_mm"] = TRUNNION_WIDTH
        row["trunnion_thread"] = "m10x1"
        row["trunnion_thread_depth_mm"] = chance.pick((10.0, 11.0, 11.0, 12.0))
    row["eyelet_axis"] = "crosswise" if model.crosswise else "parallel"
    row["eyelet_turnable"] = chance.weighed({"no": 5.0, "yes": 4.0, "": 1.0})
    row["end_for_end"] = (
        "no" if mount == "trunnion" else chance.weighed({"no": 7.0, "yes": 1.5, "": 1.5})
    )
    return row


def _body(model: Model, chance: Chance) -> Row:
    """Radii from the shock's axis in mm: a can of 24 to 30, a coil body of 20 to 24 [mem]."""
    can = chance.between(20, 24, 0.5) if model.coil else chance.between(24, 30, 0.5)
    shaft = chance.between(18, 22, 0.5)
    row: Row = {}
    for third, radius in (("head", can), ("middle", can), ("shaft", shaft)):
        for side in ("up", "down", "left", "right"):
            row[f"body_{third}_{side}_mm"] = radius
    if model.reservoir:
        side = chance.weighed({"up": 8.0, "right": 1.0, "left": 1.0})
        row[f"body_head_{side}_mm"] = chance.between(42, 55, 1)
    else:
        row["body_head_up_mm"] = can + chance.between(3, 8, 1)  # valve and lever
    return row


def _adjusters(model: Model, chance: Chance) -> Row:
    remote = model.remote and chance.happens(0.5)
    row: Row = {
        "rebound_adjuster": "yes",
        "low_speed_compression_adjuster": "yes" if model.low_speed else "no",
        "high_speed_compression_adjuster": "yes" if model.high_speed else "no",
        "lockout_lever": "yes" if model.lever and not remote else "no",
        "remote_lockout": "yes" if remote else "no",
        "damper": model.damper,
        "compression_class": chance.weighed(model.tunes),
        "rebound_class": chance.weighed(model.tunes),
        "lockout_class": "none",
        "rider_mass_limit_kg": model.mass_limit, "rider_mass_limit_basis": "rider with kit",
    }
    if model.lever or remote:
        row["lockout_class"] = chance.weighed({"light": 2.0, "medium": 4.0, "firm": 4.0})
    return row


def _air(model: Model, stroke: float, chance: Chance) -> Row:
    psi_min, psi_max = model.psi
    got = chambers.draw(chance, stroke, psi_min, psi_max)
    spacer = chance.pick((5.0, 6.0, 8.0, 10.0))
    return {
        "piston_area_mm2": got.area,
        "chamber_cm3": got.volume / 1000,
        "negative_area_mm2": got.negative_area,
        "negative_chamber_cm3": got.negative_volume / 1000,
        "equalise_at_mm": got.equalise_at,
        "pressure_min_psi": psi_min,
        "pressure_max_psi": psi_max,
        "volume_spacer_cm3": spacer,
        "volume_spacers_max": got.most_spacers(stroke, spacer * 1000),
        "volume_spacer_price": chance.between(4, 12, 1),
    }


def _coil(stroke: float, chance: Chance) -> Row:
    """The collar reaches the springs of the stroke's own class, on some also the shorter ones.

    On those a spring that the collar takes can still bind: its travel is less than the stroke.
    """
    seat, low, high = 35.6, 104, 116
    if stroke > 52.5:
        seat, low, high = chance.pick((35.6, 38.2)), chance.pick((106, 122)), 134
    if stroke > 65.5:
        seat, low, high = 38.2, chance.pick((124, 140)), 152
    return {
        "spring_seat_mm": seat, "spring_length_min_mm": low, "spring_length_max_mm": high,
        "collar_pitch_mm": chance.pick((1.0, 1.25, 1.5)),
        "preload_turns_min": chance.pick((0.5, 0.5, 1.0)),
        "preload_turns_max": chance.pick((2.0, 2.5, 3.0)),
    }  # fmt: skip


def _special(ordinary: dict[str, Row]) -> list[Row]:
    """Rows that show one thing each; they carry no blanks but the stated ones."""

    def like(number: str, name: str, **changes: str | float) -> Row:
        return {**ordinary[number], "part_number": name, **changes}

    firm = {"compression_class": "firm", "rebound_class": "firm"}
    return [
        # Delivered too firm for a usual bike; a revalve of this family is on offer.
        like("TR-210x50", "TR-210x50-F", price=430, stock=2, delivery_days=3, **firm),
        like("TR-230x60", "TR-230x60-F", price=450, stock=1, delivery_days=3, **firm),
        like("TR-T185x55", "TR-T185x55-F", price=440, stock=2, delivery_days=3, **firm),
        # A crosswise shaft eye that may be turned, may not, and of which the manual is silent.
        like("YP-210x50", "YP-210x50-K", eyelet_turnable="yes", stock=3, compression_class="medium",
             rebound_class="medium"),
        like("YP-210x50", "YP-210x50-L", eyelet_turnable="no", stock=2, compression_class="medium",
             rebound_class="medium"),
        like("YP-210x50", "YP-210x50-M", eyelet_turnable="", stock=2, compression_class="medium",
             rebound_class="medium"),
        # An eye for 12.0 mm sleeves and an odd bushing: nobody sells either at 30 x 8.
        like("YP-210x50", "YP-210x50-S", eyelet_axis="parallel", head_eye_bore_mm=14.0,
             head_sleeve_diameter_mm=12.0, shaft_eye_bore_mm=14.0, shaft_sleeve_diameter_mm=12.0,
             compression_class="medium", rebound_class="medium", price=340, stock=4),
        # Measured on a dynamometer, not only told as a class.
        like("OA-230x65", "OA-230x65-D", rebound_low_n_s_per_m=2100, rebound_high_n_s_per_m=6900,
             compression_low_n_s_per_m=900, compression_high_n_s_per_m=3100, stock=1, price=895),
        like("SN-210x52.5", "SN-210x52.5-D", rebound_low_n_s_per_m=2300,
             rebound_high_n_s_per_m=5600, compression_low_n_s_per_m=1200,
             compression_high_n_s_per_m=2500, stock=2, price=465),
        # Used: measured with a caliper and a tape, little else known.
        like("VT-210x50", "VT-210x50-U", length_mm="209.6 +/- 0.5",
             head_eye_width_mm="13.1 +/- 0.2", shaft_eye_width_mm="13 +/- 0.2",
             mass_g="472 +/- 5", price=290, stock=1, eyelet_turnable="",
             end_for_end="", rider_mass_limit_kg="", delivery_days=1,
             body_head_up_mm="48 +/- 2", body_head_left_mm=27, body_head_right_mm=27),
        like("UV-215.9x63.5", "UV-215.9x63.5-U", length_mm="215.9 +/- 0.5", mass_g="430 +/- 10",
             price=255, stock=1, negative_chamber_cm3="", equalise_at_mm="", delivery_days=1),
        like("MB-222.3x69.9", "MB-222.3x69.9-U", length_mm="221.7 +/- 0.5",
             stroke_mm="70 +/- 0.5", price=250, stock=1, preload_turns_max="", delivery_days=1),
    ]  # fmt: skip
