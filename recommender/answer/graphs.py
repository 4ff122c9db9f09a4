"""What the pictures draw, as plain numbers: curves, gaps, rooms, margins and the size map.

Lengths in mm, forces in N. Nothing here judges; every figure is the one the rules read.
"""

from collections import Counter
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from recommender.answer.bundle import completion_of
from recommender.answer.wording import completion_kind
from recommender.catalogue.columns import Floats
from recommender.facts.units import UNITS
from recommender.facts.words import MOUNTS
from recommender.mechanics import air, sag
from recommender.mechanics.leverage import Leverage
from recommender.ranking.order import Ranked
from recommender.rules.choices import Market
from recommender.rules.registry import FIGURES, RULES
from recommender.rules.room import BODY, PLACES, ROOMS, air_left
from recommender.rules.size import ApprovedSizes
from recommender.rules.spring import chambers
from recommender.search.completion import Completion
from recommender.search.verdicts import STATES, Verdicts

MM = UNITS["mm"][1]
PSI = UNITS["psi"][1]
N_PER_MM = UNITS["n_per_mm"][1]
STEPS = 61
MOST_CORNERS = 256
UNMEASURED_MM = 60.0
"""A gap whose ends lie farther apart is not worth drawing."""


@dataclass(frozen=True)
class SizeDot:
    """Shocks of one size: how many there are of each state."""

    length_mm: float
    stroke_mm: float
    mount: str
    counts: dict[str, int]


@dataclass(frozen=True)
class Window:
    """One approved size: lengths from `low_mm` to `high_mm`, strokes up to the ceiling."""

    low_mm: float
    high_mm: float
    ceiling_mm: float


@dataclass(frozen=True)
class Curve:
    """One shock on this frame: against shaft compression, the wheel's travel, the leverage ratio
    and the force at the wheel; and where it stands at sag."""

    name: str
    shaft_mm: Floats
    wheel_mm: Floats
    ratio: Floats
    force_n: Floats
    sag_shaft_mm: float
    sag_wheel_mm: float
    sag_ratio: float
    sag_force_n: float


@dataclass(frozen=True)
class GapCurve:
    """Tyre gap at full compression against stroke, for a shock of the frame's nominal length."""

    stroke_mm: Floats
    low_mm: Floats
    high_mm: Floats
    wanted_mm: float
    ceiling_mm: float | None


@dataclass(frozen=True)
class Zone:
    """Room and body toward one side in one third, and the air between them; None: not known."""

    third: str
    side: str
    body_mm: float | None
    room_mm: float | None
    air_low_mm: float
    air_high_mm: float


@dataclass(frozen=True)
class RoomDrawing:
    """The body in its room. Thirds run from the frame's head mount to its shaft mount."""

    length_mm: float
    stroke_mm: float
    wanted_mm: float
    zones: tuple[Zone, ...]
    coil_radius_mm: float | None
    reversed: bool


@dataclass(frozen=True)
class MarginBar:
    """By how much a rule is met, at worst and at best; below 0 it is broken."""

    rule: str
    unit: str
    low: float
    high: float


def size_map(market: Market, verdicts: Verdicts) -> tuple[list[SizeDot], list[Window]]:
    """Every size of the catalogue with its verdicts, and the frame's approved windows."""
    length, stroke = market.shocks.number("length_mm"), market.shocks.number("stroke_mm")
    mount = market.shocks.choice("head_mount").words()
    counts: dict[tuple[float, float, str], Counter[str]] = {}
    for row, state in enumerate(verdicts.state.tolist()):
        if not (length.is_known[row] and stroke.is_known[row]):
            continue
        middle = [(float(one.low[row]) + float(one.top[row])) / 2 for one in (length, stroke)]
        key = (round(middle[0] * 2) / 2, round(middle[1] * 2) / 2, mount[row] or MOUNTS[0])
        counts.setdefault(key, Counter())[STATES[state]] += 1
    dots = [SizeDot(*key, dict(found)) for key, found in sorted(counts.items())]
    sizes: ApprovedSizes = market.scalars["bike_sizes"].nominal
    off = float(market.scalars["bike_length_tolerance_mm"].nominal)
    windows = [
        Window(length - off, length + off, ceiling)
        for length, ceiling in zip(sizes.lengths, sizes.ceilings, strict=True)
    ]
    return dots, windows


def curve(ranked: Ranked, name: str) -> Curve | None:
    """The curves of a bundle; None where its spring cannot be drawn."""
    completion = completion_of(ranked)
    leverage: Leverage = completion.whole.market.scalars["bike_leverage"].nominal
    number = completion.number
    stroke, shift, at = number("stroke_mm"), number("length_difference_mm"), number("sag_mm")
    if not all(np.isfinite([stroke, shift, at])):
        return None
    x = np.linspace(0.0, stroke, STEPS)
    with np.errstate(all="ignore"):
        force = _shock_force(completion, x, at)
        there = _shock_force(completion, np.array([at]), at)[0]
        ratio = np.asarray(leverage.ratio((x - shift) * MM))
        own = float(leverage.ratio((at - shift) * MM))
        wheel = np.asarray(sag.travel(leverage, x * MM, shift * MM)) / MM
        down = float(sag.travel(leverage, at * MM, shift * MM)) / MM
        at_wheel = force / ratio
    if not (np.isfinite(at_wheel).all() and np.isfinite(there)):
        return None
    return Curve(name, x, wheel, ratio, at_wheel, at, down, own, float(there) / own)


def _shock_force(completion: Completion, x_mm: Floats, sag_mm: float) -> Floats:
    """Force at the shock while riding; the coil's is its static one."""
    number = completion.number
    if completion_kind(completion) == "coil":
        rate, preload = number("rate_n_per_mm"), number("preload_mm")
        return rate * N_PER_MM * (x_mm + preload) * MM
    spring = chambers(
        number("shock_piston_area_mm2"), number("shock_chamber_cm3"),
        number("shock_negative_area_mm2"), number("shock_negative_chamber_cm3"),
        number("shock_equalise_at_mm"), number("shock_volume_spacer_cm3"),
        number("spring_spacers"),
    )  # fmt: skip
    return np.asarray(
        air.riding_force(number("fill_psi") * PSI, sag_mm * MM, x_mm * MM, spring), float
    )


def gap_curve(market: Market, strokes: tuple[float, float]) -> GapCurve | None:
    """The gap over a range of strokes; None where the gap was not measured."""
    figure = FIGURES["tyre_gap_mm"]
    x = np.linspace(*strokes, STEPS)
    told: dict[str, tuple[Any, ...]] = {"stroke_mm": (x,), "length_difference_mm": (0.0,)}
    corners = [told.get(name) or market.scalars[name].corners for name in figure.reads]
    if np.prod([len(one) for one in corners]) > MOST_CORNERS:
        return None
    with np.errstate(all="ignore"):
        every = np.stack(
            [np.broadcast_to(figure.formula(*one), x.shape) for one in product(*corners)]
        )
    low, high = every.min(axis=0), every.max(axis=0)
    if not np.isfinite(every).all() or float(np.min(high - low)) > UNMEASURED_MM:
        return None
    sizes: ApprovedSizes = market.scalars["bike_sizes"].nominal
    wanted = float(market.scalars["bike_tyre_minimum_gap_mm"].corners[-1])
    return GapCurve(x, low, high, wanted, sizes.ceilings[0] if sizes.ceilings else None)


def room_drawing(ranked: Ranked) -> RoomDrawing:
    """The body of a bundle's shock in the room that the frame gives it."""
    completion = completion_of(ranked)
    number = completion.number
    turned = number("clocking_turned")
    reversed_ = float(completion.frames.owner_facts["shock_reversed"].low[0])
    low, high = (
        [float(np.asarray(one).reshape(-1)[0]) for one in air_left(
            turned, reversed_, *(completion.interval(name)[side] for name in ROOMS),
            *(completion.interval(name)[1 - side] for name in BODY))]
        for side in (0, 1)
    )  # fmt: skip
    # Room less nothing is the room as the air is measured from it.
    zones = tuple(
        Zone(third, side, *_seen(completion, k, turned, reversed_), low[k], high[k])
        for k, (third, side) in enumerate(PLACES)
    )
    coil = None
    if completion_kind(completion) == "coil":
        coil = number("spring_outer_diameter_mm") / 2
    return RoomDrawing(
        number("shock_length_mm"), number("stroke_mm"), number("bike_room_minimum_air_mm"), zones,
        coil, bool(reversed_),
    )  # fmt: skip


def _seen(
    completion: Completion, place: int, turned: float, reversed_: float
) -> tuple[float | None, float | None]:
    """Body radius and room at a place, each None where it is not known to a few mm."""
    spans = [completion.interval(name) for name in (*ROOMS, *BODY)]
    zero = [0.0] * 12
    body = [-float(np.asarray(one).reshape(-1)[0]) for end in (0, 1) for one in [air_left(
        turned, reversed_, *zero, *(span[end] for span in spans[12:]))[place]]]  # fmt: skip
    room = spans[place]
    known = [high - low <= UNMEASURED_MM / 2 for low, high in (body, room)]
    return (
        (body[0] + body[1]) / 2 if known[0] else None,
        (room[0] + room[1]) / 2 if known[1] else None,
    )


def margin_bars(ranked: Ranked) -> list[MarginBar]:
    """Every rule with an amount that this bundle is held to, tightest first within its unit."""
    completion = completion_of(ranked)
    kind = completion_kind(completion)
    live = {rule for group in completion.whole.groups for rule in group.rules}
    bars = []
    for rule in RULES.values():
        if rule not in live or rule.categorical or rule.springs not in ("", kind):
            continue
        low, high = completion.margin(rule)
        if np.isfinite([low, high]).all() and max(abs(low), abs(high)) < 1e4:
            bars.append(MarginBar(rule.name, rule.unit, low, high))
    return sorted(bars, key=lambda bar: (bar.unit, bar.low, bar.rule))
