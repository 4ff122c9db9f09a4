"""An encoding of exact questions for a CP solver, written from the trade's formulas.

Integers in micrometres, grams, cents and days; figures from `own_physics`. Every limit is a linear
constraint on what a choice brings; nothing of the engine or of the rules is used.
"""

import random
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from recommender.facts import words
from recommender.facts.tables import JOBS
from tests.catalogue import build
from tests.search.own_physics import Air, Frame, air_sag, coil_sag
from tests.search.random_market import Case, base
from tests.search.random_parts import SUPPLIERS, TUNE_CLASSES

RIDER = 80.0
ZETA = {"plush": (0.30, 0.12), "neutral": (0.37, 0.17), "firm": (0.45, 0.22)}


def plain_case(rng: random.Random) -> Case:
    """Eyelet shocks as fitted, one linear frame, no fitted shock, no home jobs."""
    while (case := base(rng)).bike["mount"] != "eyelet":
        pass
    bike = {name: value for name, value in case.bike.items() if name != "present_shock"}
    bike |= {"leverage": {"stroke_mm": 50, "ratio_start": 2.86, "ratio_end": 2.34}}
    bike["allows"] = {**bike["allows"], "end_for_end": "no"}
    bike.pop("limits", None)
    shocks = [
        {**row, "head_eye": "bushing", "shaft_eye": "bushing"}
        for row in case.tables["shocks"] if row["head_mount"] == "eyelet"
    ] or [build.shock("S0")]  # fmt: skip
    jobs = [{"job": job, "place": "workshop", "price": rng.choice((0, 15, 25)), "work_days":
             rng.choice((0, 2)), "currency": "EUR"} for job in JOBS]  # fmt: skip
    wishes: dict[str, Any] = {"rates": {"CHF": 1.05}}
    offers = {"budget": rng.choice((450, 600, 900)), "days": rng.choice((4, 8, 12)),
              "mass_g": rng.choice((520, 900)), "lockout": "medium", "spring_kind": "air",
              "travel_mm": [120, 140]}  # fmt: skip
    for name in rng.sample(sorted(offers), rng.choice((0, 1, 2))):
        wishes[name] = {"must": offers[name]}
    rider = {"mass_with_kit_kg": RIDER, "taste": rng.choice(sorted(ZETA))}
    return Case(bike, rider, wishes, {**case.tables, "shocks": shocks, "jobs": jobs})


@dataclass(frozen=True)
class Own:
    """A case with what its encoding needs at hand."""

    case: Case
    shock: dict[str, Any]

    @property
    def frame(self) -> Frame:
        return Frame(2.86, 2.34, 50.0, 0.60 * RIDER + 5.0)

    @property
    def shift(self) -> float:
        return float(self.shock["length_mm"] - self.case.bike["sizes"][0]["length_mm"])

    def job(self, name: str) -> dict[str, Any]:
        return next(row for row in self.case.tables["jobs"] if row["job"] == name)

    def strokes(self) -> list[float]:
        text = self.shock.get("stroke_settings_mm") or ""
        listed = {float(part) for part in text.split(";") if part}
        return sorted(listed | {float(self.shock["stroke_mm"])})

    def springs(self) -> list[dict[str, Any] | int]:
        if self.shock["spring_kind"] == "air":
            return list(range(int(self.shock["volume_spacers_max"]) + 1))
        return list(self.case.tables["springs"])

    def tunes(self) -> list[dict[str, Any]]:
        family = self.shock["damper"]
        return [
            self.shock,
            *(row for row in self.case.tables["services"] if family and row["damper"] == family),
        ]

    def damping(self, stroke: float, spring: Any) -> tuple[float, float, bool]:
        """Rebound and compression needed, and whether the spring suits shock and rider."""
        shifted = Frame(self.frame.ratio(-self.shift), self.frame.ratio(50 - self.shift), 50.0,
                        self.frame.mass)  # fmt: skip
        if isinstance(spring, int):
            air = Air(
                self.shock["piston_area_mm2"],
                1000 * (self.shock["chamber_cm3"] - spring * self.shock["volume_spacer_cm3"]),
                self.shock["negative_area_mm2"], 1000 * self.shock["negative_chamber_cm3"],
                self.shock["equalise_at_mm"],
            )  # fmt: skip
            least, most = self.shock["pressure_min_psi"], self.shock["pressure_max_psi"]
            window = [air.fill(shifted.force(x), x) for x in (0.35 * stroke, 0.25 * stroke)]
            suits = window[0] <= most and window[1] >= least
            wanted = air.fill(shifted.force(0.3 * stroke), 0.3 * stroke)
            fill = min(max(wanted, least), most)
            sag = 0.3 * stroke if fill == wanted else air_sag(air, fill, shifted, stroke)
            rate = air.rate(fill, sag)
        else:
            preload = self.shock["collar_pitch_mm"] * self.shock["preload_turns_min"]
            rate = spring["rate_n_per_mm"]
            sag = coil_sag(rate, preload, shifted, stroke)
            play = spring["inner_diameter_mm"] - self.shock["spring_seat_mm"]
            room = min(v for k, v in self.case.bike["room"].items() if k[:4] in ("midd", "shaf"))
            suits = (
                0.25 * stroke <= sag <= 0.35 * stroke
                and spring["usable_travel_mm"] >= stroke + preload
                and -1e-9 <= play <= 0.6 + 1e-9
                and self.shock["spring_length_min_mm"] <= spring["free_length_mm"]
                <= self.shock["spring_length_max_mm"]
                and room - spring["outer_diameter_mm"] / 2 >= 3
            )  # fmt: skip
        critical = shifted.critical(rate, sag)
        rebound, compression = ZETA[self.case.rider["taste"]]
        return rebound * critical, compression * critical, suits

    def tyre_gap(self, stroke: float) -> float:
        tyre, sizes = self.case.bike["tyre"], self.case.bike["sizes"]
        x0 = sizes[0]["length_mm"] - tyre["gap_eye_to_eye_mm"]
        more = self.frame.travel(stroke - self.shift) - self.frame.travel(x0)
        wider = tyre["width_mm"] - tyre["measured_width_mm"]
        return float(tyre["gap_mm"] - tyre["closing"] * more - wider)

    def fixed(self) -> bool:
        """What no choice changes: length, axis, kind, remote, side room, the rider's mass."""
        bike, shock = self.case.bike, self.shock
        wishes = self.case.wishes
        side = bike["tyre"]["side_room_mm"]
        side -= (bike["tyre"]["width_mm"] - bike["tyre"]["measured_width_mm"]) / 2
        axis = shock["eyelet_axis"] == bike["eyelet_axis"] or shock["eyelet_turnable"] == "yes"
        limit = shock.get("rider_mass_limit_kg")
        # Nobody weighed the bike: it may be as heavy as any, 45 kg.
        mass = RIDER + (45 if shock.get("rider_mass_limit_basis") == "whole system" else 0)
        off = min(abs(shock["length_mm"] - size["length_mm"]) for size in bike["sizes"])
        return bool(
            off <= 1.0 and axis and side >= 4 and (limit is None or limit >= mass)
            and (shock["spring_kind"] == "air" or bike["allows"]["coil"] == "yes")
            and (shock["remote_lockout"] == "no" or bike["allows"]["remote"] == "yes")
            and wishes.get("spring_kind", {}).get("must") in (None, shock["spring_kind"])
            and all(
                shock[f"{end}_eye_width_mm"] <= bike[end]["gap_mm"] + 0.1
                for end in ("head", "shaft")
            )
        )  # fmt: skip

    def clear(self, turned: bool) -> bool:
        """Air of 3 mm around the body, turned about its axis or not."""
        opposite = {"up": "down", "down": "up", "left": "right", "right": "left"}
        return all(
            self.case.bike["room"][f"{third}_{side}_mm"]
            - self.shock[f"body_{third}_{opposite[side] if turned else side}_mm"] >= 3
            for third in ("head", "middle", "shaft") for side in opposite
        )  # fmt: skip


def um(mm: float) -> int:
    return round(mm * 1000)


def encoded(own: Own) -> tuple[cp_model.CpModel, list[cp_model.IntVar]]:
    """The whole problem of one shock: a variable per choice, limits as linear constraints."""
    model = cp_model.CpModel()
    strokes, springs, tunes = own.strokes(), own.springs(), own.tunes()
    kits, wishes = own.case.tables["kits"], own.case.wishes
    sizes = {"stroke": len(strokes), "spring": len(springs), "tune": len(tunes), "clocking": 2,
             "head": len(kits), "shaft": len(kits)}  # fmt: skip
    var = {name: model.new_int_var(0, max(size - 1, 0), name) for name, size in sizes.items()}
    if not own.fixed() or not all(sizes.values()):
        model.add_bool_or([])
        return model, list(var.values())

    def pick(name: str, values: list[int]) -> cp_model.IntVar:
        out = model.new_int_var(min(values), max(values), "")
        model.add_element(var[name], values, out)
        return out

    bike = own.case.bike
    near = min(abs(own.shock["length_mm"] - one["length_mm"]) for one in bike["sizes"])
    ceiling = max(one["stroke_ceiling_mm"] for one in bike["sizes"]
                  if abs(own.shock["length_mm"] - one["length_mm"]) <= near + 1e-9)  # fmt: skip
    stroke = pick("stroke", [um(mm) for mm in strokes])
    model.add(stroke <= um(ceiling))
    if "linkage_stop_mm" in bike:
        model.add(stroke - um(own.shift) <= um(bike["linkage_stop_mm"]))
    model.add(pick("stroke", [um(own.tyre_gap(mm)) for mm in strokes]) >= um(6))
    if "travel_mm" in wishes:
        low, high = wishes["travel_mm"]["must"]
        start = own.frame.travel(-own.shift)
        travel = [um(own.frame.travel(mm - own.shift) - start) for mm in strokes]
        model.add_linear_constraint(pick("stroke", travel), um(low), um(high))
    model.add(pick("clocking", [int(own.clear(turned)) for turned in (False, True)]) == 1)

    # Damping: coefficients by stroke and spring, windows by tune, all in mN s/m.
    needs = [own.damping(mm, spring) for mm in strokes for spring in springs]
    both = model.new_int_var(0, len(needs) - 1, "")
    model.add(both == var["stroke"] * len(springs) + var["spring"])
    model.add_allowed_assignments([both], [(k,) for k, need in enumerate(needs) if need[2]])
    for side, name in enumerate(("rebound", "compression")):
        values = [round(need[side] * 1000) for need in needs]
        needed = model.new_int_var(min(values), max(values), "")
        model.add_element(both, values, needed)
        for end, sign in (("low", 1), ("high", -1)):
            bound = pick("tune", [window(tune, name, end) for tune in tunes])
            model.add(sign * (needed - bound) >= 0)
    if "lockout" in wishes:
        wanted = words.LOCKOUTS.index(wishes["lockout"]["must"])
        codes = [words.LOCKOUTS.index(tune["lockout_class"]) for tune in tunes]
        model.add(pick("tune", codes) == wanted)

    for end in ("head", "shaft"):
        hardware(model, own, end, lambda values, end=end: pick(end, values))
    order(model, own, var, pick)
    return model, list(var.values())


def window(tune: dict[str, Any], side: str, end: str) -> int:
    """End of what a tune covers, mN s/m: as measured, else the table's for its class."""
    measured = tune.get(f"{side}_{end}_n_s_per_m")
    if measured is not None and "part_number" in tune:
        return round(measured * 1000)
    row = next(row for row in TUNE_CLASSES if row["tune_class"] == tune[f"{side}_class"])
    return round(row[f"{side}_{end}_n_s_per_m"] * 1000)


def hardware(model: cp_model.CpModel, own: Own, end: str, pick: Any) -> None:
    """Width, bore, bushing and sleeve of the kit at one end."""
    mount, shock, kits = own.case.bike[end], own.shock, own.case.tables["kits"]
    gap, bolt = um(mount["gap_mm"]), um(mount["bolt_mm"])
    width = pick([um(kit["width_mm"]) for kit in kits])
    slack = 300 if mount["carbon_lugs"] == "yes" else 500
    model.add_linear_constraint(width, gap - slack, gap + 100)
    model.add(width <= um(mount.get("grip_mm", mount["gap_mm"] + 0.1)))
    model.add(width >= um(shock[f"{end}_eye_width_mm"]))
    model.add_linear_constraint(pick([um(kit["bore_mm"]) for kit in kits]), bolt, bolt + 200)
    model.add(pick([int(kit["kind"] == "sleeve") for kit in kits]) == 1)
    eye, sleeve = shock[f"{end}_eye_bore_mm"], shock[f"{end}_sleeve_diameter_mm"]
    # A kit with its own bushing must fit the eye, one without must fit the bushing there.
    off = [
        um(kit["sleeve_diameter_mm"] - sleeve) * 2 if kit["bushing"] == "none"
        else um(kit["bushing_diameter_mm"] - eye)
        for kit in kits
    ]  # fmt: skip
    model.add_linear_constraint(pick(off), -100, 100)


def order(model: cp_model.CpModel, own: Own, var: Any, pick: Any) -> None:
    """Cents, grams, days, pieces and order minimums."""
    case, wishes, shock = own.case, own.case.wishes, own.shock

    def cents(row: dict[str, Any]) -> int:
        return round(row["price"] * {"EUR": 100, "CHF": 105}[row["currency"]])

    def fee(name: str) -> int:
        return int(100 * own.job(name)["price"])

    axis = shock["eyelet_axis"] != case.bike["eyelet_axis"]
    strokes, springs, tunes, kits = own.strokes(), own.springs(), own.tunes(), case.tables["kits"]
    changed = [mm != shock["stroke_mm"] for mm in strokes]
    is_air = shock["spring_kind"] == "air"
    spring_cost = [
        row * 100 * shock["volume_spacer_price"] + fee("set volume spacers") * (row > 0)
        if isinstance(row, int) else cents(row) + fee("fit spring") for row in springs
    ]  # fmt: skip
    kit_cost = [cents(kit) + fee("press bushing") * kit["bushing"].startswith("pressed")
                for kit in kits]  # fmt: skip
    tune_cost = [0, *(cents(row) + fee("send for revalve") for row in tunes[1:])]
    total = cents(shock) + fee("fit shock") + axis * fee("turn eyelet")
    total = total + pick("stroke", [int(c) * fee("change stroke") for c in changed])
    total = total + pick("spring", spring_cost) + pick("tune", tune_cost)
    total = total + pick("head", kit_cost) + pick("shaft", kit_cost)
    if "budget" in wishes:
        model.add(total <= 100 * wishes["budget"]["must"])
    grams = pick("spring", [0 if is_air else row["mass_g"] for row in springs])
    grams = (
        grams
        + shock["mass_g"]
        + sum(pick(end, [kit["mass_g"] for kit in kits]) for end in ("head", "shaft"))
    )
    if "mass_g" in wishes:
        model.add(grams <= wishes["mass_g"]["must"])
    if "days" in wishes:
        most = wishes["days"]["must"] - 1
        # Work on the shock begins when it has come; parts come side by side.
        work = {name: own.job(name)["work_days"] for name in JOBS}
        here = shock["delivery_days"] + work["fit shock"] + axis * work["turn eyelet"]

        def after(days: int) -> int:
            return here + days if days else 0

        times = {
            "stroke": [after(int(c) * work["change stroke"]) for c in changed],
            "spring": [
                after((row > 0) * work["set volume spacers"]) if isinstance(row, int)
                else max(here, row["delivery_days"]) + work["fit spring"] if work["fit spring"]
                else row["delivery_days"] for row in springs
            ],
            "tune": [0, *(
                after(row["work_days"] + row["delivery_days"] + work["send for revalve"])
                for row in tunes[1:]
            )],
        }  # fmt: skip
        pressing = [
            kit["delivery_days"] + kit["bushing"].startswith("pressed") * work["press bushing"]
            for kit in kits
        ]
        times |= {"head": pressing, "shaft": pressing}
        model.add(here <= most)
        for name, days in times.items():
            model.add(pick(name, days) <= most)
    shelves = {
        "spring": [None if is_air else row for row in springs], "tune": [None, *tunes[1:]],
        "head": kits, "shaft": kits,
    }  # fmt: skip
    for supplier in SUPPLIERS:
        row = next(r for r in case.tables["suppliers"] if r["supplier"] == supplier)
        own_cents = cents(shock) if shock["supplier"] == supplier else 0
        value = own_cents + sum(
            pick(name, [cents(r) if r and r["supplier"] == supplier else 0 for r in rows])
            for name, rows in shelves.items()
        )
        ordered = model.new_bool_var("")
        model.add(value >= 100 * row["order_minimum"]).only_enforce_if(ordered)
        model.add(value == 0).only_enforce_if(ordered.negated())
    if shock.get("stock") == 0:
        model.add_bool_or([])
    for k, kit in enumerate(kits):
        if kit.get("stock") == 1:
            model.add_forbidden_assignments([var["head"], var["shaft"]], [(k, k)])
        mate = [j for j, other in enumerate(kits) if other["part_number"] == kit.get("pairs_with")]
        for end, other in (("head", "shaft"), ("shaft", "head")):
            for j in mate:
                here = model.new_bool_var("")
                model.add(var[end] == k).only_enforce_if(here)
                model.add(var[end] != k).only_enforce_if(here.negated())
                model.add(var[other] == j).only_enforce_if(here)
