"""Small catalogues for tests: invented figures, sound where a test does not spoil them.

    folder = write_catalogue(tmp_path, shocks=[shock("A", length_mm=210), shock("B")])
    write_catalogue(tmp_path, shocks=[coil_shock("C")], springs=[spring("S", rate_n_per_mm=90)])

A part takes any column by name, another unit's too (`length_in=7.5`); None leaves the cell blank.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from recommender.facts.tables import JOBS

Part = Mapping[str, Any]

_OFFER = {"price": 100, "currency": "EUR", "supplier": "Barn Lane Parts", "delivery_days": 3}
_BODY = {
    f"body_{third}_{side}_mm": 30
    for third in ("head", "middle", "shaft")
    for side in ("up", "down", "left", "right")
}
_EYES = {
    "head_mount": "eyelet", "head_eye": "bushing", "head_eye_width_mm": 12.7,
    "head_eye_bore_mm": 15, "head_sleeve_diameter_mm": 12.7, "shaft_eye": "bushing",
    "shaft_eye_width_mm": 12.7, "shaft_eye_bore_mm": 15, "shaft_sleeve_diameter_mm": 12.7,
    "eyelet_axis": "parallel", "eyelet_turnable": "no", "end_for_end": "no",
}  # fmt: skip
_DAMPER = {
    "rebound_adjuster": "yes", "low_speed_compression_adjuster": "yes",
    "high_speed_compression_adjuster": "no", "lockout_lever": "yes", "remote_lockout": "no",
    "damper": "D1", "compression_class": "medium", "rebound_class": "medium",
    "lockout_class": "medium", "rider_mass_limit_kg": 130,
}  # fmt: skip
# The chambers of the worked example: 171.1 psi carries a rider of 80 kg at 30 % sag.
_AIR = {
    "spring_kind": "air", "piston_area_mm2": 1700, "chamber_cm3": 150, "negative_area_mm2": 1200,
    "negative_chamber_cm3": 30, "equalise_at_mm": 4, "pressure_min_psi": 50,
    "pressure_max_psi": 300, "volume_spacer_cm3": 10, "volume_spacers_max": 3,
    "volume_spacer_price": 5,
}  # fmt: skip
_COIL = {
    "spring_kind": "coil", "spring_seat_mm": 36, "spring_length_min_mm": 110,
    "spring_length_max_mm": 150, "collar_pitch_mm": 1.5, "preload_turns_min": 0.5,
    "preload_turns_max": 3,
}  # fmt: skip


def shock(part_number: str = "AIR-1", **facts: Any) -> dict[str, Any]:
    """An air shock 210 x 50, every fact known."""
    size = {"length_mm": 210, "stroke_mm": 50, "stroke_settings_mm": "47.5;50", "mass_g": 420}
    plain = {"part_number": part_number, "maker": "Invented", "model": part_number}
    return {**plain, **_OFFER, **size, **_EYES, **_BODY, **_DAMPER, **_AIR, **facts}


def coil_shock(part_number: str = "COIL-1", **facts: Any) -> dict[str, Any]:
    """A coil shock 210 x 50, every fact known."""
    air = dict.fromkeys(name for name in _AIR if name != "spring_kind")
    return shock(part_number, **{**air, **_COIL, **facts})


def kit(part_number: str = "KIT-22x8", **facts: Any) -> dict[str, Any]:
    """A push-fit bushing with a sleeve 22 x 8."""
    own = {
        "part_number": part_number, "maker": "Invented", "kind": "sleeve", "width_mm": 22,
        "bore_mm": 8, "sleeve_diameter_mm": 12.7, "bushing": "push-fit polymer",
        "bushing_diameter_mm": 15, "pieces": 3, "mass_g": 25,
    }  # fmt: skip
    return {**own, **_OFFER, "price": 20, **facts}


def service(service_number: str = "REV-1", **facts: Any) -> dict[str, Any]:
    """A revalve of damper family D1 to light classes."""
    own = {
        "service_number": service_number, "workshop": "Invented", "damper": "D1",
        "compression_class": "light", "rebound_class": "light", "lockout_class": "light",
        "work_days": 5,
    }  # fmt: skip
    return {**own, **_OFFER, **facts}


def spring(part_number: str = "SPR-90", **facts: Any) -> dict[str, Any]:
    """A coil of 90 N/mm."""
    own = {
        "part_number": part_number, "maker": "Invented", "rate_n_per_mm": 90,
        "inner_diameter_mm": 36, "outer_diameter_mm": 60, "free_length_mm": 130,
        "usable_travel_mm": 60, "mass_g": 380,
    }  # fmt: skip
    return {**own, **_OFFER, "price": 40, **facts}


def tune_class(word: str, low: float, high: float, **facts: Any) -> dict[str, Any]:
    """A tune class whose rebound reaches from low to high N s/m, compression a third of that."""
    return {
        "tune_class": word, "rebound_low_n_s_per_m": low, "rebound_high_n_s_per_m": high,
        "compression_low_n_s_per_m": low / 3, "compression_high_n_s_per_m": high / 3,
        "standing": "assumed", "source": "invented", **facts,
    }  # fmt: skip


TUNE_CLASSES: Sequence[Part] = (
    tune_class("light", 1500, 3600),
    tune_class("medium", 2400, 5100),
    tune_class("firm", 3600, 7500),
)
TASTES: Sequence[Part] = tuple(
    {"taste": word, "rebound_ratio": rebound, "compression_ratio": compression}
    for word, rebound, compression in (
        ("plush", 0.30, 0.12), ("neutral", 0.37, 0.17), ("firm", 0.45, 0.22),
    )
)  # fmt: skip
ALL_JOBS: Sequence[Part] = tuple(
    {
        "job": job, "place": "home" if job == "fit shock" else "workshop",
        "tools": "hex keys;torque wrench" if job == "fit shock" else "", "minutes": 30,
        "price": 25, "currency": "EUR",
    }
    for job in JOBS
)  # fmt: skip
SUPPLIERS: Sequence[Part] = ({"supplier": "Barn Lane Parts", "order_minimum": 0},)
_KEYS = {
    "shocks": "part_number", "kits": "part_number", "services": "service_number",
    "springs": "part_number", "tune_classes": "tune_class", "tastes": "taste", "jobs": "job",
    "suppliers": "supplier",
}  # fmt: skip


def csv_text(rows: Sequence[Part], key: str) -> str:
    """The rows as CSV, columns in the order they first appear; the key alone if there are none."""
    names = list(dict.fromkeys(name for row in rows for name in row)) or [key]
    out = io.StringIO()
    writer = csv.DictWriter(out, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows({k: "" if v is None else v for k, v in row.items()} for row in rows)
    return out.getvalue()


def write_catalogue(
    folder: Path,
    *,
    shocks: Sequence[Part] | None = None,
    kits: Sequence[Part] | None = None,
    services: Sequence[Part] | None = None,
    springs: Sequence[Part] | None = None,
    tune_classes: Sequence[Part] = TUNE_CLASSES,
    tastes: Sequence[Part] = TASTES,
    jobs: Sequence[Part] = ALL_JOBS,
    suppliers: Sequence[Part] = SUPPLIERS,
    frames: Mapping[str, str] | None = None,
) -> Path:
    """Write a catalogue's files into `folder` and give it back; None stands for one usual part.

    `frames`: id -> TOML text.
    """
    tables: dict[str, Sequence[Part]] = {
        "shocks": [shock()] if shocks is None else shocks,
        "kits": [kit()] if kits is None else kits,
        "services": [service()] if services is None else services,
        "springs": [spring()] if springs is None else springs,
        "tune_classes": tune_classes,
        "tastes": tastes,
        "jobs": jobs,
        "suppliers": suppliers,
    }
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in tables.items():
        (folder / f"{name}.csv").write_text(csv_text(rows, _KEYS[name]), encoding="utf-8")
    for name, text in (frames or {}).items():
        (folder / "frames").mkdir(exist_ok=True)
        (folder / "frames" / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder
