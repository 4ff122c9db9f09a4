"""Random small questions: a bike, a rider, wishes and a catalogue of a few parts.

Every case starts from parts that plausibly suit one another, so that all three states come up;
*twists* then blank cells, give them a tolerance or put another value in. Hypothesis shrinks a case
by dropping twists.
"""

import random
from dataclasses import dataclass, field, replace
from typing import Any

from hypothesis import strategies as st

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts.parts import JOBS
from tests.catalogue import build
from tests.search import tables

SIZES = ((210.0, 50.0), (210.0, 55.0), (200.0, 51.0), (216.0, 63.0))
TUNE_CLASSES = (
    build.tune_class("light", 1500, 3600, compression_high_n_s_per_m=1900),
    build.tune_class("medium", 2200, 5700, compression_high_n_s_per_m=2600),
    build.tune_class("firm", 3600, 7500, compression_high_n_s_per_m=3600),
)
SUPPLIERS = ("Barn Lane Parts", "Quay Spares")
CELLS = {
    "shocks": (
        "length_mm", "stroke_mm", "mass_g", "price", "head_eye_width_mm", "head_eye_bore_mm",
        "head_sleeve_diameter_mm", "shaft_eye_width_mm", "shaft_sleeve_diameter_mm",
        "body_head_up_mm", "body_middle_down_mm", "body_shaft_left_mm", "rider_mass_limit_kg",
        "pressure_min_psi", "pressure_max_psi", "chamber_cm3", "piston_area_mm2",
        "negative_chamber_cm3", "negative_area_mm2", "equalise_at_mm",
        "volume_spacer_cm3", "volume_spacers_max", "volume_spacer_price", "spring_seat_mm",
        "spring_length_min_mm", "collar_pitch_mm", "preload_turns_max", "delivery_days",
        "rebound_low_n_s_per_m", "compression_high_n_s_per_m", "trunnion_width_mm",
        "trunnion_thread_depth_mm", "spring_kind", "head_mount", "head_eye", "shaft_eye",
        "eyelet_axis", "eyelet_turnable", "end_for_end", "rebound_class", "compression_class",
        "lockout_class", "remote_lockout", "lockout_lever", "trunnion_thread",
    ),
    "kits": (
        "width_mm", "bore_mm", "sleeve_diameter_mm", "bushing_diameter_mm", "mass_g", "price",
        "delivery_days", "kind", "bushing", "thread", "protrusion_mm",
    ),
    "services": (
        "price", "work_days", "delivery_days", "rebound_class", "compression_class",
        "lockout_class",
    ),
    "springs": (
        "rate_n_per_mm", "inner_diameter_mm", "outer_diameter_mm", "free_length_mm",
        "usable_travel_mm", "mass_g", "price", "delivery_days",
    ),
    "tune_classes": ("rebound_low_n_s_per_m", "compression_high_n_s_per_m"),
    "tastes": ("rebound_ratio",),
}  # fmt: skip
BIKE_CELLS = (
    "mount", "eyelet_axis", "head.gap_mm", "head.bolt_mm", "head.grip_mm", "head.carbon_lugs",
    "shaft.gap_mm", "shaft.bolt_mm", "shaft.carbon_lugs", "head.trunnion_width_mm",
    "head.trunnion_thread", "head.bolt_protrusion_mm", "length_tolerance_mm", "linkage_stop_mm",
    "tyre.gap_mm", "tyre.width_mm", "tyre.measured_width_mm", "tyre.closing",
    "tyre.gap_eye_to_eye_mm", "tyre.side_room_mm", "tyre.minimum_gap_mm", "room.head_up_mm",
    "room.middle_down_mm", "room.shaft_left_mm", "room.minimum_air_mm", "allows.coil",
    "allows.end_for_end", "allows.remote", "limits.rider_mass_kg", "limits.rider_mass_basis",
    "rear_sprung_mass_kg", "leverage.stroke_mm", "leverage.travel_mm",
    "present_shock.condition", "present_shock.volume_spacers",
    "present_shock.spring_rate_n_per_mm", "present_shock.head_sleeve.condition",
    "present_shock.head_sleeve.width_mm", "present_shock.shaft_sleeve.diameter_mm",
)  # fmt: skip
RIDER_CELLS = ("mass_with_kit_kg", "mass_kg", "bike_mass_kg", "rear_share", "taste")


@dataclass(frozen=True)
class Case:
    """Raw values of a question and a catalogue."""

    bike: dict[str, Any]
    rider: dict[str, Any]
    wishes: dict[str, Any]
    tables: dict[str, list[dict[str, Any]]]
    twists: tuple[Any, ...] = field(default=())

    def open(self) -> tuple[Question, Catalogue]:
        return tables.question(self.bike, self.rider, self.wishes), tables.catalogue(**self.tables)


@st.composite
def cases(draw: st.DrawFn, loose: int = 4) -> Case:
    """A small case with at most `loose` cells that are blank or have a tolerance; 0: all exact."""
    case = base(random.Random(draw(st.integers(0, 2**32 - 1))))
    where = st.sampled_from([
        *((name, cell) for name, cells in CELLS.items() for cell in cells),
        *(("bike", cell) for cell in BIKE_CELLS), *(("rider", cell) for cell in RIDER_CELLS),
    ])  # fmt: skip
    twist = st.tuples(where, st.integers(0, 7), st.sampled_from(("blank", "measured")),
                      st.sampled_from((0.05, 0.4, 2.0)))  # fmt: skip
    twists = draw(st.lists(twist, max_size=loose)) if loose else []
    for (name, cell), row, how, tolerance in twists:
        case = twisted(case, name, cell, row, how, tolerance)
    return replace(case, twists=tuple(twists))


def twisted(case: Case, name: str, cell: str, row: int, how: str, tolerance: float) -> Case:
    """The case with one cell made loose; a twist that has nothing to take hold of does nothing."""
    if name in case.tables:
        rows = [dict(one) for one in case.tables[name]]
        if not rows:
            return case
        one = rows[row % len(rows)]
        one[cell] = _loosened(one.get(cell), how, tolerance)
        return replace(case, tables={**case.tables, name: rows})
    top = {"bike": case.bike, "rider": case.rider}[name]
    return replace(case, **{name: _put(top, cell.split("."), how, tolerance)})


def _put(inner: dict[str, Any], path: list[str], how: str, tolerance: float) -> dict[str, Any]:
    first, *rest = path
    if rest:
        if not isinstance(inner.get(first), dict):
            return inner
        return {**inner, first: _put(inner[first], rest, how, tolerance)}
    if first not in inner:
        return inner
    return {**inner, first: _loosened(inner[first], how, tolerance)}


def _loosened(cell: Any, how: str, tolerance: float) -> Any:
    if cell is None or isinstance(cell, str):
        return None
    if how == "blank":
        # The reader's word for a blank that no default may fill.
        return "unknown"
    # A share of small figures, so that a tolerance never leaves the field's bounds by much.
    return f"{cell} +/- {round(min(tolerance, abs(cell) / 4), 6)}"


def _mostly(rng: random.Random, usual: Any, *others: Any) -> Any:
    """The value that suits, or now and then another."""
    return usual if rng.random() < 0.93 else rng.choice(others)


def base(rng: random.Random) -> Case:
    """An exact case."""
    trunnion = rng.random() < 0.2
    gaps = rng.choice((22.0, 30.0)), rng.choice((22.0, 30.0))
    bolts = rng.choice((8.0, 10.0)), 8.0
    sizes = [rng.choice(SIZES[:2])] + ([rng.choice(SIZES)] if rng.random() < 0.3 else [])
    bike = _bike(rng, trunnion, gaps, bolts, sizes)
    shocks = [_shock(rng, f"S{k}", trunnion, sizes) for k in range(rng.randint(1, 2))]
    if rng.random() < 0.35:
        bike["present_shock"] = _present(rng, trunnion, gaps, bolts, sizes)
    rider: dict[str, Any] = {
        "mass_with_kit_kg": rng.choice((62, 75, 80, 95, "70 to 90")),
        "taste": rng.choice(("plush", "neutral", "firm")),
        "tools": rng.choice((["hex keys", "torque wrench", "shock pump"], [])),
    }
    if rng.random() < 0.3:
        rider |= {"mass_kg": 48, "bike_mass_kg": 15}
    made = {
        "shocks": shocks,
        "kits": [
            _kit(rng, f"K{k}", k % 2, trunnion, gaps, bolts) for k in range(rng.choice((2, 3, 3, 4)) if rng.random() < 0.9 else 0)
        ],
        "services": [_service(rng, f"R{k}") for k in range(rng.randint(0, 2))],
        "springs": [_spring(rng, f"C{k}") for k in range(rng.randint(0, 3))],
        "tune_classes": [dict(one) for one in TUNE_CLASSES],
        "tastes": list(build.TASTES),
        "jobs": [_job(rng, job) for job in JOBS],
        "suppliers": [
            {"supplier": name, "order_minimum": _mostly(rng, 0, 30, 60), "currency": "EUR"}
            for name in SUPPLIERS
        ],
    }
    if len(made["kits"]) > 1 and rng.random() < 0.1:
        made["kits"][0]["pairs_with"] = rng.choice(("K1", "K0"))
    return Case(bike, rider, _wishes(rng), made)


def _bike(rng: random.Random, trunnion: bool, gaps: Any, bolts: Any, sizes: Any) -> dict[str, Any]:
    room = {f"{t}_{s}_mm": rng.choice((40, 60)) for t in ("head", "middle", "shaft")
            for s in ("up", "down", "left", "right")}  # fmt: skip
    bike: dict[str, Any] = {
        "mount": "trunnion" if trunnion else "eyelet",
        "head": {"gap_mm": gaps[0], "bolt_mm": bolts[0], "carbon_lugs": rng.choice(("no", "yes"))},
        "shaft": {"gap_mm": gaps[1], "bolt_mm": bolts[1], "carbon_lugs": "no"},
        "eyelet_axis": _mostly(rng, "parallel", "crosswise"),
        "sizes": [{"length_mm": a, "stroke_ceiling_mm": b} for a, b in dict(sizes).items()],
        "leverage": _leverage(rng),
        "tyre": {
            "bead_seat_mm": 622, "width_mm": _mostly(rng, 58, 61), "measured_width_mm": 58,
            "gap_mm": _mostly(rng, 20, 9, 14), "closing": rng.choice((0.6, 1.0)),
            "gap_eye_to_eye_mm": sizes[0][0] - sizes[0][1] + rng.choice((0, 1, 3)),
            "side_room_mm": _mostly(rng, 8, 5),
        },
        "room": room | {"measured": "whole travel"},
        "allows": {
            "coil": _mostly(rng, "yes", "no"), "remote": rng.choice(("yes", "no")),
            "end_for_end": rng.choice(("no", "no", "yes")),
        },
    }  # fmt: skip
    if trunnion:
        bike["head"] |= {
            "trunnion_width_mm": 54, "trunnion_thread": "m10x1", "bolt_protrusion_mm": 9,
        }  # fmt: skip
    if rng.random() < 0.3:
        bike["limits"] = {
            "rider_mass_kg": _mostly(rng, 120, 85, 95),
            "rider_mass_basis": rng.choice(("rider", "rider with kit", "whole system")),
        }
    if rng.random() < 0.3:
        bike["linkage_stop_mm"] = _mostly(rng, 65, 51)
    if rng.random() < 0.2:
        bike["head"]["grip_mm"] = rng.choice((22.0, 40.0))
    return bike


def _leverage(rng: random.Random) -> dict[str, Any]:
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


def _shock(rng: random.Random, key: str, trunnion: bool, sizes: Any) -> dict[str, Any]:
    make = build.coil_shock if rng.random() < 0.35 else build.shock
    length, stroke = rng.choice(_mostly(rng, sizes, SIZES))
    facts: dict[str, Any] = {
        "length_mm": length + _mostly(rng, 0, 0.7, -1.5),
        "stroke_mm": stroke,
        "stroke_settings_mm": rng.choice(("", "", "47.5;50")),
        "price": rng.choice((300, 420, 560)),
        "currency": rng.choice(("EUR", "EUR", "CHF")),
        "supplier": rng.choice((*SUPPLIERS, "")),
        "stock": _mostly(rng, None, 3, 0),
        "delivery_days": rng.choice((0, 3, 9)),
        "body_head_up_mm": _mostly(rng, 30, 34, 55),
        "body_middle_down_mm": _mostly(rng, 24, 38),
        "eyelet_axis": _mostly(rng, "parallel", "crosswise"),
        "eyelet_turnable": rng.choice(("yes", "no")),
        "end_for_end": rng.choice(("no", "no", "yes")),
        "rebound_class": _mostly(rng, "medium", "light", "firm"),
        "compression_class": _mostly(rng, "medium", "light"),
        "damper": rng.choice(("D1", "D2", "")),
        "remote_lockout": _mostly(rng, "no", "yes"),
        "volume_spacers_max": rng.choice((0, 1, 2)),
        "pressure_max_psi": _mostly(rng, 300, 150, 170),
        "rider_mass_limit_kg": _mostly(rng, 130, None, 78),
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


def _present(
    rng: random.Random, trunnion: bool, gaps: Any, bolts: Any, sizes: Any
) -> dict[str, Any]:
    def sleeve(gap: float, bolt: float) -> dict[str, Any]:
        return {
            "width_mm": gap, "bore_mm": bolt, "diameter_mm": rng.choice((12.7, 12.7, 15.0)),
            "condition": rng.choice(("good", "good", "worn")),
        }  # fmt: skip

    shock = _shock(rng, "OLD", trunnion, sizes)
    now = {
        "head_sleeve": sleeve(gaps[0], bolts[0]), "shaft_sleeve": sleeve(gaps[1], bolts[1]),
        "condition": rng.choice(("good", "service due", "broken")),
    }  # fmt: skip
    if shock["spring_kind"] == "air":
        now["volume_spacers"] = rng.choice((0, 1))
    else:
        now["spring_rate_n_per_mm"] = rng.choice((88, 95))
    if rng.random() < 0.3:
        return now | {"part_number": "S0"}
    if rng.random() < 0.15:
        return now
    facts = {name: cell for name, cell in shock.items() if cell is not None}
    return now | {"facts": facts}


def _kit(
    rng: random.Random, key: str, end: int, trunnion: bool, gaps: Any, bolts: Any
) -> dict[str, Any]:
    facts = {
        "width_mm": gaps[end] + _mostly(rng, 0, -0.3, -0.4, 0.5),
        "bore_mm": bolts[end] + _mostly(rng, 0, 0.2, -0.1),
        "price": rng.choice((10, 20, 45)), "supplier": rng.choice((*SUPPLIERS, "")),
        "bushing": rng.choice(("push-fit polymer", "pressed metal-backed", "none")),
        "stock": _mostly(rng, None, 1, 2), "delivery_days": rng.choice((1, 6)),
        "mass_g": rng.choice((20, 60)), "bushing_diameter_mm": _mostly(rng, 15, 16),
    }  # fmt: skip
    roll = rng.random()
    if roll < 0.05:
        facts["kind"] = "bearing axle"
    elif trunnion and end == 0 and roll < 0.95:
        facts |= {"kind": "trunnion bolts", "thread": "m10x1", "protrusion_mm": rng.choice((8, 12)),
                  "bushing": "none"}  # fmt: skip
    return build.kit(key, **facts)


def _service(rng: random.Random, key: str) -> dict[str, Any]:
    words = ("light", "medium", "firm")
    return build.service(
        key, damper=rng.choice(("D1", "D2")), rebound_class=rng.choice(words),
        compression_class=rng.choice(words), lockout_class=rng.choice(("none", *words)),
        price=rng.choice((90, 150)), work_days=rng.choice((2, 8)),
        supplier=rng.choice((*SUPPLIERS, "")),
    )  # fmt: skip


def _spring(rng: random.Random, key: str) -> dict[str, Any]:
    return build.spring(
        key, rate_n_per_mm=rng.choice((84, 88, 92, 96)), inner_diameter_mm=_mostly(rng, 36.4, 36, 35.6),
        free_length_mm=_mostly(rng, 130, 155), usable_travel_mm=_mostly(rng, 70, 52),
        outer_diameter_mm=_mostly(rng, 58, 72), price=rng.choice((35, 80)),
        stock=rng.choice((None, 1)), supplier=rng.choice((*SUPPLIERS, "")),
    )  # fmt: skip


def _job(rng: random.Random, job: str) -> dict[str, Any]:
    return {
        "job": job, "place": rng.choice(("home", "workshop")),
        "tools": rng.choice(("", "hex keys", "hex keys;bushing press")), "minutes": 30,
        "price": rng.choice((0, 15, 25)), "currency": "EUR", "work_days": rng.choice((0, 0, 2)),
    }  # fmt: skip


def _wishes(rng: random.Random) -> dict[str, Any]:
    offers: dict[str, Any] = {
        "budget": rng.choice((480, 620, 900, 1200)),
        "mass_g": rng.choice((500, 900)),
        "days": rng.choice((3, 7, 12)),
        "no_workshop": True,
        "travel_mm": rng.choice(([120, 150], [128, 140])),
        "sag_percent": rng.choice(([28, 32], [20, 40])),
        "spring_kind": rng.choice(("air", "coil")),
        "adjusters": _mostly(rng, ["lockout", "rebound"], ["high-speed compression"]),
        "tune": rng.choice(("medium", "light", "by the numbers")),
        "lockout": rng.choice(("none", "medium")),
        "remote": rng.choice((True, False)),
        "reserve_mm": rng.choice((80, 105)),
    }
    wishes: dict[str, Any] = {"rates": {"CHF": 1.05}}
    for name in rng.sample(sorted(offers), rng.choice((0, 1, 2, 3))):
        wishes[name] = {"must": offers[name]}
    if rng.random() < 0.4:
        wishes.setdefault("budget", {"must": offers["budget"]})
    return wishes
