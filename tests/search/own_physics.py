"""The trade's formulas with plain floats, for one frame whose ratio changes linearly.

Units: mm, N, N/mm, MPa (absolute), kg; damping in N s/m. Closed forms and bisection only.
"""

from dataclasses import dataclass
from math import sqrt

GRAVITY, ATMOSPHERE, PSI, EXPONENT = 9.80665, 0.101325, 6894.757293168361e-6, 1.3


@dataclass(frozen=True)
class Frame:
    """Ratio from `start` to `end` over `stroke` mm; sprung mass on the rear wheel in kg."""

    start: float
    end: float
    stroke: float
    mass: float

    def ratio(self, x: float) -> float:
        return self.start + (self.end - self.start) * x / self.stroke

    def travel(self, x: float) -> float:
        return self.start * x + (self.end - self.start) * x * x / (2 * self.stroke)

    def force(self, x: float) -> float:
        """Force that the shock carries at compression x of the linkage."""
        return self.mass * GRAVITY * self.ratio(x)

    def critical(self, rate: float, x: float) -> float:
        """Critical damping at the shock, N s/m, for a shock of that rate (N/mm) at sag x."""
        ratio, slope = self.ratio(x), (self.end - self.start) / self.stroke
        wheel = rate / ratio**2 - self.force(x) * slope / ratio**3
        return 2 * sqrt(max(wheel * 1000 * self.mass, 0.0)) * ratio**2


@dataclass(frozen=True)
class Air:
    """An air spring: areas in mm2, volumes in mm3 (the positive one less its spacers)."""

    area: float
    volume: float
    other_area: float
    other_volume: float
    meet: float

    def gain(self, x: float) -> float:
        """Slow force per absolute fill pressure, less what the air outside adds."""
        own = self.volume / (self.volume - self.area * x)
        met = self.volume / (self.volume - self.area * self.meet)
        other = met * (self.other_volume + self.other_area * self.meet)
        return self.area * own - self.other_area * other / (self.other_volume + self.other_area * x)

    def fill(self, force: float, x: float) -> float:
        """Gauge fill pressure, psi, with which the slow force at x is `force`."""
        outside = ATMOSPHERE * (self.area - self.other_area)
        return ((force + outside) / self.gain(x) - ATMOSPHERE) / PSI

    def force(self, psi: float, x: float) -> float:
        absolute = psi * PSI + ATMOSPHERE
        return absolute * self.gain(x) - ATMOSPHERE * (self.area - self.other_area)

    def rate(self, psi: float, x: float) -> float:
        """Rate of the fast curve at sag x, N/mm."""
        absolute = psi * PSI + ATMOSPHERE
        own = absolute * self.volume / (self.volume - self.area * x)
        met = absolute * self.volume / (self.volume - self.area * self.meet)
        room = self.other_volume + self.other_area * x
        other = met * (self.other_volume + self.other_area * self.meet) / room
        return EXPONENT * (
            own * self.area**2 / (self.volume - self.area * x) + other * self.other_area**2 / room
        )


def air_sag(spring: Air, psi: float, frame: Frame, stroke: float) -> float:
    """Where the slow force at that fill carries the rider; the whole stroke where it never does."""
    return bisect(lambda x: spring.force(psi, x) - frame.force(x), stroke)


def coil_sag(rate: float, preload: float, frame: Frame, stroke: float) -> float:
    """Where the coil carries the rider; the whole stroke where it never does."""
    return bisect(lambda x: rate * (x + preload) - frame.force(x), stroke)


def bisect(surplus: object, end: float) -> float:
    """The zero of a function that rises through it once in [0, end]; an end where there is none."""
    assert callable(surplus)
    low, high = 0.0, end
    if surplus(low) >= 0:
        return low
    if surplus(high) < 0:
        return high
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if surplus(middle) < 0 else (low, middle)
    return high
