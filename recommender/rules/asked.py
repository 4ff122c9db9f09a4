"""The question's own facts: bike, rider, wishes and the catalogue's small tables as scalars.

Here stand the fillings of blanks that mean something: a manual that states no limit sets none, a
tyre that is not said to change stays, the bolt that is fitted reaches as far as its gap.
"""

from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
from pydantic import BaseModel

from recommender.catalogue.columns import Table
from recommender.facts import words
from recommender.facts.bike import Bike, LeverageFacts
from recommender.facts.fields import blanks
from recommender.facts.marks import UNLIMITED
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Choice, Quantity
from recommender.facts.rider import Rider
from recommender.facts.units import UNITS
from recommender.facts.wishes import Wishes
from recommender.mechanics.leverage import Leverage
from recommender.rules.fact import Scalar
from recommender.rules.size import ApprovedSizes
from recommender.rules.tune import ClassRanges

MM = UNITS["mm"][1]
SAG_BAND = (25.0, 35.0)
"""Shaft sag allowed where no band is wished for, per cent of the stroke. Common practice."""
HAND_SHORT_MM = 3.0
"""A bumper may hold a shock this much short of its stroke by hand. From memory."""
RATIO_BOUNDS = (1.8, 3.6)
"""Average leverage of an unmeasured bike. From memory."""
KIT_SHARE = 0.8
"""Least share that the body has of the mass with kit, where only that is known. From memory."""


def scalars(
    bike: Bike,
    rider: Rider,
    wishes: Wishes,
    tune_classes: Table,
    tastes: Table,
    present: Any = None,
    bases: frozenset[str | None] = frozenset(),
) -> dict[str, Scalar]:
    """Every fact of the question by name. `present` is the fitted shock as a Shock, if known;
    `bases` are those that the shocks' mass limits are stated on (None: unknown)."""
    facts = _flatten("bike", bike)
    facts |= _flatten("rider", rider)
    facts |= _bike(bike, present)
    if bike.limits.rider_mass_kg.known:
        bases |= {bike.limits.rider_mass_basis}
    facts |= _rider(rider, tastes, bases)
    facts |= _wishes(wishes)
    facts["classes"] = Scalar(class_ranges(tune_classes))
    return facts


def _flatten(prefix: str, model: BaseModel) -> dict[str, Scalar]:
    out: dict[str, Scalar] = {}
    for name, info in type(model).model_fields.items():
        value = getattr(model, name)
        path = f"{prefix}_{name}"
        if isinstance(value, Quantity):
            blank = blanks(type(model)).get(name)
            silent = None if value.known or blank is None else blank.value
            out[path] = Scalar.of(value) if silent is None else Scalar((silent,))
        elif isinstance(value, BaseModel):
            out |= _flatten(path, value)
        else:
            choice = next((m for m in info.metadata if isinstance(m, Choice)), None)
            if choice is not None:
                out[path] = Scalar.word(value, choice.values)
    return out


def nominal_length(bike: Bike, present: Any = None) -> Quantity:
    """The frame's nominal eye-to-eye length: the first approved size, else the fitted shock's."""
    if bike.sizes:
        return bike.sizes[0].length_mm
    if present is not None:
        length: Quantity = present.length_mm
        return length
    return Quantity(100.0, 350.0, "unknown")


def _bike(bike: Bike, present: Any) -> dict[str, Scalar]:
    nominal = nominal_length(bike, present)
    out = {
        "bike_nominal_length_mm": Scalar.of(nominal),
        "bike_sizes": _sizes(bike),
        "bike_leverage": Scalar(leverage(bike.leverage), middle=nominal_leverage(bike.leverage)),
        "bike_gap_compression_mm": Scalar.of(_gap_compression(bike, nominal, present)),
    }
    tyre = bike.tyre
    if not tyre.width_mm.known and tyre.measured_width_mm.known:
        out["bike_tyre_width_mm"] = Scalar.of(tyre.measured_width_mm)
    elif tyre.width_mm.known and not tyre.measured_width_mm.known:
        # No other tyre is spoken of: the same one, so its own looseness must cancel too.
        out["bike_tyre_width_mm"] = Scalar((tyre.width_mm.mid,))
        out["bike_tyre_measured_width_mm"] = Scalar((tyre.width_mm.mid,))
    elif not tyre.width_mm.known:
        out["bike_tyre_width_mm"] = out["bike_tyre_measured_width_mm"] = Scalar((60.0,))
    if not tyre.bead_seat_mm.known:
        # It cancels: only the difference of two tyres on one rim counts.
        out["bike_tyre_bead_seat_mm"] = Scalar((622.0,))
    if not tyre.closing.known:
        # Shown and scored as charged in full; the verdict still ranges over all it may be.
        out["bike_tyre_closing"] = Scalar((0.0, 1.0), middle=1.0)
    same_tyre = not (tyre.width_mm.known and tyre.measured_width_mm.known)
    if same_tyre and not tyre.side_room_mm.known:
        # Only a wider tyre asks for room at its sides, and no other tyre is spoken of.
        out["bike_tyre_side_room_mm"] = Scalar((UNLIMITED,))
    if not bike.limits.rider_mass_kg.known:
        out["bike_limits_rider_mass_basis"] = Scalar.word("rider with kit", words.BASES)
    return out


def _sizes(bike: Bike) -> Scalar:
    lengths, ceilings = (
        [getattr(size, name) for size in bike.sizes] for name in ("length_mm", "stroke_ceiling_mm")
    )
    ends = (False,) if bike.sizes and all(q.low == q.high for q in lengths + ceilings) else (
        False, True)  # fmt: skip
    return Scalar(
        tuple(
            ApprovedSizes(
                tuple(q.mid for q in lengths), tuple(q.mid for q in ceilings),
                tuple((q.high - q.low) / 2 for q in lengths),
                tuple((q.high - q.low) / 2 for q in ceilings), free,
            )
            for free in ends
        )
    )  # fmt: skip


def leverage(facts: LeverageFacts) -> tuple[Leverage, ...]:
    """The leverage curve's corners: one, or those of what the facts allow.

    Raises BadInput where a measured table cannot be a leverage curve.
    """
    if facts.table:
        x = [line.compression_mm * MM for line in facts.table]
        z = [line.wheel_travel_mm * MM for line in facts.table]
        try:
            curve = Leverage.table(np.array(x), np.array(z), facts.reading_error_mm * MM)
        except ValueError as error:
            raise BadInput([Problem("bike", str(error), column="bike.leverage.table")]) from None
        share = facts.reading_error_mm * MM / z[-1]
        return (curve,) if share == 0 else (curve.scaled(1 - share), curve.scaled(1 + share))
    if facts.ratio_start.known and facts.ratio_end.known:
        axes = [{q.low, q.high} for q in (facts.ratio_start, facts.ratio_end, facts.stroke_mm)]
        return tuple(Leverage.linear(a, b, s * MM) for a, b, s in sorted(product(*axes)))
    stroke = facts.stroke_mm.mid if facts.stroke_mm.known else 60.0
    if facts.travel_mm.known and facts.stroke_mm.known:
        lowest = facts.travel_mm.low / facts.stroke_mm.high
        highest = facts.travel_mm.high / facts.stroke_mm.low
    else:
        lowest, highest = RATIO_BOUNDS
    ratios = sorted({lowest, highest})
    return tuple(Leverage.constant(ratio * stroke * MM, stroke * MM) for ratio in ratios)


def nominal_leverage(facts: LeverageFacts) -> Leverage:
    """The curve to show and to score by: the middle of what the facts allow."""
    corners = leverage(facts)
    if len(corners) == 1:
        return corners[0]
    if facts.table:
        # Both ends are the measured curve scaled; scaled back it passes through the readings.
        return corners[0].scaled(facts.table[-1].wheel_travel_mm * MM / corners[0].readings[-1][1])
    if facts.ratio_start.known:
        ends = facts.ratio_start.mid, facts.ratio_end.mid
        return Leverage.linear(*ends, facts.stroke_mm.mid * MM)
    a, b = (curve.coefficients for curve in corners)
    return replace(corners[0], coefficients=tuple((p + q) / 2 for p, q in zip(a, b, strict=True)))


def _gap_compression(bike: Bike, nominal: Quantity, present: Any) -> Quantity:
    """x0: how far the linkage was compressed when the tyre gap was measured, mm."""
    eye_to_eye = bike.tyre.gap_eye_to_eye_mm
    if eye_to_eye.known:
        return _loose(nominal.low - eye_to_eye.high, nominal.high - eye_to_eye.low)
    if present is not None and present.stroke_mm.known and present.length_mm.known:
        low = present.stroke_mm.low - (present.length_mm.high - nominal.low)
        high = present.stroke_mm.high - (present.length_mm.low - nominal.high)
    elif bike.leverage.stroke_mm.known:
        low, high = bike.leverage.stroke_mm.low, bike.leverage.stroke_mm.high
    else:
        return Quantity(20.0, 110.0, "unknown")
    return _loose(low - HAND_SHORT_MM, high)


def _loose(low: float, high: float) -> Quantity:
    return Quantity(low, high, "exact" if low == high else "measured")


def _rider(rider: Rider, tastes: Table, bases: frozenset[str | None]) -> dict[str, Scalar]:
    out: dict[str, Scalar] = {}
    with_kit = rider.mass_with_kit_kg
    if not with_kit.known and rider.mass_kg.known:
        with_kit = _loose(rider.mass_kg.low, rider.mass_kg.high / KIT_SHARE)
        out["rider_mass_with_kit_kg"] = Scalar.of(with_kit)
    if not rider.mass_kg.known:
        out["rider_mass_kg"] = Scalar.of(
            Quantity(KIT_SHARE * with_kit.low, with_kit.high, with_kit.kind)
            if with_kit.kind == "range"
            else _loose(KIT_SHARE * with_kit.low, with_kit.high)
        )
    # What no limit is stated on is not asked about.
    if not bases & {"rider", None}:
        out["rider_mass_kg"] = Scalar((with_kit.mid,))
    if not bases & {"whole system", None}:
        out["rider_bike_mass_kg"] = Scalar((15.0,))
    rows = [k for k, word in enumerate(tastes.keys()) if rider.taste in (None, word)]
    for name in ("rebound_ratio", "compression_ratio"):
        column = tastes.number(name)
        low, high = float(column.low[rows].min()), float(column.top[rows].max())
        out[f"rider_{name}"] = Scalar((low,) if low == high else (low, high))
    return out


def sag_band(wishes: Wishes) -> tuple[float, float]:
    """Shaft sag allowed, per cent: the must, else common practice."""
    band = wishes.sag_percent.must
    if band is None:
        return SAG_BAND
    return band.low or 0.0, 100.0 if band.high is None else band.high


def _wishes(wishes: Wishes) -> dict[str, Scalar]:
    sag_low, sag_high = sag_band(wishes)
    travel = wishes.travel_mm.must
    wanted = wishes.adjusters.must or ()
    out: dict[str, float] = {
        "wish_sag_target_percent": min(max(wishes.sag_target_percent, sag_low), sag_high),
        "wish_sag_low_percent": sag_low,
        "wish_sag_high_percent": sag_high,
        "sound_sag_low_percent": min(sag_low, SAG_BAND[0]),
        "sound_sag_high_percent": max(sag_high, SAG_BAND[1]),
        "wish_travel_low_mm": 0.0 if travel is None or travel.low is None else travel.low,
        "wish_travel_high_mm": (
            UNLIMITED if travel is None or travel.high is None else travel.high
        ),
        "wish_adjuster_rebound": "rebound" in wanted,
        "wish_adjuster_low_speed": "low-speed compression" in wanted,
        "wish_adjuster_high_speed": "high-speed compression" in wanted,
        "wish_adjuster_lockout": "lockout" in wanted,
        "wish_spring_kind": _code(words.SPRING_KINDS, wishes.spring_kind.must),
        "wish_tune_class": _code(words.CLASSES, wishes.tune.must),
        "wish_lockout": _code(words.LOCKOUTS, wishes.lockout.must),
        "wish_remote": float(bool(wishes.remote.must)),
        "wish_no_workshop": float(bool(wishes.no_workshop.must)),
    }
    for name in ("budget", "mass_g", "days"):
        must = getattr(wishes, name).must
        out[f"wish_{name}"] = UNLIMITED if must is None else float(must)
    aimed = wishes.adjusters.aim or ()
    out |= {
        "aim_adjuster_rebound": "rebound" in aimed,
        "aim_adjuster_low_speed": "low-speed compression" in aimed,
        "aim_adjuster_high_speed": "high-speed compression" in aimed,
        "aim_adjuster_lockout": "lockout" in aimed,
        "aim_spring_kind": _code(words.SPRING_KINDS, wishes.spring_kind.aim),
        "aim_tune_class": _code(words.CLASSES, wishes.tune.aim),
        "aim_lockout": _code(words.LOCKOUTS, wishes.lockout.aim),
        "aim_remote": float(bool(wishes.remote.aim)),
    }
    out["wish_reserve_mm"] = 0.0 if wishes.reserve_mm.must is None else wishes.reserve_mm.must
    return {name: Scalar((float(value),)) for name, value in out.items()}


def _code(accepted: tuple[str, ...], word: str | None) -> float:
    return float(accepted.index(word)) if word in accepted else -1.0


def class_ranges(table: Table) -> tuple[ClassRanges, ...]:
    """The class table: one, or the narrowest and the widest where its cells are imprecise."""
    keys = table.keys()
    rows = [keys.index(word) for word in words.CLASSES]

    def column(name: str, top: bool) -> tuple[float, ...]:
        cells = table.number(name)
        return tuple(float(value) for value in (cells.top if top else cells.low)[rows])

    made = [
        ClassRanges(
            column("rebound_low_n_s_per_m", narrow), column("rebound_high_n_s_per_m", not narrow),
            column("compression_low_n_s_per_m", narrow),
            column("compression_high_n_s_per_m", not narrow),
        )
        for narrow in (True, False)
    ]
    return tuple(dict.fromkeys(made))
