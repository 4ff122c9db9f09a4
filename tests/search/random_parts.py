"""Random parts and bikes that plausibly suit one another: invented figures, mostly sound ones."""

import random
from typing import Any

from tests.catalogue import build

SIZES = ((210.0, 50.0), (210.0, 55.0), (200.0, 51.0), (216.0, 63.0))
TUNE_CLASSES = (
    build.tune_class("light", 1500, 3600, compression_high_n_s_per_m=1900),
    build.tune_class("medium", 2200, 5700, compression_high_n_s_per_m=2600),
    build.tune_class("firm", 3600, 7500, compression_high_n_s_per_m=3600),
)
SUPPLIERS = ("Barn Lane Parts", "Quay Spares")


def mostly(rng: random.Random, usual: Any, *others: Any) -> Any:
    """The value that suits, or now and then another."""
    return usual if rng.random() < 0.93 else rng.choice(others)


def bike(rng: random.Random, trunnion: bool, gaps: Any, bolts: Any, sizes: Any) -> dict[str, Any]:
    room = {f"{t}_{s}_mm": rng.choice((40, 60)) for t in ("head", "middle", "shaft")
            for s in ("up", "down", "left", "right")}  # fmt: skip
    bike: dict[str, Any] = {
        "mount": "trunnion" if trunnion else "eyelet",
        "head": {"gap_mm": gaps[0], "bolt_mm": bolts[0], "carbon_lugs": rng.choice(("no", "yes"))},
        "shaft": {"gap_mm": gaps[1], "bolt_mm": bolts[1], "carbon_lugs": "no"},
        "eyelet_axis": mostly(rng, "parallel", "crosswise"),
        "sizes": [{"length_mm": a, "stroke_ceiling_mm": b} for a, b in dict(sizes).items()],
        "leverage": leverage(rng),
        "tyre": {
            "bead_seat_mm": 622, "width_mm": mostly(rng, 58, 61), "measured_width_mm": 58,
            "gap_mm": mostly(rng, 20, 9, 14), "closing": rng.choice((0.6, 1.0)),
            "gap_eye_to_eye_mm": sizes[0][0] - sizes[0][1] + rng.choice((0, 1, 3)),
            "side_room_mm": mostly(rng, 8, 5),
        },
        "room": room | {"measured": "whole travel"},
        "allows": {
            "coil": mostly(rng, "yes", "no"), "remote": rng.choice(("yes", "no")),
            "end_for_end": rng.choice(("no", "no", "yes")),
        },
    }  # fmt: skip
    if trunnion:
        bike["head"] |= {
            "trunnion_width_mm": 54, "trunnion_thread": "m10x1", "bolt_protrusion_mm": 9,
        }  # fmt: skip
    if rng.random() < 0.3:
        bike["limits"] = {
            "rider_mass_kg": mostly(rng, 120, 85, 95),
            "rider_mass_basis": rng.choice(("rider", "rider with kit", "whole system")),
        }
    if rng.random() < 0.3:
        bike["linkage_stop_mm"] = mostly(rng, 65, 51)
    if rng.random() < 0.2:
        bike["head"]["grip_mm"] = rng.choice((22.0, 40.0))
    return bike


def leverage(rng: random.Random) -> dict[str, Any]:
    level = rng.choice(("travel", "ratios", "table", "nothing"))
    if level == "nothing" and rng.random() < 0.7:
        level = "ratios"
    if level == "travel":
        return {"stroke_mm": 50, "travel_mm": 130}
    if level == "ratios":
        return {"stroke_mm": 50, "ratio_start": 2.86, "ratio_end": rng.choice((2.34, 2.6))}
    if level == "table":
        x = [0, 10, 20, 30, 40, 50]
        z = [round((2.86 - 0.0052 * at) * at * 2) / 2 for at in x]
        lines = [{"compression_mm": a, "wheel_travel_mm": b} for a, b in zip(x, z, strict=True)]
        return {"stroke_mm": 50, "table": lines, "reading_error_mm": 0.5}
    return {}


def shock(rng: random.Random, key: str, trunnion: bool, sizes: Any) -> dict[str, Any]:
    make = build.coil_shock if rng.random() < 0.35 else build.shock
    length, stroke = rng.choice(mostly(rng, sizes, SIZES))
    facts: dict[str, Any] = {
        "length_mm": length + mostly(rng, 0, 0.7, -1.5),
        "stroke_mm": stroke,
        "stroke_settings_mm": rng.choice(("", "", "47.5;50")),
        "price": rng.choice((300, 420, 560)),
        "currency": rng.choice(("EUR", "EUR", "CHF")),
        "supplier": rng.choice((*SUPPLIERS, "")),
        "stock": mostly(rng, None, 3, 0),
        "delivery_days": rng.choice((0, 3, 9)),
        "body_head_up_mm": mostly(rng, 30, 34, 55),
        "body_middle_down_mm": mostly(rng, 24, 38),
        "eyelet_axis": mostly(rng, "parallel", "crosswise"),
        "eyelet_turnable": rng.choice(("yes", "no")),
        "end_for_end": rng.choice(("no", "no", "yes")),
        "rebound_class": mostly(rng, "medium", "light", "firm"),
        "compression_class": mostly(rng, "medium", "light"),
        "damper": rng.choice(("D1", "D2", "")),
        "remote_lockout": mostly(rng, "no", "yes"),
        "volume_spacers_max": rng.choice((0, 1, 2)),
        "pressure_max_psi": mostly(rng, 300, 150, 170),
        "rider_mass_limit_kg": mostly(rng, 130, None, 78),
        "rider_mass_limit_basis": mostly(rng, "rider with kit", "rider", "whole system"),
    }
    if rng.random() < 0.08:
        facts |= {"head_eye": "bearing", "shaft_eye": "bearing"}
    if trunnion != (rng.random() < 0.05):
        facts |= {
            "head_mount": "trunnion", "head_eye": None, "head_eye_width_mm": None,
            "head_eye_bore_mm": None, "head_sleeve_diameter_mm": None, "trunnion_width_mm": 54,
            "trunnion_thread": rng.choice(("m10x1", "m10x1.5")), "trunnion_thread_depth_mm": 10,
        }  # fmt: skip
    if rng.random() < 0.2:
        facts |= {"rebound_low_n_s_per_m": 2000, "rebound_high_n_s_per_m": 4500}
    made = make(key, **facts)
    if make is build.coil_shock:
        made |= dict.fromkeys(("volume_spacers_max", "pressure_max_psi"))
    return made


def present(
    rng: random.Random, trunnion: bool, gaps: Any, bolts: Any, sizes: Any
) -> dict[str, Any]:
    def sleeve(gap: float, bolt: float) -> dict[str, Any]:
        return {
            "width_mm": gap, "bore_mm": bolt, "diameter_mm": rng.choice((12.7, 12.7, 15.0)),
            "condition": rng.choice(("good", "good", "worn")), "mass_g": 30,
        }  # fmt: skip

    old = shock(rng, "OLD", trunnion, sizes)
    now = {
        "head_sleeve": sleeve(gaps[0], bolts[0]), "shaft_sleeve": sleeve(gaps[1], bolts[1]),
        "condition": rng.choice(("good", "service due", "broken")),
    }  # fmt: skip
    if old["spring_kind"] == "air":
        now["volume_spacers"] = rng.choice((0, 1))
    else:
        now |= {"spring_rate_n_per_mm": rng.choice((88, 95)), "spring_mass_g": 420}
        if now["spring_rate_n_per_mm"] == 95:
            now["spring_outer_diameter_mm"] = 62
    if rng.random() < 0.3:
        if now["condition"] == "good":
            # Of that number, with facts of its own.
            own = {name: old[name] for name in ("compression_class", "mass_g", "eyelet_axis")}
            now |= {"facts": own | {"rebound_class": None}, "own_tune": "yes"}
        return now | {"part_number": "S0"}
    if rng.random() < 0.15:
        return now
    facts = {name: cell for name, cell in old.items() if cell is not None}
    return now | {"facts": facts}


def kit(
    rng: random.Random, key: str, end: int, trunnion: bool, gaps: Any, bolts: Any
) -> dict[str, Any]:
    facts = {
        "width_mm": gaps[end] + mostly(rng, 0, -0.3, -0.4, 0.5),
        "bore_mm": bolts[end] + mostly(rng, 0, 0.2, -0.1),
        "price": rng.choice((10, 20, 45)), "supplier": rng.choice((*SUPPLIERS, "")),
        "bushing": rng.choice(("push-fit polymer", "pressed metal-backed", "none")),
        "stock": mostly(rng, None, 1, 2), "delivery_days": rng.choice((1, 6)),
        "mass_g": rng.choice((20, 60)), "bushing_diameter_mm": mostly(rng, 15, 16),
    }  # fmt: skip
    roll = rng.random()
    if roll < 0.05:
        facts["kind"] = "bearing axle"
    elif trunnion and end == 0 and roll < 0.95:
        facts |= {"kind": "trunnion bolts", "thread": "m10x1", "protrusion_mm": rng.choice((8, 12)),
                  "bushing": "none"}  # fmt: skip
    return build.kit(key, **facts)


def service(rng: random.Random, key: str) -> dict[str, Any]:
    words = ("light", "medium", "firm")
    return build.service(
        key, damper=rng.choice(("D1", "D2")), rebound_class=rng.choice(words),
        compression_class=rng.choice(words), lockout_class=rng.choice(("none", *words)),
        price=rng.choice((90, 150)), work_days=rng.choice((2, 8)),
        supplier=rng.choice((*SUPPLIERS, "")),
    )  # fmt: skip


def spring(rng: random.Random, key: str) -> dict[str, Any]:
    return build.spring(
        key, rate_n_per_mm=rng.choice((84, 88, 92, 96)),
        inner_diameter_mm=mostly(rng, 36.4, 36, 35.6),
        free_length_mm=mostly(rng, 130, 155), usable_travel_mm=mostly(rng, 70, 52),
        outer_diameter_mm=mostly(rng, 58, 72), price=rng.choice((35, 80)),
        stock=rng.choice((None, 1)), supplier=rng.choice((*SUPPLIERS, "")),
    )  # fmt: skip


def job(rng: random.Random, name: str) -> dict[str, Any]:
    return {
        "job": name, "place": rng.choice(("home", "workshop")),
        "tools": rng.choice(("", "hex keys", "hex keys;bushing press")), "minutes": 30,
        "price": rng.choice((0, 15, 25)), "currency": "EUR", "work_days": rng.choice((0, 0, 2)),
    }  # fmt: skip
