"""A chart for the wall: what to set for each rider's mass, and how far a setting serves."""

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from recommender.answer.cautions import PRESSURE, USUAL
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Floats
from recommender.facts.units import UNITS
from recommender.fleet.fleet import Fleet
from recommender.fleet.groups import Group
from recommender.fleet.records import ChartLine, ChartRecord, ChartsRecord, ReachRecord
from recommender.fleet.task import Build, Way
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

AIR = f"Start pressure, with the shock fully extended. Check the sag. {PRESSURE}"
COIL = "Check the sag. Preload within the shock's manual."
PSI_IN_BAR = UNITS["psi"][1] / UNITS["bar"][1]


def charts_record(fleet: Fleet) -> ChartsRecord:
    """A chart for every group of the plan and each way it is served."""
    made: dict[tuple[int, Build], ChartRecord] = {}
    for way, _ in fleet.plan.taken:
        key = way.group, way.build
        if key not in made:
            made[key] = chart(fleet.groups[way.group], way, fleet.catalogue)
    return ChartsRecord(
        invented=fleet.invented, charts=tuple(one for _, one in sorted(made.items())),
        cautions=USUAL if made else (),
    )


def chart(group: Group, way: Way, catalogue: Catalogue, step: float = STEP_KG) -> ChartRecord:
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
    return ChartRecord(
        group=group.name, model=group.model, build=str(way.build), riders=group.riders_text,
        lines=lines, reaches=reaches,
        caution=COIL if all(one.pressure_psi is None for one in lines) else AIR,
    )  # fmt: skip


def _between(low: float, high: float, step: float) -> list[float]:
    first = math.ceil(low / step)
    return [k * step for k in range(first, math.floor(high / step) + 1)]


def _setting(how: Mounting, mass: float) -> Setting:
    """The setting of that mass; where two meet, the heavier riders'."""
    return next(one for one in reversed(how.settings) if one.low <= mass)


def _trial(group: Group, how: Mounting, catalogue: Catalogue) -> Trial:
    """The rules for this one shock."""
    market = open_market(group.question, catalogue)
    kind = market.shocks.choice("spring_kind").word(how.row) or ""
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
) -> ChartLine:  # fmt: skip
    plain = trial.made.frames
    scalars = mass_scalars(group.question, catalogue, mass)
    frames = Frames(plain.owners, plain.owner_facts, scalars, plain.options).nominal()

    def value(name: str) -> float:
        with np.errstate(all="ignore"):
            found = np.broadcast_to(frames.at(name, SETTINGS), (frames.layout(SETTINGS).size,))
        return float(found[rows[setting.spring]])

    coil = value("spring_is_coil") == 1
    psi = value("fill_psi")
    return ChartLine(
        mass_kg=mass, spring=setting.spring,
        pressure_psi=None if coil else round(psi, 1),
        pressure_bar=None if coil else round(psi * PSI_IN_BAR, 2),
        rate_n_per_mm=round(value("rate_n_per_mm"), 2) if coil else None,
        sag_mm=round(value("sag_mm"), 2), sag_percent=round(value("sag_percent"), 2), end=end,
    )  # fmt: skip


def _reach(trial: Trial, row: int, setting: Setting) -> ReachRecord:
    """How far the setting serves beyond the riders it is used for, by bisection on the margins;
    rounded to its inside."""

    def holds(mass: float) -> bool:
        return bool(trial.passes(mass)[row])

    low = _end(holds, setting.low, LEAST_KG)
    high = _end(holds, setting.high, MOST_KG)
    return ReachRecord(
        spring=setting.spring,
        low_kg=math.ceil(round(low * 100, 6)) / 100, high_kg=math.floor(round(high * 100, 6)) / 100,
    )  # fmt: skip


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

