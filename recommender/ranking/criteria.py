"""The criteria: value functions as data, anchored to wishes and limits, never to the candidates.

A value lies in [0, 1]; points are weight times value. Breakpoints without a wish behind them are
from memory and may be overridden by weights, not by the catalogue at hand.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.wishes import Band, Wish, Wishes
from recommender.rules.asked import sag_band

TOTALS = ("price", "mass", "days", "workshop", "doubt")
"""Quantities of the whole bundle: sums over its parts; days are the most over them."""


@dataclass(frozen=True)
class Criterion:
    """What is valued (`fact`: a figure, or one of TOTALS), how, and how much it counts.

    `points` are (quantity, value) pairs, rising in the quantity; between them the value is linear,
    beyond them constant.
    """

    name: str
    fact: str
    unit: str
    points: tuple[tuple[float, float], ...]
    weight: float
    wish: str = ""

    def value(self, quantity: Any) -> Floats:
        """Value of each quantity, rounded so that page, certificate and terminal agree."""
        x = np.array([x for x, _ in self.points])
        v = np.array([v for _, v in self.points])
        at = np.nan_to_num(np.asarray(quantity, float))
        rounded: Floats = np.round(np.interp(at, x, v), 6)
        return rounded

    @property
    def total(self) -> bool:
        return self.fact in TOTALS


def criteria(wishes: Wishes) -> tuple[Criterion, ...]:
    """The criteria that count for these wishes, in the order in which points are summed."""
    made = every(wishes)
    comfort = {one.name for one in made if not one.wish}
    unknown = [name for name in wishes.weights if name not in comfort]
    if unknown:
        raise BadInput(
            Problem(
                "wishes", f"no such criterion; accepted: {', '.join(sorted(comfort))}"
                f"{nearest(name, sorted(comfort))}", column="wishes.weights", value=name,
            )
            for name in unknown
        )  # fmt: skip
    return tuple(one for one in made if one.weight > 0)


def every(wishes: Wishes) -> list[Criterion]:
    """The same with those weighed at nothing, which may be asked for by name."""
    return [*_of_wishes(wishes), *_of_comfort(wishes)]


def _of_wishes(wishes: Wishes) -> list[Criterion]:
    out = [_price(wishes), _mass(wishes), _days(wishes), _workshop(wishes)]
    if wishes.travel_mm.stated:
        points = _band(wishes.travel_mm, 10.0)
        out.append(
            Criterion("travel", "travel_mm", "mm", points, wishes.travel_mm.weight, "travel_mm")
        )
    out.append(_sag(wishes))
    yes = ((0.0, 0.0), (1.0, 1.0))
    for name, fact, wish in (
        ("spring kind", "spring_kind_met", wishes.spring_kind),
        ("adjusters", "adjusters_met", wishes.adjusters),
        ("tune", "tune_met", wishes.tune), ("lockout", "lockout_met", wishes.lockout),
        ("remote", "remote_met", wishes.remote),
    ):  # fmt: skip
        stated: Wish[Any] = wish
        if stated.stated and stated.aim != "by the numbers":
            out.append(Criterion(name, fact, "share", yes, stated.weight, name.replace(" ", "_")))
    aim = wishes.reserve_mm.aim
    top = 150.0 if aim is None else max(float(aim), 1.0)
    out.append(
        Criterion("bottom-out reserve", "reserve_mm", "mm", ((0.0, 0.0), (top, 1.0)),
                  wishes.reserve_mm.weight, "reserve_mm")
    )  # fmt: skip
    return out


def _falling(wish: Wish[float], default: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """1 at nothing, 0.6 at the aim, 0 at the must (or at one and a half times the aim)."""
    if wish.aim is None:
        return ((default[0], 1.0), (default[1], 0.0))
    aim = max(float(wish.aim), 1e-6)
    most = wish.must if wish.must is not None and wish.must > aim else 1.5 * aim
    return ((0.0, 1.0), (aim, 0.6), (float(most), 0.0))


def _price(wishes: Wishes) -> Criterion:
    points = _falling(wishes.budget, (0.0, 1200.0))
    return Criterion("price", "price", wishes.currency, points, wishes.budget.weight, "budget")


def _mass(wishes: Wishes) -> Criterion:
    points = _falling(wishes.mass_g, (200.0, 1400.0))
    return Criterion("mass", "mass", "g", points, wishes.mass_g.weight, "mass_g")


def _days(wishes: Wishes) -> Criterion:
    points = _falling(wishes.days, (0.0, 21.0))
    return Criterion("days", "days", "days", points, wishes.days.weight, "days")


def _workshop(wishes: Wishes) -> Criterion:
    points = ((0.0, 1.0), (3.0, 0.0))
    weight = wishes.no_workshop.weight
    return Criterion("work needed", "workshop", "workshop jobs", points, weight, "no_workshop")


def _band(wish: Wish[Band], fade: float) -> tuple[tuple[float, float], ...]:
    """1 inside the band aimed at, falling to 0 `fade` outside it."""
    band = wish.aim or Band()
    low = 0.0 if band.low is None else band.low
    high = 1e4 if band.high is None else band.high
    inside = ((low, 1.0), (high, 1.0)) if high > low else ((low, 1.0),)
    return ((low - fade, 0.0), *inside, (high + fade, 0.0))


def _sag(wishes: Wishes) -> Criterion:
    low, high = sag_band(wishes)
    target = min(max(wishes.sag_target_percent, low), high)
    points: tuple[tuple[float, float], ...] = (
        (target - 5.0, 0.0), (target, 1.0), (target + 5.0, 0.0),
    )  # fmt: skip
    if wishes.sag_percent.prefer is not None:
        points = _band(wishes.sag_percent, 5.0)
    return Criterion("sag", "sag_percent", "%", points, wishes.sag_percent.weight, "sag_percent")


def _of_comfort(wishes: Wishes) -> list[Criterion]:
    down = ((0.0, 1.0), (1.0, 0.0))
    table: tuple[tuple[str, str, str, tuple[tuple[float, float], ...]], ...] = (
        ("pressure headroom", "pressure_headroom", "share", ((0.0, 0.0), (0.5, 1.0))),
        ("place in the rebound range", "rebound_off_middle", "share", down),
        ("place in the compression range", "compression_off_middle", "share", down),
        ("tyre gap to spare", "tyre_gap_spare_mm", "mm", ((0.0, 0.0), (6.0, 1.0))),
        ("room to spare", "body_air_spare_mm", "mm", ((0.0, 0.0), (5.0, 1.0))),
        ("head hardware play", "head_play_mm", "mm", ((0.0, 1.0), (0.5, 0.0))),
        ("shaft hardware play", "shaft_play_mm", "mm", ((0.0, 1.0), (0.5, 0.0))),
        ("certainty", "doubt", "open rules", ((0.0, 1.0), (4.0, 0.0))),
    )
    default = {"head hardware play": 0.25, "shaft hardware play": 0.25, "certainty": 2.0}
    return [
        Criterion(name, fact, unit, points, wishes.weights.get(name, default.get(name, 0.5)))
        for name, fact, unit, points in table
    ]
