"""Demo bundles recomputed from the catalogue's raw cells by formulas written out again here.

Nothing of the package's mechanics, rules or readers is imported: cells are read with `csv`, files
with `tomllib`, and the equations are solved and integrated by scipy. Standing: [D] closed form
(virtual work, ideal gas in absolute pressures, single mass); exponent 1.3, damping ratios, masses
and the 5 % of a coil's rate are from memory [mem]; constants NIST SP 811.
"""

import csv
import itertools
import json
import math
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from tests.cli.run import run

ROOT = Path(__file__).resolve().parents[2]
GRAVITY = 9.80665
ATMOSPHERE = 0.101325  # N/mm2
PSI = 4.4482216152605 / 25.4**2  # N/mm2
LBF_PER_INCH = 4.4482216152605 / 25.4  # N/mm
REAR_SHARE, BIKE_REAR_KG, RIDING_EXPONENT, RATE_OFF = 0.60, 5.0, 1.3, 0.05  # [mem]
SIDES, THIRDS = ("up", "down", "left", "right"), ("head", "middle", "shaft")
OPPOSITE = dict(zip(SIDES, ("down", "up", "right", "left"), strict=True))
Curve = Callable[[float], float]


def table(name: str, key: str) -> dict[str, dict[str, str]]:
    with (ROOT / "catalogs" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return {row[key]: row for row in csv.DictReader(file)}


def ends(cell: str) -> tuple[float, float]:
    """Lowest and highest value of a cell: '27' or '48 +/- 2'."""
    middle, _, tolerance = cell.partition("+/-")
    return float(middle) - float(tolerance or 0), float(middle) + float(tolerance or 0)


def mid(cell: str) -> float:
    return sum(ends(cell)) / 2


@dataclass(frozen=True)
class Frame:
    """Wheel travel, ratio and its slope against linkage compression, mm."""

    travel: Curve
    ratio: Curve
    slope: Curve


def frames(facts: dict[str, Any]) -> list[Frame]:
    """The nominal curve, then the ends of what a table's reading error allows."""
    if "table" not in facts:
        start, end, stroke = facts["ratio_start"], facts["ratio_end"], facts["stroke_mm"]
        bend = (end - start) / stroke
        return [
            Frame(lambda x: start * x + bend * x * x / 2, lambda x: start + bend * x,
                  lambda x: bend)
        ]  # fmt: skip
    x = np.array([row["compression_mm"] for row in facts["table"]], float)
    z = np.array([row["wheel_travel_mm"] for row in facts["table"]], float)
    error = facts["reading_error_mm"]
    a, b, c = np.linalg.lstsq(np.stack([x, x**2, x**3], axis=1), z, rcond=None)[0]
    assert np.abs(a * x + b * x**2 + c * x**3 - z).max() <= error, "a cubic serves this table"
    pchip = PchipInterpolator(x, z)

    def times(factor: float) -> Frame:
        return Frame(
            lambda u: factor * float(pchip(u)),
            lambda u: factor * (a + 2 * b * u + 3 * c * u * u),
            lambda u: factor * (2 * b + 6 * c * u),
        )

    return [times(1.0), times(1 - error / z[-1]), times(1 + error / z[-1])]


def air_spring(row: dict[str, str], spacers: int) -> Callable[..., float]:
    """Force (N) at x: while sag is set, or riding on the curve through `at`; p0 gauge, N/mm2."""
    area, lower = mid(row["piston_area_mm2"]), mid(row["negative_area_mm2"])
    volume = 1000 * (mid(row["chamber_cm3"]) - spacers * mid(row["volume_spacer_cm3"] or "0"))
    below, meet = 1000 * mid(row["negative_chamber_cm3"]), mid(row["equalise_at_mm"])

    def force(p0: float, x: float, at: float | None = None) -> float:
        still = x if at is None else at
        upper = (p0 + ATMOSPHERE) * volume / (volume - area * still)
        equal = (p0 + ATMOSPHERE) * volume / (volume - area * meet)
        under = equal * (below + lower * meet) / (below + lower * still)
        upper *= ((volume - area * still) / (volume - area * x)) ** RIDING_EXPONENT
        under *= ((below + lower * still) / (below + lower * x)) ** RIDING_EXPONENT
        return float(area * (upper - ATMOSPHERE) - lower * (under - ATMOSPHERE))

    return force


def motion(frame: Frame, shift: float, stroke: float, sag: float, mass: float, rate: float,
           joule: float) -> dict[str, float]:  # fmt: skip
    """What the wheel has of it: `rate` N/mm at the shock at sag, `joule` over the stroke."""
    u = sag - shift
    ratio, weight = frame.ratio(u), mass * GRAVITY
    travel = frame.travel(stroke - shift) - frame.travel(-shift)
    wheel_sag = frame.travel(u) - frame.travel(-shift)
    wheel_rate = rate / ratio**2 - weight * frame.slope(u) / ratio**2
    critical = 2 * math.sqrt(wheel_rate * 1000 * mass) * ratio**2
    return {
        "travel_mm": travel, "sag_mm": sag, "sag_percent": 100 * sag / stroke,
        "wheel_sag_mm": wheel_sag, "wheel_sag_percent": 100 * wheel_sag / travel,
        "reserve_mm": 1000 * joule / weight - travel, "wheel_rate_n_per_mm": wheel_rate,
        "length_difference_mm": shift, "bottom_bracket_rise_mm": -frame.travel(-shift) / 2,
        "critical": critical,
    }  # fmt: skip


def on_air(row: dict[str, str], spacers: int, frame: Frame, shift: float, stroke: float,
           mass: float, target: float) -> dict[str, float]:  # fmt: skip
    """Filled for the target sag, inside the shock's window (asserted: else the sag is another)."""
    force = air_spring(row, spacers)
    sag = stroke * target
    load = mass * GRAVITY * frame.ratio(sag - shift)
    fill = brentq(lambda p: force(p, sag) - load, 0.0, 100.0, xtol=1e-13)
    assert mid(row["pressure_min_psi"]) <= fill / PSI <= mid(row["pressure_max_psi"])
    joule = quad(lambda x: max(force(fill, x, sag), 0.0), 0, stroke, epsabs=1e-9)[0] / 1000
    step = 1e-4
    rate = (force(fill, sag + step, sag) - force(fill, sag - step, sag)) / (2 * step)
    return motion(frame, shift, stroke, sag, mass, rate, joule) | {"fill_psi": fill / PSI}


def on_coil(rate: float, preload: float, frame: Frame, shift: float, stroke: float,
            mass: float) -> dict[str, float]:  # fmt: skip
    def sag(k: float) -> float:
        def unbalanced(x: float) -> float:
            return k * (x + preload) - mass * GRAVITY * frame.ratio(x - shift)

        return float(brentq(unbalanced, 0.0, stroke, xtol=1e-12))

    joule = rate * ((stroke + preload) ** 2 - preload**2) / 2000
    return motion(frame, shift, stroke, sag(rate), mass, rate, joule) | {
        "rate_n_per_mm": rate, "preload_mm": preload,
        "sag_if_soft_mm": sag(rate * (1 - RATE_OFF)), "sag_if_stiff_mm": sag(rate * (1 + RATE_OFF)),
    }  # fmt: skip


def gap(frame: Frame, tyre: dict[str, Any], nominal: float, shift: float, stroke: float) -> float:
    """Same tyre as measured."""
    before = frame.travel(nominal - tyre["gap_eye_to_eye_mm"])
    return float(tyre["gap_mm"] - tyre["closing"] * (frame.travel(stroke - shift) - before))


def least_air(room: dict[str, Any], row: dict[str, str], clocked: bool) -> list[float]:
    """Least air around the body with every radius at its lowest, middle and highest."""
    out = []
    for share in (0.0, 0.5, 1.0):
        airs = []
        for third, side in itertools.product(THIRDS, SIDES):
            least, most = ends(row[f"body_{third}_{OPPOSITE[side] if clocked else side}_mm"])
            airs.append(room[f"{third}_{side}_mm"] - least - share * (most - least))
        out.append(min(airs))
    return out


def read(folder: str) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any], dict[str, Any]]:
    """Frame, bike, rider and wishes of a demo question."""
    texts = [tomllib.loads((ROOT / folder / f"{n}.toml").read_text("utf-8")) for n in (
        "bike", "rider", "wishes")]  # fmt: skip
    bike, rider, wishes = texts[0]["bike"], texts[1]["rider"], texts[2]["wishes"]
    frame = (ROOT / "catalogs" / "frames" / f"{bike['frame']}.toml").read_text("utf-8")
    return tomllib.loads(frame)["bike"], bike, rider, wishes


def bill(
    answer: dict[str, Any], shock: dict[str, str], rider: dict[str, Any], bike: dict[str, Any],
    axis: str,
) -> dict[str, float]:  # fmt: skip
    """Price and mass from the catalogue's cells; what is kept costs nothing and weighs what the
    bike's file tells."""
    parts = {part["role"]: part for part in answer["parts"]}
    price, mass, jobs = mid(shock["price"]), mid(shock["mass_g"]), ["fit shock"]
    for role, name, key in (("head kit", "kits", "part_number"), ("shaft kit", "kits",
                            "part_number"), ("tune", "services", "service_number"),
                            ("spring", "springs", "part_number")):  # fmt: skip
        row = table(name, key).get(parts[role]["name"]) if role in parts else None
        if row is None:
            assert role not in parts or parts[role]["how"] == "reuse", role
            if role in parts and role.endswith("kit"):
                mass += bike["present_shock"][role.replace(" kit", "_sleeve")]["mass_g"]
            continue
        price += mid(row["price"])
        mass += mid(row.get("mass_g") or "0")
        if role == "tune":
            jobs.append("send for revalve")
        elif role == "spring":
            jobs.append("fit spring")
        elif row["bushing"] == "pressed metal-backed":
            jobs.append("press bushing")
    if shock["eyelet_axis"] != axis:
        jobs.append("turn eyelet")
    assert sorted(jobs) == sorted(job["job"] for job in answer["jobs"])
    rows = table("jobs", "job")
    for job in jobs:
        at_home = rows[job]["place"] == "home" and set(rows[job]["tools"].split(";")) <= set(
            rider["tools"])  # fmt: skip
        price += 0.0 if at_home else mid(rows[job]["price"])
    return {"price": price, "mass_g": mass}


def damper(answer: dict[str, Any], shock: dict[str, str]) -> dict[str, float]:
    """Ends of both ranges: measured as delivered, else those of the class that results."""
    tune = next((part["name"] for part in answer["parts"] if part["role"] == "tune"), None)
    row = shock if tune is None else table("services", "service_number")[tune]
    classes = table("tune_classes", "tune_class")
    out = {}
    for side, end in itertools.product(("rebound", "compression"), ("low", "high")):
        name = f"{side}_{end}_n_s_per_m"
        measured = row.get(name, "") if tune is None else ""
        out[name] = mid(measured or classes[row[f"{side}_class"]][name])
    return out


BUNDLES = [
    pytest.param("SN-210x52.5-D", "demo", id="air, stroke beyond the known curve"),
    pytest.param("VT-210x50-U", "demo", id="air, another length, measured"),
    pytest.param("UVC-230x62.5", "demo/questions/coil-or-air", id="coil, measured leverage"),
]


@pytest.mark.parametrize(("part_number", "folder"), BUNDLES)
def test_a_demo_bundle_by_hand(part_number: str, folder: str) -> None:
    files = [f"--question={ROOT / folder / name}.toml" for name in ("bike", "rider", "wishes")]
    done = run("bundle", part_number, *files, "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    frame_facts, bike, rider, wishes = read(folder)
    facts = {**frame_facts, **{k: v for k, v in bike.items() if not isinstance(v, dict)}}
    assert set(bike) <= {"name", "frame", "present_shock"}, "the frame's facts stand alone"
    shock = table("shocks", "part_number")[part_number]
    # The setting and the spacers are choices; everything else follows from them.
    stroke = float(re.fullmatch(r".* x ([\d.]+) \w+", answer["size"])[1])  # type: ignore[index]
    assert stroke == mid(shock["stroke_mm"])
    assert not answer["turned"]
    mass = REAR_SHARE * rider["mass_with_kit_kg"] + BIKE_REAR_KG
    nominal_length = facts["sizes"][0]["length_mm"]
    low, high = ends(shock["length_mm"])
    shifts = list(dict.fromkeys(one - nominal_length for one in ((low + high) / 2, low, high)))
    taste = table("tastes", "taste")[rider["taste"]]
    spring = next((part for part in answer["parts"] if part["role"] == "spring"), None)

    worlds: list[dict[str, float]] = []
    for frame, shift in itertools.product(frames(facts["leverage"]), shifts):
        if shock["spring_kind"] == "air":
            spacers = int(re.match(r"(\d)", spring["text"])[1]) if spring else 0  # type: ignore[index]
            target = wishes["sag_target_percent"] / 100
            made = on_air(shock, spacers, frame, shift, stroke, mass, target)
        else:
            assert spring is not None
            row = table("springs", "part_number")[spring["name"]]
            rate = mid(row["rate_lbf_per_in"]) * LBF_PER_INCH
            preload = mid(shock["collar_pitch_mm"]) * mid(shock["preload_turns_min"] or "0.5")
            made = on_coil(rate, preload, frame, shift, stroke, mass)
        made["tyre_gap_mm"] = gap(frame, facts["tyre"], nominal_length, shift, stroke)
        critical = made.pop("critical")
        for side in ("rebound", "compression"):
            made[f"needed_{side}_n_s_per_m"] = critical * mid(taste[f"{side}_ratio"])
        worlds.append(made | damper(answer, shock))

    shown = {figure["name"]: figure for figure in answer["figures"]}
    if shock["spring_kind"] == "air":
        tight, middle, wide = sorted(least_air(facts["room"], shock, answer["clocked"]))
        for world, air in zip(worlds, (middle, tight, wide), strict=False):
            world["least_air_mm"] = air
    for name in worlds[0]:
        every = [world[name] for world in worlds]
        expected = (min(every), every[0], max(every))
        told = tuple(shown[name][end] for end in ("low", "nominal", "high"))
        assert told == pytest.approx(expected, rel=2e-6, abs=2e-6), name

    sums = bill(answer, shock, rider, bike, facts["eyelet_axis"])
    assert answer["price"] == pytest.approx(sums["price"], abs=0.005)
    assert answer["mass_g"] == pytest.approx(sums["mass_g"], abs=0.5)
    kept = any(part["how"] == "keep" for part in answer["parts"])
    life, usual = ("years_after_service", 2) if kept else ("years_of_use", 4)
    years = wishes.get(life, usual)
    assert answer["years"] == years
    assert answer["per_year"] == pytest.approx(sums["price"] / years, abs=0.006)
