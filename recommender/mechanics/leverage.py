"""The leverage of a frame: wheel travel z against shock compression x, LR = dz/dx.

One class for three levels of knowledge: travel and stroke only (constant ratio), start and end
ratio (linear), a measured table. Outside [0, stroke] LR is continued linearly with its end slope,
so a shock longer or shorter than the nominal one can be asked about; results there rest on the
continuation, and the caller says so.
"""

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal, Self

import numpy as np

from recommender.mechanics import curve
from recommender.mechanics.array import Array, ArrayLike, array

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

Level = Literal["constant", "linear", "table"]

LEAST_ROWS = 4  # with the origin: a cubic through it has three coefficients


@dataclass(frozen=True)
class Leverage:
    """Wheel travel as a function of shock compression; make one with a named constructor.

    `level` says what the curve rests on; `stroke_m` is where the known curve ends; `coefficients`
    are those of the smooth z(u), u = x / stroke, ascending, in m; `readings` are the table's
    (x, z) in m, empty otherwise; `residual_m` is the fit's worst distance from a reading.
    """

    level: Level
    stroke_m: float
    coefficients: tuple[float, ...]
    readings: tuple[tuple[float, float], ...] = ()
    residual_m: float = 0.0
    _interpolant: "PchipInterpolator | None" = field(
        init=False, repr=False, compare=False, default=None
    )
    _terms: tuple[tuple[float, ...], ...] = field(init=False, repr=False, compare=False, default=())

    def __post_init__(self) -> None:
        terms = tuple(
            tuple((curve.derivative(self.coefficients, k) / self.stroke_m**k).tolist())
            for k in range(3)
        )
        object.__setattr__(self, "_terms", terms)
        if self.readings:
            x, z = np.array(self.readings).T
            object.__setattr__(self, "_interpolant", curve.monotone(x, z))

    @classmethod
    def constant(cls, travel_m: float, stroke_m: float) -> Self:
        """A constant ratio travel / stroke. Raises ValueError unless both are above zero."""
        _above_zero(travel=travel_m, stroke=stroke_m)
        return cls("constant", float(stroke_m), (0.0, float(travel_m)))

    @classmethod
    def linear(cls, ratio_start: float, ratio_end: float, stroke_m: float) -> Self:
        """A ratio that changes linearly over the stroke. Raises ValueError unless all are > 0."""
        _above_zero(start_ratio=ratio_start, end_ratio=ratio_end, stroke=stroke_m)
        return cls(
            "linear",
            float(stroke_m),
            (0.0, ratio_start * stroke_m, (ratio_end - ratio_start) * stroke_m / 2),
        )

    @classmethod
    def table(cls, x_m: ArrayLike, z_m: ArrayLike, reading_error_m: float = 0.0005) -> Self:
        """A measured curve: shock compression `x_m` against wheel travel `z_m`, both rising.

        Travel is the PCHIP interpolant; ratio and slope are those of a least-squares cubic through
        the origin, or of a closer or finer polynomial where that cubic misses a reading by more
        than `reading_error_m` (`curve.smooth`). So at the readings the ratio's integral equals
        the travel to within `residual_m`, not exactly. The row (0, 0) may be left out.

        Raises ValueError for rows that are too few, not finite or not rising, and where no smooth
        curve meets the reading error ('question the table').
        """
        _above_zero(reading_error=reading_error_m)
        x, z = _checked(array(x_m), array(z_m))
        coefficients, residual = curve.smooth(x, z, float(reading_error_m))
        readings = tuple(zip(x.tolist(), z.tolist(), strict=True))
        return cls("table", float(x[-1]), coefficients, readings, residual)

    def travel(self, x: ArrayLike) -> Array:
        """Wheel travel z(x) in m, z(0) = 0; any real x."""
        x = array(x)
        inside = np.clip(x, 0.0, self.stroke_m)
        beyond = x - inside
        reading = self._interpolant
        z = self._smooth(inside, 0) if reading is None else array(reading(inside))[()]
        return z + beyond * (self._smooth(inside, 1) + beyond * self._smooth(inside, 2) / 2)

    def ratio(self, x: ArrayLike) -> Array:
        """Leverage ratio LR(x) = dz/dx; any real x."""
        x = array(x)
        inside = np.clip(x, 0.0, self.stroke_m)
        return self._smooth(inside, 1) + (x - inside) * self._smooth(inside, 2)

    def slope(self, x: ArrayLike) -> Array:
        """dLR/dx in 1/m; any real x. Negative where the frame is progressive."""
        return self._smooth(np.clip(array(x), 0.0, self.stroke_m), 2)

    def least_curvature(self) -> float:
        """A lower bound of d2LR/dx2 in 1/m2 over all real x (0 on the linear continuations)."""
        third = curve.derivative(self.coefficients, 3)
        return min(0.0, curve.least(third) / self.stroke_m**3)

    def scaled(self, factor: float) -> Self:
        """The curve with travel, ratio and slope times `factor`.

        A reading error e at the end of the curve, as one offset, is the factor 1 + e / travel.
        """
        _above_zero(factor=factor)
        return replace(
            self,
            coefficients=tuple(c * factor for c in self.coefficients),
            readings=tuple((x, z * factor) for x, z in self.readings),
            residual_m=self.residual_m * factor,
        )

    def _smooth(self, inside: Array, order: int) -> Array:
        """The smooth curve's derivative of that order at x in [0, stroke], by Horner's rule."""
        u = inside / self.stroke_m
        *lower, top = self._terms[order]
        value = np.full_like(u, top)
        for term in reversed(lower):
            value = value * u + term
        return value[()]


def _above_zero(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"leverage: {name.replace('_', ' ')} is {value}; it must be above 0")


def _checked(x: Array, z: Array) -> tuple[Array, Array]:
    if x.ndim != 1 or x.shape != z.shape:
        raise ValueError(
            f"leverage table: {x.size} shock and {z.size} wheel readings; give one of each per row"
        )
    finite = np.isfinite(x) & np.isfinite(z)
    if not finite.all():
        row = int(np.argmin(finite)) + 1
        raise ValueError(f"leverage table: row {row} is not a pair of finite numbers")
    if x.size and x[0] != 0:
        x, z, added = np.concatenate(([0.0], x)), np.concatenate(([0.0], z)), 1
    else:
        added = 0
    if x.size < LEAST_ROWS:
        raise ValueError(
            f"leverage table: {x.size} rows with the origin, at least {LEAST_ROWS} are needed; "
            "with fewer, state the start and end ratio"
        )
    if z[0] != 0:
        raise ValueError(
            f"leverage table: wheel travel at shock 0 is {z[0] * 1000:g} mm; it must be 0"
        )
    rising = (np.diff(x) > 0) & (np.diff(z) > 0)
    if not rising.all():
        row = int(np.argmin(rising)) + 1
        raise ValueError(
            f"leverage table: row {row + 1 - added} (shock {x[row] * 1000:g} mm, wheel "
            f"{z[row] * 1000:g} mm) does not lie above the row before it; both must rise"
        )
    return x, z
