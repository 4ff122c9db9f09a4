"""Air springs with a self-equalising negative chamber.

The sum is done in **absolute** pressures; every pressure that goes in or out is **gauge**, Pa,
except in the `polytropic_` functions, which are gas laws and say so. Fill pressure p0 is the gauge
reading at full extension after the shock was cycled past `equalise_at` and pumped until it
repeats. Setting sag is slow (n = 1); riding is fast: n = 1.3 (from memory) from gas that is at
ambient temperature at sag. Ideal gas: at 15-25 bar it understates isentropic end pressures by 2-12
per cent (n = 1.4 against real air), and the exponent's own doubt is of the same size.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from recommender.facts.units import ATMOSPHERE
from recommender.mechanics.array import Array, ArrayLike, array
from recommender.mechanics.leverage import Leverage
from recommender.mechanics.roots import least_root, rising_root

RIDING_EXPONENT: Final = 1.3


@dataclass(frozen=True, eq=False)
class AirSpring:
    """The chambers: areas in m2, volumes at full extension in m3, `equalise_at` in m.

    `volume` is the positive chamber's **less the volume spacers**. Each field is a scalar or a
    column. No negative chamber: `negative_area` 0.
    """

    area: ArrayLike
    volume: ArrayLike
    negative_area: ArrayLike
    negative_volume: ArrayLike
    equalise_at: ArrayLike

    def positive_volume_at(self, x: ArrayLike) -> Array:
        """Positive volume at compression x, m3; 0 where the spacers leave none: a data error."""
        return np.maximum(array(self.volume) - array(self.area) * array(x), 0.0)

    def negative_volume_at(self, x: ArrayLike) -> Array:
        """Negative volume at compression x, m3; it grows as the shock compresses."""
        return array(self.negative_volume) + array(self.negative_area) * array(x)


def fill_pressure(force: ArrayLike, x: ArrayLike, spring: AirSpring) -> Array:
    """The gauge fill pressure p0 with which the slow force at x is `force` (closed form).

    The force is linear in absolute p0. +inf where no pressure does it: the negative chamber
    outweighs the positive one at x, or the positive chamber has no volume left.
    """
    gain, loss = _slow_gain(x, spring)
    absolute = (array(force) + loss) / np.where(gain <= 0, 1.0, gain)
    impossible = (gain <= 0) | (spring.positive_volume_at(x) <= 0)
    return np.where(impossible, np.inf, absolute - ATMOSPHERE)[()]


def slow_force(p0_gauge: ArrayLike, x: ArrayLike, spring: AirSpring) -> Array:
    """Shock force at compression x while sag is set, n = 1, N; +inf with no volume left."""
    gain, loss = _slow_gain(x, spring)
    return (array(p0_gauge) + ATMOSPHERE) * gain - loss


def extended_force(p0_gauge: ArrayLike, spring: AirSpring) -> Array:
    """Slow force at full extension, N; below 0 the shock stays drawn in unladen: reject the row."""
    return slow_force(p0_gauge, 0.0, spring)


def sag(
    p0_gauge: ArrayLike,
    wheel_force: ArrayLike,
    leverage: Leverage,
    spring: AirSpring,
    shift: ArrayLike,
    limit: ArrayLike,
) -> Array:
    """Shaft sag at a given fill: the least root in [0, limit] of slow force = F_w LR(x - shift).

    As `coil.sag`: 0 where the spring carries the load extended, +inf where it never does.
    """
    dip = -leverage.least_curvature()

    def taylor(
        x: Array, p0: Array, wheel_force: Array, shift: Array, *chambers: Array
    ) -> tuple[Array, Array, Array, Array]:
        row = AirSpring(*chambers)
        positive, negative = _slow_pressures(p0 + ATMOSPHERE, x, row)
        value = slow_force(p0, x, row) - wheel_force * leverage.ratio(x - shift)
        slope = _rate(positive, negative, x, row, 1.0) - wheel_force * leverage.slope(x - shift)
        # Over the next half of the remaining volume the curvature grows at most eightfold; the
        # negative chamber's share of it is never positive.
        area, room = chambers[0], row.positive_volume_at(x)
        with np.errstate(divide="ignore", invalid="ignore"):
            bend = 16 * area**3 * positive / room**2 + wheel_force * dip
        return value, slope, bend, room / (2 * area)

    return least_root(taylor, limit, p0_gauge, wheel_force, shift, *_fields(spring))


def riding_force(
    p0_gauge: ArrayLike,
    x_sag: ArrayLike,
    x: ArrayLike,
    spring: AirSpring,
    exponent: ArrayLike = RIDING_EXPONENT,
) -> Array:
    """Shock force at x on the fast curve that passes through the slow force at sag, N."""
    return _riding(p0_gauge, x_sag, x, spring, exponent)[0]


def riding_rate(
    p0_gauge: ArrayLike,
    x_sag: ArrayLike,
    x: ArrayLike,
    spring: AirSpring,
    exponent: ArrayLike = RIDING_EXPONENT,
) -> Array:
    """dF/dx of the riding force at x, N/m: n p A^2 / V of each chamber (p absolute), summed."""
    return _riding(p0_gauge, x_sag, x, spring, exponent)[1]


def riding_energy(
    p0_gauge: ArrayLike,
    x_sag: ArrayLike,
    stroke: ArrayLike,
    spring: AirSpring,
    exponent: ArrayLike = RIDING_EXPONENT,
) -> Array:
    """Integral of max(riding force, 0) over 0..stroke, J (closed form).

    The force rises with x, so what is left out is one stretch [0, x_z]; x_z is sought only for
    rows that pull inward at full extension. +inf where the stroke uses up all the volume.
    """
    inputs = np.broadcast_arrays(
        array(p0_gauge), array(x_sag), array(stroke), array(exponent), *_fields(spring)
    )
    shape = inputs[0].shape
    p0, at, end, n, *chambers = (column.ravel() for column in inputs)
    row = AirSpring(*chambers)
    start = np.zeros_like(end)
    inward = np.flatnonzero(riding_force(p0, at, start, row, n) < 0)
    if inward.size:
        some = AirSpring(*(column[inward] for column in chambers))
        start[inward] = rising_root(
            lambda x: _riding(p0[inward], at[inward], x, some, n[inward]), 0.0, end[inward]
        )
    positive, negative = _riding_pressures(p0, at, start, row, n)
    gas = -polytropic_work(
        positive, row.positive_volume_at(start), row.positive_volume_at(end), n
    ) - polytropic_work(negative, row.negative_volume_at(start), row.negative_volume_at(end), n)
    outside = ATMOSPHERE * (array(row.area) - array(row.negative_area)) * (end - start)
    energy: Array = np.maximum(gas - outside, 0.0).reshape(shape)[()]
    return energy


def polytropic_pressure(
    p_absolute: ArrayLike, volume_ratio: ArrayLike, exponent: ArrayLike
) -> Array:
    """Absolute pressure after the volume went from V1 to V2, volume_ratio = V1 / V2: p r^n."""
    return array(p_absolute) * array(volume_ratio) ** array(exponent)


def polytropic_work(
    p_absolute: ArrayLike, volume_from: ArrayLike, volume_to: ArrayLike, exponent: ArrayLike
) -> Array:
    """Work done **by** the gas from one volume to another along p V^n = constant, J.

    Integral of p dV; exact at n = 1 (isothermal) and beside it. 0 for a chamber without volume.
    """
    start, end = array(volume_from), array(volume_to)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        spread: Array = np.log(np.where(start > 0, end / start, 1.0))
        rest = 1 - array(exponent)
        # (e^(rest ln r) - 1) / rest, which tends to ln r as n tends to 1.
        growth = np.where(rest == 0, spread, np.expm1(rest * spread) / np.where(rest, rest, 1.0))
    work: Array = array(p_absolute) * start * growth
    return work


def pressure_at_temperature(
    p_gauge: ArrayLike, temperature_from: ArrayLike, temperature_to: ArrayLike
) -> Array:
    """Gauge pressure of a chamber filled at one temperature and read at another (both K)."""
    absolute = array(p_gauge) + ATMOSPHERE
    return absolute * array(temperature_to) / array(temperature_from) - ATMOSPHERE


def _fields(spring: AirSpring) -> tuple[Array, ...]:
    return (
        array(spring.area),
        array(spring.volume),
        array(spring.negative_area),
        array(spring.negative_volume),
        array(spring.equalise_at),
    )


def _slow_gain(x: ArrayLike, spring: AirSpring) -> tuple[Array, Array]:
    """a and b in: slow force = a * absolute fill pressure - b."""
    area, negative_area = array(spring.area), array(spring.negative_area)
    positive, negative = _slow_pressures(1.0, x, spring)
    return area * positive - negative_area * negative, ATMOSPHERE * (area - negative_area)


def _slow_pressures(p0: ArrayLike, x: ArrayLike, spring: AirSpring) -> tuple[Array, Array]:
    """Absolute pressures at x for an absolute fill pressure: positive, negative chamber."""
    p0, volume, meet = array(p0), array(spring.volume), array(spring.equalise_at)
    # A shock without a negative chamber has neither area nor volume there: no gas, no pressure.
    present = array(spring.negative_area) > 0
    now = np.where(present, spring.negative_volume_at(x), 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        positive = p0 * volume / spring.positive_volume_at(x)
        equal = p0 * volume / spring.positive_volume_at(meet)
        negative = np.where(present, equal * spring.negative_volume_at(meet) / now, 0.0)
    return positive, negative


def _riding_pressures(
    p0_gauge: ArrayLike, x_sag: ArrayLike, x: ArrayLike, spring: AirSpring, exponent: ArrayLike
) -> tuple[Array, Array]:
    """Absolute pressures at x on the fast curve: positive, negative chamber."""
    positive, negative = _slow_pressures(array(p0_gauge) + ATMOSPHERE, x_sag, spring)
    present = array(spring.negative_area) > 0
    with np.errstate(divide="ignore", invalid="ignore"):
        squeeze = spring.positive_volume_at(x_sag) / spring.positive_volume_at(x)
        stretch = spring.negative_volume_at(x_sag) / spring.negative_volume_at(x)
    return (
        polytropic_pressure(positive, squeeze, exponent),
        polytropic_pressure(negative, np.where(present, stretch, 1.0), exponent),
    )


def _riding(
    p0_gauge: ArrayLike, x_sag: ArrayLike, x: ArrayLike, spring: AirSpring, exponent: ArrayLike
) -> tuple[Array, Array]:
    """The fast curve at x: force, rate."""
    positive, negative = _riding_pressures(p0_gauge, x_sag, x, spring, exponent)
    force = array(spring.area) * (positive - ATMOSPHERE) - array(spring.negative_area) * (
        negative - ATMOSPHERE
    )
    return force, _rate(positive, negative, x, spring, exponent)


def _rate(
    positive: Array, negative: Array, x: ArrayLike, spring: AirSpring, exponent: ArrayLike
) -> Array:
    """n p A^2 / V of each chamber, summed; pressures absolute at x."""
    present = array(spring.negative_area) > 0
    room = np.where(present, spring.negative_volume_at(x), 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return array(exponent) * (
            positive * array(spring.area) ** 2 / spring.positive_volume_at(x)
            + negative * array(spring.negative_area) ** 2 / room
        )
