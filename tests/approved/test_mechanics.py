"""Every function of mechanics over a small grid, its edges among them, gives what is kept: see
`test_questions`."""

from collections.abc import Callable, Iterator
from itertools import product
from typing import Any

import numpy as np

from recommender.mechanics import air, clearance, coil, curve, damping, load, roots, sag, springing
from recommender.mechanics.air import AirSpring
from recommender.mechanics.leverage import Leverage
from tests.approved.kept import same_as_kept
from tests.approved.plain import short

X = np.arange(6) / 100
CURVES = (
    Leverage.linear(2.86, 2.34, 0.050), Leverage.constant(0.130, 0.050),
    Leverage.linear(2.2, 2.9, 0.055), Leverage.table(X, 2.86 * X - 6 * X**2 + 40 * X**3),
    Leverage.table(X[1:], [0.0283, 0.0561, 0.0834, 0.1102, 0.1365], 0.001),
)  # fmt: skip
SPRINGS = (
    AirSpring(1700e-6, 150e-6, 1200e-6, 30e-6, 0.004), AirSpring(1700e-6, 150e-6, 0.0, 0.0, 0.0),
    AirSpring(1700e-6, 100e-6, 1650e-6, 20e-6, 0.0), AirSpring(2000e-6, 100e-6, 1200e-6, 0.0, 0.01),
)  # fmt: skip
AT = np.array([-0.002, 0.0, 0.004, 0.015, 0.050, 0.0525, 0.060, 0.090])
GRIDS: dict[Callable[..., Any], tuple[tuple[Any, ...], ...]] = {
    air.fill_pressure: ((0.0, 400.0, 1500.0), (AT,), SPRINGS),
    air.slow_force: ((0.0, 1.2e6), (AT,), SPRINGS),
    air.extended_force: ((0.0, 1.2e6), SPRINGS),
    air.sag: ((0.0, 1.2e6), (0.0, np.array([200.0, 520.0, 2000.0])), CURVES, SPRINGS, (0.0, 0.003),
              (0.05,)),
    air.riding_force: ((1.2e6,), (0.0, 0.015), (AT,), SPRINGS, (1.0, 1.3)),
    air.riding_rate: ((1.2e6,), (0.0, 0.015), (AT,), SPRINGS, (1.0, 1.3)),
    air.riding_energy: ((0.3e6, 1.2e6), (0.0, 0.015), (AT,), SPRINGS, (1.0, 1.3)),
    air.polytropic_pressure: ((1e5,), (0.5, 1.0, 2.0), (1.0, 1.3)),
    air.polytropic_work: ((1e5,), (0.0, 1e-4), (0.0, 5e-5, 1e-4, 2e-4), (1.0, 1.3)),
    air.pressure_at_temperature: ((0.0, 1e6), (293.15,), (273.15, 293.15, 313.15)),
    clearance.tyre_diameter: ((0.559, 0.622), (0.020, 0.0279, 0.028, 0.0281, 0.061)),
    clearance.growth: (CURVES, (AT,), (0.0, 0.003), (0.0, 0.050)),
    clearance.tyre_gap: ((0.014,), (0.0, 0.6, 1.0), (-0.002, 0.0, 0.005), (-0.003, 0.0, 0.006)),
    clearance.bottom_bracket_rise: (CURVES, (-0.003, 0.0, 0.003)),
    coil.rate_for_sag: ((0.0, 1400.0), (0.010, 0.015), (0.0, 0.002)),
    coil.force: ((9e4,), (0.0, 0.002), (AT,)),
    coil.sag: ((4e4, 9e4), (0.0, 0.002), (np.array([0.0, 200.0, 520.0, 2000.0]),), CURVES,
               (0.0, 0.003), (0.05,)),
    coil.helical_rate: ((0.012,), (0.048,), (5.0, 6.5), (7.9e10,)),
    coil.solid_length: ((0.012,), (6.0, 8.0)),
    damping.needed_coefficient: ((0.0, 0.25), (-1.0, 0.0, 12e3), (53.0,), (2.6,)),
    load.rear_sprung_mass: ((80.0,), (0.0, 0.6), (0.0, 5.0)), load.wheel_force: ((0.0, 53.0),),
    load.shock_force: ((520.0,), (2.34, 2.86)),
    roots.rising_root: ((lambda x: (x**3 - 2, 3 * x**2), lambda x: (x - 1, np.ones_like(x)),
                         lambda x: (np.sign(x - 0.3), np.zeros_like(x))),
                        (0.0, np.array([0.0, 1.0])), (2.0, np.array([2.0, 1.5]))),
    sag.wheel_sag: (CURVES, (AT,), (0.0, 0.003)), sag.travel: (CURVES, (AT,), (0.0, 0.003)),
    sag.shaft_sag: (CURVES, (0.0, 0.030, 0.130), (0.0, 0.003), (0.050,)),
    springing.coil_energy: ((9e4,), (0.0, 0.002), (0.0, 0.05)),
    springing.reserve_height: ((0.0, 150.0), (53.0,), (0.0, 0.13)),
    springing.wheel_rate: ((9e4,), (0.0, 1400.0), (2.34, 2.86), (-10.4, 0.0)),
    springing.wheel_damping: ((3500.0,), (2.34, 2.86)),
    springing.natural_frequency: ((0.0, 12e3), (53.0,)),
    springing.damping_ratio: ((0.0, 500.0), (12e3,), (53.0,)),
    springing.damped_frequency: ((0.0, 500.0, 5000.0), (12e3,), (53.0,)),
    curve.derivative: (((0.0, 1.0, 2.0, 3.0),), (0, 1, 2, 3)),
    curve.least: (tuple(map(np.array, ([1.0, -2.0, 1.5], [1.0, 2.0], [3.0], [0.0, 1, -4, 4]))),),
    Leverage.travel: (CURVES, (AT,)), Leverage.ratio: (CURVES, (AT,)),
    Leverage.slope: (CURVES, (AT,)), Leverage.least_curvature: (CURVES,),
    Leverage.scaled: (CURVES, (0.97, 1.0)),
}  # fmt: skip
REFUSED = (
    lambda: Leverage.constant(0.0, 0.05), lambda: Leverage.constant(0.13, float("inf")),
    lambda: Leverage.linear(2.8, -0.1, 0.05), lambda: CURVES[0].scaled(0.0),
    lambda: Leverage.table([0, 0.01], [0, 0.02]), lambda: Leverage.table(X, X[:3]),
    lambda: Leverage.table(X, [0, 0.03, float("nan"), 0.06, 0.09, 0.1]),
    lambda: Leverage.table(X, X + 0.001), lambda: Leverage.table(X, [0, 1, 2, 2, 3, 4]),
    lambda: Leverage.table(X[1:], [1, 2, 4, 3, 5]), lambda: Leverage.table(X[:3], X[:3]),
    lambda: Leverage.table(X, [0, 0.03, 0.05, 0.09, 0.1, 0.13]),
    lambda: Leverage.table(X, 2 * X, 0.0),
)  # fmt: skip


def told() -> Iterator[str]:
    """A line for each point of a grid."""
    for function, grid in GRIDS.items():
        yield function.__qualname__
        for point in product(*grid):
            with np.errstate(all="ignore"):
                yield f"  {short(function(*point))}"
    for attempt in REFUSED:
        try:
            yield short(attempt())
        except ValueError as error:
            yield str(error)


def test_mechanics_gives_what_it_gave() -> None:
    same_as_kept("mechanics", told())
