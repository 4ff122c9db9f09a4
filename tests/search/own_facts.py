"""The question's facts as the referee reads them: each with the values that its corners take.

Written from the definitions, without the engine's own reading of bike, rider and wishes.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from pydantic import BaseModel

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts import words
from recommender.facts.bike import LeverageFacts
from recommender.facts.parts import Shock
from recommender.facts.quantity import Choice, Quantity
from recommender.mechanics.leverage import Leverage
from recommender.rules.tune import ClassRanges
from tests.search.own_cells import Leaf
from tests.search.own_shocks import fitted

NO_LIMIT = 1e6


@dataclass(frozen=True)
class OwnSizes:
    """Approved sizes by plain comparison. `hopeful`: each unsure length and ceiling at its best."""

    pairs: tuple[tuple[Quantity, Quantity], ...]
    hopeful: bool

    def distances(self, length: float) -> list[float]:
        if self.hopeful:
            return [max(0.0, a.low - length, length - a.high) for a, _ in self.pairs]
        return [max(abs(a.low - length), abs(a.high - length)) for a, _ in self.pairs]

    def off(self, length_mm: Any) -> Any:
        if not self.pairs:
            return 0.0 if self.hopeful else 400.0
        return min(self.distances(float(length_mm)))

    def ceiling(self, length_mm: Any) -> Any:
        if not self.pairs:
            return 110.0 if self.hopeful else 0.0
        length = float(length_mm)
        nearest = [max(0.0, a.low - length, length - a.high) for a, _ in self.pairs]
        farthest = [max(abs(a.low - length), abs(a.high - length)) for a, _ in self.pairs]
        # Whatever may be the nearest size counts: the best of their ceilings, or the worst.
        may = [
            pair for pair, near in zip(self.pairs, nearest, strict=True)
            if near <= min(farthest) + 1e-9
        ]  # fmt: skip
        if all(a.low == a.high for a, _ in self.pairs):
            # Sure lengths that tie are all nearest, and the highest of their ceilings is meant.
            return max(c.high if self.hopeful else c.low for _, c in may)
        return max(c.high for _, c in may) if self.hopeful else min(c.low for _, c in may)


def question_facts(question: Question, catalogue: Catalogue) -> dict[str, Leaf]:
    """Every fact of bike, rider, wishes and the small tables."""
    bike, rider, wishes = question.bike, question.rider, question.wishes
    shock = fitted(question, catalogue)
    facts = _walk("bike", bike) | _walk("rider", rider)
    facts |= _sizes(question, shock) | _tyre(question) | _masses(question)
    if not bike.linkage_stop_mm.known:
        facts["bike_linkage_stop_mm"] = Leaf((NO_LIMIT,))
    facts["bike_leverage"] = Leaf(curves(bike.leverage), kind="curve")
    facts |= _taste(question, catalogue)
    facts["classes"] = Leaf(_classes(catalogue), kind="curve")
    band = wishes.sag_percent.must
    low, high = (25.0, 35.0) if band is None else (band.low or 0.0, _open(band.high, 100.0))
    travel = wishes.travel_mm.must
    wanted = wishes.adjusters.must or ()
    for name, value in {
        "sag_low_percent": low,
        "sag_high_percent": high,
        "sag_target_percent": min(max(wishes.sag_target_percent, low), high),
        "travel_low_mm": 0.0 if travel is None else travel.low or 0.0,
        "travel_high_mm": NO_LIMIT if travel is None else _open(travel.high, NO_LIMIT),
        "adjuster_rebound": "rebound" in wanted,
        "adjuster_low_speed": "low-speed compression" in wanted,
        "adjuster_high_speed": "high-speed compression" in wanted,
        "adjuster_lockout": "lockout" in wanted,
        "spring_kind": _code(wishes.spring_kind.must, words.SPRING_KINDS),
        "tune_class": _code(wishes.tune.must, words.CLASSES),
        "lockout": _code(wishes.lockout.must, words.LOCKOUTS),
        "remote": bool(wishes.remote.must),
        "no_workshop": bool(wishes.no_workshop.must),
        "reserve_mm": _open(wishes.reserve_mm.must, 0.0),
        "days": _open(wishes.days.must, NO_LIMIT),
    }.items():
        facts[f"wish_{name}"] = Leaf((float(value),))
    # Sound is what is wished for, and what common practice allows besides.
    facts["sound_sag_low_percent"] = Leaf((min(low, 25.0),))
    facts["sound_sag_high_percent"] = Leaf((max(high, 35.0),))
    return facts


def leaf(quantity: Quantity) -> Leaf:
    if quantity.low == quantity.high:
        return Leaf((quantity.low,))
    return Leaf((quantity.low, quantity.high), served=quantity.kind == "range")


def _open(value: float | None, unset: float) -> float:
    return unset if value is None else value


def _code(word: str | None, accepted: tuple[str, ...]) -> int:
    return accepted.index(word) if word in accepted else -1


def _walk(path: str, model: BaseModel) -> dict[str, Leaf]:
    out: dict[str, Leaf] = {}
    for name, info in type(model).model_fields.items():
        value = getattr(model, name)
        if isinstance(value, Quantity):
            out[f"{path}_{name}"] = leaf(value)
        elif isinstance(value, BaseModel):
            out |= _walk(f"{path}_{name}", value)
        for part in info.metadata:
            if isinstance(part, Choice):
                codes = range(len(part.values)) if value is None else [part.values.index(value)]
                out[f"{path}_{name}"] = Leaf(tuple(codes), kind="word")
    return out


def _sizes(question: Question, shock: Shock | None) -> dict[str, Leaf]:
    bike = question.bike
    pairs = tuple((size.length_mm, size.stroke_ceiling_mm) for size in bike.sizes)
    if bike.sizes:
        nominal = bike.sizes[0].length_mm
    elif shock is not None:
        nominal = shock.length_mm
    else:
        nominal = Quantity(100.0, 350.0, "unknown")
    sure = bool(pairs) and all(q.low == q.high for pair in pairs for q in pair)
    sizes = [OwnSizes(pairs, hopeful) for hopeful in ((False,) if sure else (False, True))]
    seen = bike.tyre.gap_eye_to_eye_mm
    if seen.known:
        x0 = nominal.low - seen.high, nominal.high - seen.low
    elif shock is not None and shock.stroke_mm.known and shock.length_mm.known:
        # The shock that was in, compressed by hand: its bumper may hold it 3 mm short.
        longer = shock.length_mm.low - nominal.high, shock.length_mm.high - nominal.low
        x0 = shock.stroke_mm.low - longer[1] - 3.0, shock.stroke_mm.high - longer[0]
    elif bike.leverage.stroke_mm.known:
        x0 = bike.leverage.stroke_mm.low - 3.0, bike.leverage.stroke_mm.high
    else:
        x0 = 20.0, 110.0
    return {
        "bike_sizes": Leaf(tuple(sizes), kind="curve"),
        "bike_nominal_length_mm": leaf(nominal),
        "bike_gap_compression_mm": Leaf(tuple(sorted(set(x0)))),
    }


def _tyre(question: Question) -> dict[str, Leaf]:
    tyre = question.bike.tyre
    out = {}
    width, measured = tyre.width_mm, tyre.measured_width_mm
    if width.known and measured.known:
        pass
    elif measured.known:
        out["bike_tyre_width_mm"] = leaf(measured)
    else:
        # One tyre, so its width cancels; any value serves.
        same = Leaf((width.mid,)) if width.known else Leaf((60.0,))
        out["bike_tyre_width_mm"] = out["bike_tyre_measured_width_mm"] = same
    if not (width.known and measured.known) and not tyre.side_room_mm.known:
        out["bike_tyre_side_room_mm"] = Leaf((NO_LIMIT,))
    if not tyre.bead_seat_mm.known:
        out["bike_tyre_bead_seat_mm"] = Leaf((622.0,))
    return out


def _masses(question: Question) -> dict[str, Leaf]:
    rider, limits = question.rider, question.bike.limits
    kit, body = rider.mass_with_kit_kg, rider.mass_kg
    out = {}
    if not kit.known and body.known:
        # The body is between 80 % of the mass with kit and all of it.
        kit = Quantity(body.low, body.high / 0.8, "measured")
        out["rider_mass_with_kit_kg"] = leaf(kit)
    if not body.known:
        served = kit.kind == "range"
        out["rider_mass_kg"] = Leaf((0.8 * kit.low, kit.high), served=served)
    if not limits.rider_mass_kg.known:
        out["bike_limits_rider_mass_kg"] = Leaf((NO_LIMIT,))
        out["bike_limits_rider_mass_basis"] = Leaf((words.BASES.index("rider with kit"),))
    return out


def curves(facts: LeverageFacts) -> tuple[Leverage, ...]:
    """Every corner of what is known of the leverage."""
    if facts.table:
        x = np.array([line.compression_mm for line in facts.table]) / 1000
        z = np.array([line.wheel_travel_mm for line in facts.table]) / 1000
        curve = Leverage.table(x, z, facts.reading_error_mm / 1000)
        share = facts.reading_error_mm / facts.table[-1].wheel_travel_mm
        return curve.scaled(1 - share), curve.scaled(1 + share)
    stroke, travel = facts.stroke_mm, facts.travel_mm
    if facts.ratio_start.known:
        return tuple(
            Leverage.linear(a, b, s / 1000)
            for a in sorted({facts.ratio_start.low, facts.ratio_start.high})
            for b in sorted({facts.ratio_end.low, facts.ratio_end.high})
            for s in sorted({stroke.low, stroke.high})
        )
    if travel.known and stroke.known:
        ratios = {travel.low / stroke.high, travel.high / stroke.low}
    else:
        ratios = {1.8, 3.6}
    length = (stroke.mid if stroke.known else 60.0) / 1000
    return tuple(Leverage.constant(ratio * length, length) for ratio in sorted(ratios))


def _taste(question: Question, catalogue: Catalogue) -> dict[str, Leaf]:
    taste, table = question.rider.taste, catalogue.tastes
    out = {}
    for name in ("rebound_ratio", "compression_ratio"):
        column = table.number(name)
        ends = [
            float(end[row])
            for row, word in enumerate(table.keys())
            if taste is None or taste == word
            for end in (column.low, column.top)
        ]
        out[f"rider_{name}"] = Leaf(tuple(sorted({min(ends), max(ends)})))
    return out


def _classes(catalogue: Catalogue) -> tuple[ClassRanges, ...]:
    table = catalogue.tune_classes
    row = {word: k for k, word in enumerate(table.keys())}
    made = []
    for inner in (True, False):
        ends = []
        for name in ("rebound_low", "rebound_high", "compression_low", "compression_high"):
            column = table.number(f"{name}_n_s_per_m")
            top = column.top
            upper = inner == name.endswith("low")
            ends.append(tuple(float((top if upper else column.low)[row[w]]) for w in words.CLASSES))
        made.append(ClassRanges(*ends))
    return tuple(dict.fromkeys(made))
