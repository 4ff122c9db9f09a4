"""Every function of the mechanics over its whole domain: which way it goes along each argument,
that its units agree, and its limits.

Units: with metre, kilogram and second made a, b and c times smaller, every number in grows by its
dimension, and so must the number out (Buckingham's theorem; D). Constants grow alike. Limits: D,
closed forms.
"""

import inspect
import math
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender import mechanics
from recommender.facts.units import ATMOSPHERE, GRAVITY
from recommender.mechanics import (
    air,
    array,
    clearance,
    coil,
    curve,
    damping,
    load,
    roots,
    sag,
    springing,
)  # fmt: skip
from recommender.mechanics.leverage import Leverage

MODULES = [
    import_module(f"{mechanics.__name__}.{one.name}")
    for one in pkgutil.iter_modules(mechanics.__path__)
]
Dimension = tuple[int, int, int]
ONE, M, KG, N = (0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, -2)
PA, J, N_PER_M, M2, M3 = (-1, 1, -2), (2, 1, -2), (0, 1, -2), (2, 0, 0), (3, 0, 0)
NS_PER_M, PER_S, PER_M = (0, 1, -1), (0, 0, -1), (-1, 0, 0)
CONSTANTS: dict[str, Dimension] = {
    "ATMOSPHERE": PA, "GRAVITY": (1, 0, -2), "NARROW": M, "NARROW_RISE": M,
}  # fmt: skip
UP, DOWN, EITHER = 1, -1, 0


@dataclass(frozen=True)
class Over:
    """An argument's domain in SI, its dimension, and which way the result goes along it."""

    low: float
    high: float
    unit: Dimension
    way: int = EITHER


@dataclass(frozen=True)
class Case:
    function: Callable[..., Any]
    unit: Dimension
    over: dict[str, Over]


def case(function: Callable[..., Any], unit: Dimension, **over: Over) -> Case:
    return Case(function, unit, over)


# No stroke goes far beyond the known curve, where a ratio that falls could fall below 0.
FRAME = {"a": Over(1.2, 4.5, ONE), "b": Over(1.2, 4.5, ONE), "end": Over(0.06, 0.09, M)}
SHIFT = Over(-0.004, 0.004, M)
# Fractions of one another, so that every draw is a spring that can be built.
CHAMBERS = {
    "area": Over(1e-3, 2.5e-3, M2), "spare": Over(1.2, 4.0, ONE), "share": Over(0.0, 0.9, ONE),
    "negative": Over(5e-6, 60e-6, M3), "meet": Over(0.0, 0.008, M),
}  # fmt: skip
FILL, EXPONENT = Over(1e5, 30e5, PA), Over(1.0, 1.5, ONE)
STROKE = 0.05
SWEPT = Over(STROKE, STROKE, M)


def frame(a: float, b: float, end: float) -> Leverage:
    return Leverage.linear(a, b, end)


def spring(
    area: float, spare: float, share: float, negative: float, meet: float, swept: float
) -> air.AirSpring:
    return air.AirSpring(area, spare * area * swept, share * area, negative, meet)


def of_spring(function: Callable[..., Any]) -> Callable[..., Any]:
    names = (*CHAMBERS, "swept")

    def call(**told: float) -> Any:
        return function(spring(*(told.pop(name) for name in names)), **told)

    return call


def of_frame(function: Callable[..., Any]) -> Callable[..., Any]:
    def call(**told: float) -> Any:
        return function(frame(*(told.pop(name) for name in FRAME)), **told)

    return call


def on_air(function: Callable[..., Any], unit: Dimension, **over: Over) -> Case:
    return Case(of_spring(function), unit, {**CHAMBERS, "swept": SWEPT, **over})


def on_frame(function: Callable[..., Any], unit: Dimension, **over: Over) -> Case:
    return Case(of_frame(function), unit, {**FRAME, **over})


def air_sag(spring: air.AirSpring, a: float, b: float, end: float, **told: float) -> Any:
    return air.sag(told["p0"], told["load"], frame(a, b, end), spring, told["shift"], told["limit"])


def table(stroke: float, travel: float) -> Leverage:
    x, z = READINGS
    return Leverage.table(x * stroke, z * travel, 0.001 * travel)


def smoothed(stroke: float, travel: float, u: float) -> Any:
    x, z = READINGS
    coefficients, _ = curve.smooth(x * stroke, z * travel, 0.001 * travel)
    return np.polynomial.polynomial.polyval(u, coefficients)


def ramp_root(load: float, rate: float, limit: float) -> Any:
    def taylor(x: Any, load: Any, rate: Any) -> tuple[Any, ...]:
        return rate * x - load, rate, np.zeros_like(x), np.full_like(x, np.inf)

    return roots.least_root(taylor, limit, load, rate)


READINGS = np.array([0, 0.2, 0.4, 0.6, 0.8, 1.0]), np.array([0, 0.22, 0.43, 0.63, 0.82, 1.0])
TABLE = {"stroke": Over(0.05, 0.09, M), "travel": Over(0.1, 0.2, M, UP)}
X, LATE = Over(0.0, 0.045, M, UP), Over(0.026, 0.045, M, UP)
SAG, SAG_AT = Over(0.005, 0.025, M), Over(0.0, 0.025, M)
CASES: dict[str, Case] = {
    "air.AirSpring.positive_volume_at": on_air(
        lambda s, x: s.positive_volume_at(x), M3, x=Over(0.0, 0.06, M, DOWN)),
    "air.AirSpring.negative_volume_at": on_air(
        lambda s, x: s.negative_volume_at(x), M3, x=Over(0.0, 0.06, M, UP)),
    "air.fill_pressure": on_air(
        lambda s, force, x: air.fill_pressure(force, x, s), PA,
        force=Over(100, 6000, N, UP), x=Over(0.009, 0.045, M, DOWN)),
    "air.slow_force": on_air(
        lambda s, p0, x: air.slow_force(p0, x, s), N, p0=FILL, x=X),
    "air.extended_force": on_air(lambda s, p0: air.extended_force(p0, s), N, p0=FILL),
    "air.sag": on_air(
        air_sag, M, **FRAME, p0=Over(2e5, 30e5, PA, DOWN), load=Over(200, 1300, N, UP),
        shift=SHIFT, limit=Over(0.04, 0.05, M)),
    "air.riding_force": on_air(
        lambda s, p0, at, x, n: air.riding_force(p0, at, x, s, n), N,
        p0=Over(1e5, 30e5, PA, UP), at=Over(0.008, 0.025, M), x=LATE, n=Over(1.0, 1.5, ONE, UP)),
    "air.riding_rate": on_air(
        lambda s, p0, at, x, n: air.riding_rate(p0, at, x, s, n), N_PER_M,
        p0=Over(1e5, 30e5, PA, UP), at=SAG_AT, x=Over(0.0, 0.045, M), n=EXPONENT),
    "air.riding_energy": on_air(
        lambda s, p0, at, stroke, n: air.riding_energy(p0, at, stroke, s, n), J,
        p0=FILL, at=SAG_AT, stroke=Over(0.026, 0.05, M, UP), n=EXPONENT),
    "air.polytropic_pressure": case(
        air.polytropic_pressure, PA, p_absolute=Over(0, 40e5, PA, UP),
        volume_ratio=Over(1, 20, ONE, UP), exponent=Over(1, 1.67, ONE, UP)),
    "air.polytropic_work": case(
        air.polytropic_work, J, p_absolute=Over(0, 40e5, PA, UP),
        volume_from=Over(1e-6, 2e-4, M3), volume_to=Over(2e-4, 1e-3, M3, UP),
        exponent=Over(1, 1.67, ONE, DOWN)),
    "air.pressure_at_temperature": case(
        air.pressure_at_temperature, PA, p_gauge=Over(-1e5, 40e5, PA, UP),
        temperature_from=Over(233, 353, ONE, DOWN), temperature_to=Over(233, 353, ONE, UP)),
    "clearance.tyre_diameter": case(
        clearance.tyre_diameter, M, bead_seat=Over(0.3, 0.7, M, UP),
        width=Over(0.028, 0.13, M, UP)),
    "clearance.growth": on_frame(
        clearance.growth, M, stroke=Over(0.03, 0.06, M, UP), shift=Over(-0.004, 0.004, M, DOWN),
        x0=Over(0.0, 0.06, M, DOWN)),
    "clearance.tyre_gap": case(
        clearance.tyre_gap, M, gap0=Over(0, 0.05, M, UP), closing=Over(0, 1, ONE, DOWN),
        growth=Over(0, 0.05, M, DOWN), diameter_difference=Over(-0.05, 0.05, M, DOWN)),
    "clearance.bottom_bracket_rise": on_frame(
        clearance.bottom_bracket_rise, M, shift=Over(-0.004, 0.004, M, UP)),
    "coil.rate_for_sag": case(
        coil.rate_for_sag, N_PER_M, force=Over(0, 6000, N, UP), sag=Over(0.001, 0.05, M, DOWN),
        preload=Over(0, 0.01, M, DOWN)),
    "coil.force": case(
        coil.force, N, rate=Over(0, 3e5, N_PER_M, UP), preload=Over(0, 0.01, M, UP),
        x=Over(0, 0.1, M, UP)),
    "coil.sag": on_frame(
        lambda f, rate, preload, load, shift, limit: coil.sag(rate, preload, load, f, shift, limit),
        M, rate=Over(1e4, 3e5, N_PER_M, DOWN), preload=Over(0, 0.01, M, DOWN),
        load=Over(100, 1300, N, UP), shift=SHIFT, limit=Over(0.03, 0.06, M)),
    "coil.helical_rate": case(
        coil.helical_rate, N_PER_M, wire=Over(1e-3, 2e-2, M, UP),
        mean_diameter=Over(1e-2, 1e-1, M, DOWN), active_coils=Over(1, 20, ONE, DOWN),
        shear_modulus=Over(1e10, 1e11, PA, UP)),
    "coil.solid_length": case(
        coil.solid_length, M, wire=Over(1e-3, 2e-2, M, UP), total_coils=Over(1, 20, ONE, UP)),
    "damping.needed_coefficient": case(
        damping.needed_coefficient, NS_PER_M, zeta=Over(0, 2, ONE, UP),
        wheel_rate=Over(-1e4, 1e5, N_PER_M, UP), mass=Over(10, 150, KG, UP),
        ratio=Over(1.2, 4.5, ONE, UP)),
    "load.rear_sprung_mass": case(
        load.rear_sprung_mass, KG, rider_kg=Over(20, 200, KG, UP),
        rear_share=Over(0, 1, ONE, UP), bike_rear_sprung_kg=Over(0, 40, KG, UP)),
    "load.wheel_force": case(load.wheel_force, N, mass=Over(0, 250, KG, UP)),
    "load.shock_force": case(
        load.shock_force, N, wheel_force=Over(0, 2000, N, UP), ratio=Over(1.2, 4.5, ONE, UP)),
    "sag.wheel_sag": on_frame(
        sag.wheel_sag, M, shaft_sag=Over(0, 0.06, M, UP), shift=SHIFT),
    "sag.travel": on_frame(sag.travel, M, stroke=Over(0, 0.06, M, UP), shift=SHIFT),
    "sag.shaft_sag": on_frame(
        sag.shaft_sag, M, wheel_sag=Over(0, 0.1, M, UP), shift=SHIFT,
        stroke=Over(0.03, 0.06, M)),
    "springing.coil_energy": case(
        springing.coil_energy, J, rate=Over(0, 3e5, N_PER_M, UP), preload=Over(0, 0.01, M, UP),
        stroke=Over(0, 0.1, M, UP)),
    "springing.reserve_height": case(
        springing.reserve_height, M, energy=Over(0, 1000, J, UP), mass=Over(10, 150, KG, DOWN),
        travel=Over(0, 0.25, M, DOWN)),
    "springing.wheel_rate": case(
        springing.wheel_rate, N_PER_M, shock_rate=Over(0, 3e5, N_PER_M, UP),
        shock_force=Over(0, 6000, N, UP), ratio=Over(1.2, 4.5, ONE, DOWN),
        slope=Over(-60, 0, PER_M, DOWN)),
    "springing.wheel_damping": case(
        springing.wheel_damping, NS_PER_M, coefficient=Over(0, 2e4, NS_PER_M, UP),
        ratio=Over(1.2, 4.5, ONE, DOWN)),
    "springing.natural_frequency": case(
        springing.natural_frequency, PER_S, rate=Over(0, 1e5, N_PER_M, UP),
        mass=Over(10, 150, KG, DOWN)),
    "springing.damping_ratio": case(
        springing.damping_ratio, ONE, coefficient=Over(0, 2e4, NS_PER_M, UP),
        rate=Over(1e3, 1e5, N_PER_M, DOWN), mass=Over(10, 150, KG, DOWN)),
    "springing.damped_frequency": case(
        springing.damped_frequency, PER_S, coefficient=Over(0, 2e3, NS_PER_M, DOWN),
        rate=Over(1e3, 1e5, N_PER_M, UP), mass=Over(10, 150, KG)),
    "leverage.Leverage.travel": on_frame(
        lambda f, x: f.travel(x), M, a=Over(1.2, 4.5, ONE, UP), b=Over(1.2, 4.5, ONE, UP),
        end=Over(0.05, 0.09, M), x=Over(0, 0.05, M, UP)),
    "leverage.Leverage.ratio": on_frame(
        lambda f, x: f.ratio(x), ONE, a=Over(2.8, 4.5, ONE, UP), b=Over(1.2, 2.7, ONE, UP),
        end=Over(0.05, 0.09, M, UP), x=Over(0, 0.05, M, DOWN)),
    "leverage.Leverage.slope": on_frame(
        lambda f, x: f.slope(x), PER_M, a=Over(1.2, 4.5, ONE, DOWN), b=Over(1.2, 4.5, ONE, UP),
        x=Over(-0.01, 0.1, M)),
    "leverage.Leverage.constant": case(
        lambda travel, stroke, x: Leverage.constant(travel, stroke).travel(x), M,
        travel=Over(0.05, 0.25, M, UP), stroke=Over(0.02, 0.11, M, DOWN), x=Over(0, 0.11, M, UP)),
    "leverage.Leverage.linear": on_frame(
        lambda f, x: f.travel(x) / f.ratio(x), M, x=Over(0.0, 0.05, M, UP)),
    "leverage.Leverage.table": case(
        lambda stroke, travel, x: table(stroke, travel).travel(x), M, **TABLE,
        x=Over(0, 0.1, M, UP)),
    "curve.monotone": case(
        lambda stroke, travel, u: curve.monotone(READINGS[0] * stroke, READINGS[1] * travel)(
            u * stroke), M, **TABLE, u=Over(0.01, 1, ONE, UP)),
    "curve.smooth": case(smoothed, M, **TABLE, u=Over(0.01, 1, ONE, UP)),
    "curve.derivative": case(
        lambda a, b, c, u: np.polynomial.polynomial.polyval(u, curve.derivative([a, b, c], 1)), M,
        a=Over(-1, 1, M), b=Over(-1, 1, M, UP), c=Over(0.1, 1, M, UP), u=Over(0.1, 1, ONE, UP)),
    "curve.least": case(
        lambda a, b, c: curve.least(np.array([a, b, c])), M,
        a=Over(-1, 1, M, UP), b=Over(-1, 0.5, M, UP), c=Over(0, 1, M, UP)),
    "roots.least_root": case(
        ramp_root, M, load=Over(100, 2000, N, UP), rate=Over(1e4, 1e5, N_PER_M, DOWN),
        limit=Over(0.3, 0.4, M)),
    "roots.rising_root": case(
        lambda load, rate, limit: roots.rising_root(lambda x: (rate * x - load, rate), 0.0, limit),
        M, load=Over(100, 2000, N, UP), rate=Over(1e4, 1e5, N_PER_M, DOWN),
        limit=Over(0.3, 0.4, M)),
    "array.array": case(array.array, M, values=Over(-1, 1, M, UP)),
    "leverage.Leverage.scaled": on_frame(
        lambda f, factor, x: f.scaled(factor).travel(x), M, factor=Over(0.9, 1.1, ONE, UP),
        x=Over(0.0, 0.09, M, UP)),
    "leverage.Leverage.least_curvature": on_frame(
        lambda f: f.least_curvature(), (-2, 0, 0)),
}  # fmt: skip
MOVING = [
    (name, one) for name, made in CASES.items() for one, over in made.over.items() if over.way
]
steady = settings(deadline=None, max_examples=max(10, settings().max_examples // 3))


def drawn(data: st.DataObject, over: Over, name: str, at_least: float = -math.inf) -> float:
    low = max(over.low, at_least)
    return low + data.draw(st.integers(0, 10_000), name) / 10_000 * (over.high - low)


def public(module: ModuleType) -> set[str]:
    """Functions and methods that a module offers."""
    name, out = module.__name__.rpartition(".")[2], set()
    for key, value in vars(module).items():
        if key.startswith("_") or getattr(value, "__module__", "") != module.__name__:
            continue
        if inspect.isfunction(value):
            out.add(f"{name}.{key}")
        elif inspect.isclass(value):
            methods = (
                k for k, v in vars(value).items()
                if inspect.isfunction(v) or isinstance(v, classmethod)
            )  # fmt: skip
            out |= {f"{name}.{key}.{one}" for one in methods if not one.startswith("_")}
    return out


def test_no_function_is_left_out() -> None:
    assert set(CASES) == set().union(*map(public, MODULES))


@pytest.mark.parametrize(("name", "along"), MOVING, ids=lambda one: one)
@steady
@given(data=st.data())
def test_along_each_argument_it_goes_one_way(name: str, along: str, data: st.DataObject) -> None:
    made = CASES[name]
    told = {key: drawn(data, over, key) for key, over in made.over.items()}
    over = made.over[along]
    more = drawn(data, over, "more", told[along])
    less, then = (float(made.function(**told | {along: at})) for at in (told[along], more))
    slack = 1e-9 * max(abs(less), abs(then), 1e-6) if math.isfinite(less + then) else 0.0
    assert over.way * then >= over.way * less - slack


@pytest.mark.parametrize(("name", "along"), MOVING, ids=lambda one: one)
def test_from_end_to_end_it_does_go(name: str, along: str) -> None:
    """Not constant: from the middle of all other domains the two ends differ."""
    made = CASES[name]
    told = {key: (over.low + over.high) / 2 for key, over in made.over.items()}
    over = made.over[along]
    ends = [float(made.function(**told | {along: at})) for at in (over.low, over.high)]
    assert over.way * ends[1] > over.way * ends[0]


@pytest.mark.parametrize("name", CASES)
@steady
@given(data=st.data())
def test_units_agree(name: str, data: st.DataObject) -> None:
    made = CASES[name]
    told = {key: drawn(data, over, key) for key, over in made.over.items()}
    size = [data.draw(st.sampled_from((0.25, 0.5, 2.0, 8.0)), one) for one in ("m", "kg", "s")]

    def grown(value: float, unit: Dimension) -> float:
        return value * math.prod(a**power for a, power in zip(size, unit, strict=True))

    plain = float(made.function(**told))
    with pytest.MonkeyPatch.context() as patch:
        for module in MODULES:
            for key, unit in CONSTANTS.items():
                if hasattr(module, key):
                    patch.setattr(module, key, grown(getattr(module, key), unit))
        other = float(made.function(**{k: grown(v, made.over[k].unit) for k, v in told.items()}))
    # A root is known to 1e-12 m, of whatever size a metre is.
    rounding = grown(1e-9 if name.endswith(("sag", "root")) else 1e-15, made.unit)
    assert other == pytest.approx(grown(plain, made.unit), rel=1e-7, abs=rounding)


ALONE = air.AirSpring(1e-3, 1e-4, 0.0, 0.0, 0.0)
PAIR = air.AirSpring(1.7e-3, 1.5e-4, 1.2e-3, 3e-5, 0.004)
BENT = Leverage.linear(3.0, 2.0, 0.05)
LIMITS: dict[str, tuple[Any, float]] = {
    "no force leaves the outside pressure, thinned": (
        air.fill_pressure(0.0, 0.02, ALONE), -ATMOSPHERE * 1e-3 * 0.02 / 1e-4),
    "a volume of nothing is reached": (ALONE.positive_volume_at(0.1), 0.0),
    "and not passed": (ALONE.positive_volume_at(0.2), 0.0),
    "equal pressures act on the difference of the areas": (
        air.slow_force(1e6, 0.004, air.AirSpring(1.7e-3, 1.5e-4, 1.2e-3, 3e-5, 0.004)),
        (1e6 + ATMOSPHERE) * 1.5e-4 / (1.5e-4 - 1.7e-3 * 0.004) * 5e-4 - ATMOSPHERE * 5e-4),
    "a ride at exponent 1 is slow": (
        air.riding_force(1e6, 0.015, 0.03, PAIR, 1.0), float(air.slow_force(1e6, 0.03, PAIR))),
    "no stroke, no energy": (air.riding_energy(1e6, 0.0, 0.0, ALONE), 0.0),
    "a spring that only pulls inward has no energy": (
        air.riding_energy(-5e4, 0.0, 0.001, ALONE), 0.0),
    "the same volume, the same pressure": (air.polytropic_pressure(7e5, 1.0, 1.4), 7e5),
    "twice the density at exponent 1": (air.polytropic_pressure(7e5, 2.0, 1.0), 14e5),
    "the same volume, no work": (air.polytropic_work(7e5, 1e-4, 1e-4, 1.4), 0.0),
    "no gas, no work": (air.polytropic_work(7e5, 0.0, 1e-4, 1.4), 0.0),
    "work of n = 2": (air.polytropic_work(7e5, 1e-4, 2e-4, 2.0), 7e5 * 1e-4 * (1 - 0.5)),
    "cold to nothing": (air.pressure_at_temperature(7e5, 300.0, 0.0), -ATMOSPHERE),
    "a vacuum stays one": (air.pressure_at_temperature(-ATMOSPHERE, 250.0, 300.0), -ATMOSPHERE),
    "just below 28 mm": (clearance.tyre_diameter(0.6, 0.0279), 0.6 + 2 * (0.0279 + 0.0025)),
    "at 28 mm": (clearance.tyre_diameter(0.6, 0.028), 0.656),
    "as it was measured": (clearance.growth(BENT, 0.04, 0.0, 0.04), 0.0),
    "a wheel that moves along the frame": (clearance.tyre_gap(0.01, 0.0, 9.0, 0.002), 0.009),
    "nominal length": (clearance.bottom_bracket_rise(BENT, 0.0), 0.0),
    "the preload carries all": (coil.sag(1e5, 0.03, 1000.0, BENT, 0.0, 0.05), 0.0),
    "too soft": (coil.sag(1e4, 0.0, 1000.0, BENT, 0.0, 0.05), math.inf),
    "no reach": (coil.rate_for_sag(1000.0, 0.002, -0.002), math.inf),
    "no damping wanted": (damping.needed_coefficient(0.0, 2e4, 60.0, 2.5), 0.0),
    "critical, c = 2 sqrt(k m) LR2": (
        damping.needed_coefficient(1.0, 1e4, 64.0, 2.0), 2 * 800.0 * 4),
    "a kilogram": (load.wheel_force(1.0), GRAVITY),
    "all on the rear wheel": (load.rear_sprung_mass(80.0, 1.0, 0.0), 80.0),
    "a polynomial that turns inside is least there": (curve.least(np.array([1.0, -2.0, 2.0])), 0.5),
    "one that turns outside is least at an end": (curve.least(np.array([1.0, -2.0, 0.5])), -0.5),
    "the first of two roots": (
        roots.least_root(
            lambda x: ((x - 0.01) * (0.03 - x), 0.04 - 2 * x, np.full_like(x, -2.0),
                       np.full_like(x, np.inf)), 0.05), 0.01),
    "no root within the limit": (ramp_root(1000.0, 1e4, 0.05), math.inf),
    "nor between two ends": (
        roots.rising_root(lambda x: (x + 1.0, np.ones_like(x)), 0.0, 0.05), 0.0),
    "no sag at the shaft": (sag.wheel_sag(BENT, 0.0, 0.003), 0.0),
    "no sag at the wheel": (sag.shaft_sag(BENT, 0.0, 0.003, 0.05), 0.0),
    "more than there is": (sag.shaft_sag(BENT, 0.2, 0.0, 0.05), math.inf),
    "all there is": (sag.shaft_sag(BENT, 0.125, 0.0, 0.05), 0.05),
    "the whole travel": (sag.travel(BENT, 0.05, 0.0), 0.125),
    "the ratio at the start": (BENT.ratio(0.0), 3.0),
    "the ratio at the end": (BENT.ratio(0.05), 2.0),
    "a fit of nothing misses nothing": (BENT.residual_m, 0.0),
    "nothing falls on its own": (springing.reserve_height(0.0, 60.0, 0.13), -0.13),
    "a constant ratio": (springing.wheel_rate(9e4, 3000.0, 3.0, 0.0), 1e4),
    "undamped": (springing.damped_frequency(0.0, 6400.0, 64.0), 10.0),
    "critically damped": (springing.damped_frequency(1280.0, 6400.0, 64.0), 0.0),
    "overdamped": (springing.damped_frequency(5000.0, 6400.0, 64.0), 0.0),
    "a rate below nothing": (springing.natural_frequency(-1.0, 60.0), math.nan),
    "its damping ratio": (springing.damping_ratio(100.0, -1.0, 60.0), math.nan),
}  # fmt: skip


@pytest.mark.parametrize("name", LIMITS)
def test_limits(name: str) -> None:
    found, expected = LIMITS[name]
    np.testing.assert_allclose(float(found), expected, rtol=1e-12, atol=1e-11)
