"""The question's rules for exact parts in plain Python: what the slow rivals are told.

Every function takes pydantic records of the catalogue and answers one question of one rule's kind;
the bike, the rider and the wishes are those of `question`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import ChoiceColumn, Column, NumberColumn, Table
from recommender.facts.parts import Kit, Service, Shock, Spring
from recommender.facts.quantity import Quantity
from recommender.facts.tables import TABLES

G, PSI, ATM = 9.80665, 6894.757293168361, 101325.0
MASS = 0.6 * 80 + 5
FORCE = MASS * G
CLASSES = {"light": (1200, 4000, 500, 1900), "medium": (2700, 6300, 1300, 2900),
           "firm": (4600, 9500, 2200, 5000)}  # fmt: skip
BUDGET = 700.0
ROOM = {"head": (68, 45, 42, 42), "middle": (49, 44, 40, 40), "shaft": (40, 39, 36, 36)}
SIDES, TURNED = ("up", "down", "left", "right"), ("down", "up", "right", "left")
LUGS = {"head": (30.0, 8.0, 31.0), "shaft": (22.2, 8.0, 23.2)}
ZERO = -1e-9


def records(table: Table) -> list[Any]:
    """The table's rows as pydantic objects."""
    model, _ = TABLES[table.name]
    columns = [list(_cells(column)) for column in table.columns.values()]
    return [
        model.model_validate(dict(zip(table.columns, row, strict=True)))
        for row in zip(*columns, strict=True)
    ]


def _cells(column: Column) -> Iterator[Any]:
    if isinstance(column, NumberColumn):
        for low, high, known in zip(column.low, column.top, column.is_known, strict=True):
            yield Quantity(float(low), float(high), "exact" if known else "unknown")
    elif isinstance(column, ChoiceColumn):
        for code in column.codes.tolist():
            yield None if code < 0 else column.values[code]
    else:
        yield from column.texts()


@dataclass(frozen=True)
class Tune:
    """The shock as delivered (no service) or revalved."""

    service: Service | None

    def ranges(self, shock: Shock) -> tuple[float, float, float, float]:
        owner = self.service or shock
        rebound, compression = (
            CLASSES[owner.rebound_class or ""],
            CLASSES[owner.compression_class or ""],
        )
        out = [*rebound[:2], *compression[2:]]
        if self.service is None:
            told = (shock.rebound_low_n_s_per_m, shock.rebound_high_n_s_per_m,
                    shock.compression_low_n_s_per_m, shock.compression_high_n_s_per_m)  # fmt: skip
            out = [one.low if one.known else usual for one, usual in zip(told, out, strict=True)]
        return out[0], out[1], out[2], out[3]

    @property
    def price(self) -> float:
        return 0.0 if self.service is None else self.service.price.low + 20.0


@dataclass(frozen=True)
class Parts:
    """The whole catalogue as records."""

    shocks: list[Shock]
    kits: list[Kit]
    services: list[Service]
    springs: list[Spring]

    @classmethod
    def of(cls, catalogue: Catalogue) -> "Parts":
        tables = (catalogue.shocks, catalogue.kits, catalogue.services, catalogue.springs)
        return cls(*(records(table) for table in tables))

    @cached_property
    def of_damper(self) -> dict[str, list[Tune]]:
        out: dict[str, list[Tune]] = {}
        for service in self.services:
            out.setdefault(service.damper, []).append(Tune(service))
        return out

    def tunes(self, shock: Shock) -> list[Tune]:
        return [Tune(None), *self.of_damper.get(shock.damper, [])]

    def settings(self, shock: Shock) -> "list[int | Spring]":
        """Volume spacers of an air shock, springs of a coil."""
        if shock.spring_kind == "coil":
            return list(self.springs)
        return list(range(int(shock.volume_spacers_max.low) + 1))


def strokes(shock: Shock) -> list[float]:
    listed = [float(one) for one in shock.stroke_settings_mm.split(";") if one]
    return sorted({*listed, shock.stroke_mm.low})


def mounts(shock: Shock) -> bool:
    """Everything about the shock as mounted but its room."""
    eyes = shock.head_eye_width_mm.low <= 30.1 and shock.shaft_eye_width_mm.low <= 22.3
    mass = not shock.rider_mass_limit_kg.known or shock.rider_mass_limit_kg.low >= 80
    axis = shock.eyelet_axis == "parallel" or shock.eyelet_turnable == "yes"
    return (
        shock.head_mount == "eyelet" and axis and shock.remote_lockout != "yes" and mass and eyes
        and shock.rebound_adjuster == "yes" and abs(shock.length_mm.low - 210) <= 1
    )  # fmt: skip


def finds_room(shock: Shock, turned: bool) -> bool:
    return all(
        room - getattr(shock, f"body_{third}_{side}_mm").low - 3 >= ZERO
        for third, rooms in ROOM.items()
        for room, side in zip(rooms, TURNED if turned else SIDES, strict=True)
    )


def kit_suits(shock: Shock, kit: Kit, end: str) -> bool:
    gap, bolt, grip = LUGS[end]
    bearing = getattr(shock, f"{end}_eye") == "bearing"
    if end == "head" and shock.head_mount == "trunnion":
        play = shock.trunnion_thread_depth_mm.low - kit.protrusion_mm.low
        return (kit.kind == "trunnion bolts" and kit.thread == shock.trunnion_thread
                and play >= ZERO and kit.protrusion_mm.low >= 6)  # fmt: skip
    if kit.kind != ("bearing axle" if bearing else "sleeve"):
        return False
    over, play = kit.width_mm.low - gap, kit.bore_mm.low - bolt
    if not (-0.5 + ZERO <= over <= 0.1 - ZERO and ZERO <= play <= 0.2 - ZERO):
        return False
    if (
        kit.width_mm.low > grip - ZERO
        or getattr(shock, f"{end}_eye_width_mm").low > kit.width_mm.low - ZERO
    ):
        return False
    if kit.bushing != "none" and not bearing:
        off = kit.bushing_diameter_mm.low - getattr(shock, f"{end}_eye_bore_mm").low
        return abs(off) <= 0.1 - ZERO
    off = kit.sleeve_diameter_mm.low - getattr(shock, f"{end}_sleeve_diameter_mm").low
    return abs(off) <= 0.05 - ZERO


def stroke_suits(shock: Shock, stroke: float) -> bool:
    d = shock.length_mm.low - 210
    gone = travel(stroke - d) - travel(-d)
    gap = 9 - 0.7 * (travel(stroke - d) - travel(51.5))
    return (stroke <= 52.5 - ZERO and stroke - d <= 55.5 - ZERO and gap >= 6 + ZERO
            and 125 + ZERO <= gone <= 140 - ZERO)  # fmt: skip


def ratio(x: float) -> float:
    return 2.86 - 0.0104 * x


def travel(x: float) -> float:
    return 2.86 * x - 0.0052 * x * x


def need(shock: Shock, stroke: float, setting: "int | Spring") -> float | None:
    """Critical coefficient at the shock, N s/m; None where the spring does not serve."""
    d = shock.length_mm.low - 210
    rode = _on_coil(shock, stroke, setting, d) if isinstance(setting, Spring) else _on_air(
        shock, stroke, setting, d)  # fmt: skip
    if rode is None:
        return None
    sag, rate = rode
    lever = ratio(sag - d)
    wheel = rate / lever**2 + FORCE * lever * 10.4 / lever**3
    return 2 * (max(wheel * MASS, 0.0)) ** 0.5 * lever**2


def _on_coil(shock: Shock, stroke: float, spring: Spring, d: float) -> tuple[float, float] | None:
    preload = shock.collar_pitch_mm.low * shock.preload_turns_min.low
    play = spring.inner_diameter_mm.low - shock.spring_seat_mm.low
    seated = (
        ZERO <= play <= 0.6 - ZERO
        and spring.usable_travel_mm.low - stroke - preload >= ZERO
        and shock.spring_length_min_mm.low <= spring.free_length_mm.low - ZERO
        and spring.free_length_mm.low <= shock.spring_length_max_mm.low - ZERO
        and 36 - spring.outer_diameter_mm.low / 2 - 3 >= ZERO
    )
    k = spring.rate_n_per_mm.low
    sag = min(max((FORCE * (2.86 + 0.0104 * d) - k * preload) / (k + FORCE * 0.0104), 0.0), stroke)
    if not seated or not 26 + ZERO <= 100 * sag / stroke <= 33 - ZERO:
        return None
    return sag, k * 1000


def _on_air(shock: Shock, stroke: float, spacers: int, d: float) -> tuple[float, float] | None:
    a, an = shock.piston_area_mm2.low * 1e-6, shock.negative_area_mm2.low * 1e-6
    v = (shock.chamber_cm3.low - spacers * shock.volume_spacer_cm3.low) * 1e-6
    vn, meet = shock.negative_chamber_cm3.low * 1e-6, shock.equalise_at_mm.low * 1e-3
    low, high = shock.pressure_min_psi.low, shock.pressure_max_psi.low

    def pressures(x: float) -> tuple[float, float]:
        equal = v / max(v - a * meet, 0.0) * (vn + an * meet)
        return v / max(v - a * x, 1e-30), equal / (vn + an * x)

    def gain(x: float) -> float:
        front, back = pressures(x)
        return a * front - an * back

    def fill(sag: float) -> float:
        more = gain(sag * 1e-3)
        if more <= 0 or v - a * sag * 1e-3 <= 0:
            return float("inf")
        return ((FORCE * ratio(sag - d) + ATM * (a - an)) / more - ATM) / PSI

    for most, least in ((35, 25), (33, 26)):
        if high - fill(stroke * most / 100) < ZERO or fill(stroke * least / 100) - low < ZERO:
            return None
    sag, wanted = stroke * 0.3, fill(stroke * 0.3)
    held = min(max(wanted, low), high)
    if abs(wanted - held) > 1e-9:
        sag, above = 0.0, stroke
        for _ in range(60):
            middle = (sag + above) / 2
            force = (held * PSI + ATM) * gain(middle * 1e-3) - ATM * (a - an)
            sag, above = (middle, above) if force < FORCE * ratio(middle - d) else (sag, middle)
    x, p0 = sag * 1e-3, held * PSI + ATM
    front, back = pressures(x)
    rate = 1.3 * p0 * (front * a**2 / (v - a * x) + back * an**2 / (vn + an * x))
    return sag, rate


def tune_suits(shock: Shock, critical: float, tune: Tune) -> bool:
    low, high, soft, stiff = tune.ranges(shock)
    return (low <= critical * 0.37 - ZERO and critical * 0.37 <= high - ZERO
            and soft <= critical * 0.17 - ZERO and critical * 0.17 <= stiff - ZERO)  # fmt: skip


def shock_price(shock: Shock) -> float:
    """The rider has the tools to fit it, but no eyelet driver."""
    return shock.price.low + (10.0 if shock.eyelet_axis == "crosswise" else 0.0)


def kit_price(kit: Kit) -> float:
    return kit.price.low + (15.0 if kit.bushing == "pressed metal-backed" else 0.0)


def setting_price(shock: Shock, stroke: float, setting: "int | Spring") -> float:
    changed = 55.0 if abs(stroke - shock.stroke_mm.low) > 1e-6 else 0.0
    if isinstance(setting, Spring):
        return changed + setting.price.low + 12.0
    spacers = setting * shock.volume_spacer_price.low + 15.0 if setting else 0.0
    return changed + spacers
