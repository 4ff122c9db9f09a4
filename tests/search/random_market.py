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
from recommender.facts.tables import JOBS
from tests.catalogue import build
from tests.search import random_parts as parts
from tests.search import tables

CELLS = {
    "shocks": (
        "length_mm", "stroke_mm", "mass_g", "price", "head_eye_width_mm", "head_eye_bore_mm",
        "head_sleeve_diameter_mm", "shaft_eye_width_mm", "shaft_sleeve_diameter_mm",
        "body_head_up_mm", "body_middle_down_mm", "body_shaft_left_mm", "rider_mass_limit_kg",
        "rider_mass_limit_basis",
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
    "jobs": ("price", "work_days"),
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
    "present_shock.spring_rate_n_per_mm", "present_shock.spring_mass_g",
    "present_shock.head_sleeve.mass_g", "present_shock.head_sleeve.condition",
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


def base(rng: random.Random) -> Case:
    """An exact case."""
    trunnion = rng.random() < 0.2
    gaps = rng.choice((22.0, 30.0)), rng.choice((22.0, 30.0))
    bolts = rng.choice((8.0, 10.0)), 8.0
    sizes = [rng.choice(parts.SIZES[:2])] + (
        [rng.choice(parts.SIZES)] if rng.random() < 0.3 else []
    )
    bike = parts.bike(rng, trunnion, gaps, bolts, sizes)
    shocks = [parts.shock(rng, f"S{k}", trunnion, sizes) for k in range(rng.randint(1, 2))]
    if rng.random() < 0.35:
        bike["present_shock"] = parts.present(rng, trunnion, gaps, bolts, sizes)
    rider: dict[str, Any] = {
        "mass_with_kit_kg": rng.choice((62, 75, 80, 95, "70 to 90")),
        "taste": rng.choice(("plush", "neutral", "firm")),
        "tools": rng.choice((["hex keys", "torque wrench", "shock pump"], [])),
    }
    if rng.random() < 0.3:
        rider |= {"mass_kg": 48, "bike_mass_kg": 15}
    kits = rng.choice((2, 3, 3, 4)) if rng.random() < 0.9 else 0
    made = {
        "shocks": shocks,
        "kits": [parts.kit(rng, f"K{k}", k % 2, trunnion, gaps, bolts) for k in range(kits)],
        "services": [parts.service(rng, f"R{k}") for k in range(rng.randint(0, 2))],
        "springs": [parts.spring(rng, f"C{k}") for k in range(rng.randint(0, 3))],
        "tune_classes": [dict(one) for one in parts.TUNE_CLASSES],
        "tastes": list(build.TASTES),
        "jobs": [parts.job(rng, name) for name in JOBS],
        "suppliers": [
            {"supplier": name, "order_minimum": parts.mostly(rng, 0, 30, 60), "currency": "EUR"}
            for name in parts.SUPPLIERS
        ],
    }
    if len(made["kits"]) > 1 and rng.random() < 0.1:
        made["kits"][0]["pairs_with"] = rng.choice(("K1", "K0"))
    return Case(bike, rider, _wishes(rng), made)


def _wishes(rng: random.Random) -> dict[str, Any]:
    offers: dict[str, Any] = {
        "budget": rng.choice((480, 620, 900, 1200)),
        "mass_g": rng.choice((500, 900)),
        "days": rng.choice((3, 7, 12)),
        "no_workshop": True,
        "travel_mm": rng.choice(([120, 150], [128, 140])),
        "sag_percent": rng.choice(([28, 32], [20, 40])),
        "spring_kind": rng.choice(("air", "coil")),
        "adjusters": parts.mostly(rng, ["lockout", "rebound"], ["high-speed compression"]),
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
