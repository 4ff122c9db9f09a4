"""A chart for the wall: what to set for each rider's mass, and how far a setting serves."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Floats
from recommender.fleet.groups import Group
from recommender.fleet.task import Way
from recommender.fleet.trial import SETTINGS, Trial, mass_scalars
from recommender.fleet.ways import Mounting, Setting, mounting
from recommender.rules.market import open_market
from recommender.search.frames import Frames
from recommender.search.groups import rules_of
from recommender.search.owners import owners

STEP_KG = 5.0
LEAST_KG, MOST_KG = 25.0, 200.0
CLOSE_KG = 0.05
"""How finely the end of a setting's interval is found."""


@dataclass(frozen=True)
class Line:
    """One mass: setting, pressure (None for a coil), coil rate (None for air) and shaft sag."""

    mass_kg: float
    spring: str
    pressure_psi: float | None
    rate_n_per_mm: float | None
    sag_mm: float
    sag_percent: float
    end: bool


@dataclass(frozen=True)
class Reach:
    """The masses that one setting serves, the rules asked at both ends."""

    spring: str
    low_kg: float
    high_kg: float


@dataclass(frozen=True)
class Chart:
    """Lines by mass, the ends of the range to be served marked; `reaches` of its settings."""

    group: Group
    build: str
    lines: tuple[Line, ...]
    reaches: tuple[Reach, ...]


def chart(group: Group, way: Way, catalogue: Catalogue, step: float = STEP_KG) -> Chart:
    """The chart of a group's bikes served that way."""
    how = mounting(way)
    trial = _trial(group, how, catalogue)
    rows = {one.spring: _row(trial, how, one.spring) for one in how.settings}
    low, high = group.riders.low, group.riders.high
    masses = sorted({low, high, *_between(low, high, step), *(one.low for one in how.settings)})
    lines = tuple(
        _line(group, catalogue, trial, _setting(how, mass), rows, mass, mass in (low, high))
        for mass in masses
    )
    reaches = tuple(_reach(trial, rows[one.spring], one) for one in how.settings)
    return Chart(group, way.build, lines, reaches)


def _between(low: float, high: float, step: float) -> list[float]:
    first = math.ceil(low / step)
    return [k * step for k in range(first, math.floor(high / step) + 1)]


def _setting(how: Mounting, mass: float) -> Setting:
    """The setting of that mass; where two meet, the heavier riders'."""
    return next(one for one in reversed(how.settings) if one.low <= mass)


def _trial(group: Group, how: Mounting, catalogue: Catalogue) -> Trial:
    """The rules for this one shock."""
    market = open_market(group.question, catalogue)
    kind = market.shocks.choice("spring_kind").words()[how.row] or ""
    made = owners(market, np.array([how.row], np.int64))
    return Trial(group.question, catalogue, market, rules_of(group.question.wishes, kind), made)


def _row(trial: Trial, how: Mounting, spring: str) -> int:
    """The row of the frame of SETTINGS that the way and a spring setting choose."""
    frames, market = trial.made.frames, trial.market
    layout = frames.layout(SETTINGS)

    def labels(name: str, of: Sequence[object] | Floats) -> Any:
        one = frames.options[name]
        rows = one.row[one.start[layout.owner] + layout.position[name]]
        return np.asarray(of)[rows]

    mask = trial.made.turned[layout.owner] == how.turned
    mask &= labels("stroke", market.stroke_mm.nominal.low) == how.stroke_mm
    mask &= labels("tune", market.tunes.labels) == how.tune
    mask &= labels("spring", market.springs.labels) == spring
    mask &= layout.position["clocking"] == int(how.clocked)
    return int(np.flatnonzero(mask)[0])


def _line(
    group: Group, catalogue: Catalogue, trial: Trial, setting: Setting, rows: dict[str, int],
    mass: float, end: bool,
) -> Line:  # fmt: skip
    plain = trial.made.frames
    scalars = mass_scalars(group.question, catalogue, mass)
    frames = Frames(plain.owners, plain.owner_facts, scalars, plain.options).nominal()

    def value(name: str) -> float:
        with np.errstate(all="ignore"):
            found = np.broadcast_to(frames.at(name, SETTINGS), (frames.layout(SETTINGS).size,))
        return float(found[rows[setting.spring]])

    coil = value("spring_is_coil") == 1
    return Line(
        mass, setting.spring, None if coil else value("fill_psi"),
        value("rate_n_per_mm") if coil else None, value("sag_mm"), value("sag_percent"), end,
    )  # fmt: skip


def _reach(trial: Trial, row: int, setting: Setting) -> Reach:
    """How far the setting serves beyond the riders it is used for, by bisection on the margins."""

    def holds(mass: float) -> bool:
        return bool(trial.passes(mass)[row])

    low = _end(holds, setting.low, LEAST_KG)
    high = _end(holds, setting.high, MOST_KG)
    return Reach(setting.spring, low, high)


def _end(holds: Callable[[float], bool], inside: float, outside: float) -> float:
    """The last mass from `inside` toward `outside` at which the rules still hold, within CLOSE_KG;
    what is returned has been asked and holds."""
    if holds(outside):
        return outside
    while abs(outside - inside) > CLOSE_KG:
        middle = (inside + outside) / 2
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside

