"""Length, stroke, linkage stop and tyre: whether the frame has the room the stroke asks for."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from recommender.facts.units import UNITS
from recommender.mechanics import clearance
from recommender.mechanics.array import Array
from recommender.rules.registry import figure, rule

MM = UNITS["mm"][1]


@dataclass(frozen=True)
class ApprovedSizes:
    """The approved (length, stroke ceiling) pairs in mm, each within its error where it is loose.

    `free` True takes every unsure length and ceiling at its best, False at its worst: the two ends
    of what is known. Without any pair that is 'any size might be approved' and 'none is'.
    """

    lengths: tuple[float, ...]
    ceilings: tuple[float, ...]
    length_errors: tuple[float, ...] = ()
    ceiling_errors: tuple[float, ...] = ()
    free: bool = False

    def off(self, length_mm: Any) -> Array:
        """How far the length lies from the nearest approved one, mm."""
        length = np.asarray(length_mm, dtype=float)
        if not self.lengths:
            return np.full(length.shape, 0.0 if self.free else 400.0)
        least: Array = np.minimum.reduce(self._offs(length, self.free))
        return least

    def ceiling(self, length_mm: Any) -> Array:
        """Highest stroke ceiling among the sizes nearest to the length, mm."""
        length = np.asarray(length_mm, dtype=float)
        if not self.lengths:
            return np.full(length.shape, 110.0 if self.free else 0.0)
        # An unsure length may be the nearest wherever it is not surely farther than another.
        reach = np.minimum.reduce(self._offs(length, False)) + 1e-9
        way = 1 if self.free else -1
        highest = self.free or not any(self.length_errors)
        out = np.full(length.shape, 0.0 if highest else np.inf)
        for ceiling, error, off in zip(
            self.ceilings, self._errors(self.ceiling_errors), self._offs(length, True), strict=True
        ):
            better = np.maximum if highest else np.minimum
            out = np.where(off <= reach, better(out, ceiling + way * error), out)
        return out

    def turns(self) -> tuple[float, ...]:
        """Lengths at which `off` and `ceiling` may be at their best or worst, ascending: each size,
        and between sizes."""
        sizes = sorted(zip(self.lengths, self._errors(self.length_errors), strict=True))
        between = [(a + b + f - e) / 2 for (a, e), (b, f) in pairwise(sizes)]
        return tuple(sorted({*self.lengths, *between}))

    def _offs(self, length: Array, best: bool) -> list[Array]:
        """Distance from each approved length, with its error for or against."""
        pairs = zip(self.lengths, self._errors(self.length_errors), strict=True)
        return [
            np.maximum(np.abs(length - own) - error, 0.0) if best else np.abs(length - own) + error
            for own, error in pairs
        ]

    def _errors(self, errors: tuple[float, ...]) -> tuple[float, ...]:
        return errors or (0.0,) * len(self.lengths)


@figure("mm")
def length_off_mm(shock_length_mm: Any, bike_sizes: Any) -> Any:
    return bike_sizes.off(shock_length_mm)


@figure("mm")
def length_difference_mm(shock_length_mm: Any, bike_nominal_length_mm: Any) -> Any:
    """d: length of the shock less the frame's nominal length; above 0 raises the bracket."""
    return shock_length_mm - bike_nominal_length_mm


@figure("mm")
def bottom_bracket_rise_mm(length_difference_mm: Any, bike_leverage: Any) -> Any:
    """Rise of the bottom bracket with the suspension extended; an estimate."""
    return clearance.bottom_bracket_rise(bike_leverage, length_difference_mm * MM) / MM


@rule(
    "length", "limit", "mm", standing="frame maker",
    says="length {shock_length_mm} mm is {length_off_mm} mm off the nearest approved length "
    "({bike_sizes}), {short} mm more than the tolerance of {bike_length_tolerance_mm} mm",
)  # fmt: skip
def length(length_off_mm: Any, bike_length_tolerance_mm: Any) -> Any:
    return bike_length_tolerance_mm - length_off_mm


@figure("mm")
def stroke_ceiling_mm(shock_length_mm: Any, bike_sizes: Any) -> Any:
    return bike_sizes.ceiling(shock_length_mm)


@rule(
    "stroke ceiling", "limit", "mm", scale=2.5, standing="frame maker",
    says="stroke {stroke_mm} mm is {short} mm over the ceiling of {stroke_ceiling_mm} mm",
)  # fmt: skip
def stroke_ceiling(stroke_mm: Any, stroke_ceiling_mm: Any) -> Any:
    return stroke_ceiling_mm - stroke_mm


@figure("mm")
def linkage_compression_mm(stroke_mm: Any, length_difference_mm: Any) -> Any:
    """How far the linkage is compressed at full stroke: s - d."""
    return stroke_mm - length_difference_mm


@rule(
    "linkage stop", "limit", "mm", scale=2.5, standing="frame maker",
    says="at full stroke the linkage is compressed by {linkage_compression_mm} mm, {short} mm past "
    "its stop at {bike_linkage_stop_mm} mm",
)  # fmt: skip
def linkage_stop(linkage_compression_mm: Any, bike_linkage_stop_mm: Any) -> Any:
    # A maker who states no stop states none: blank is filled with the field's upper bound.
    return bike_linkage_stop_mm - linkage_compression_mm


@figure("mm")
def tyre_gap_mm(
    stroke_mm: Any,
    length_difference_mm: Any,
    bike_leverage: Any,
    bike_gap_compression_mm: Any,
    bike_tyre_gap_mm: Any,
    bike_tyre_closing: Any,
    bike_tyre_bead_seat_mm: Any,
    bike_tyre_width_mm: Any,
    bike_tyre_measured_width_mm: Any,
) -> Any:
    """Gap left between tyre and frame at full compression, mm."""
    more = clearance.growth(
        bike_leverage, stroke_mm * MM, length_difference_mm * MM, bike_gap_compression_mm * MM
    )
    seat = bike_tyre_bead_seat_mm * MM
    larger = clearance.tyre_diameter(seat, bike_tyre_width_mm * MM) - clearance.tyre_diameter(
        seat, bike_tyre_measured_width_mm * MM
    )
    return clearance.tyre_gap(bike_tyre_gap_mm * MM, bike_tyre_closing, more, larger) / MM


@rule(
    "tyre gap", "limit", "mm", standing="mem",
    says="at stroke {stroke_mm} mm the tyre needs {short} mm more room for a gap of "
    "{bike_tyre_minimum_gap_mm} mm to the frame",
)  # fmt: skip
def tyre_gap(tyre_gap_mm: Any, bike_tyre_minimum_gap_mm: Any) -> Any:
    return tyre_gap_mm - bike_tyre_minimum_gap_mm


@figure("mm")
def tyre_side_room_mm(
    bike_tyre_side_room_mm: Any, bike_tyre_width_mm: Any, bike_tyre_measured_width_mm: Any
) -> Any:
    return bike_tyre_side_room_mm - (bike_tyre_width_mm - bike_tyre_measured_width_mm) / 2


@rule(
    "tyre side room", "limit", "mm", standing="mem",
    says="the tyre needs {short} mm more room for {bike_tyre_minimum_side_room_mm} mm at its side",
)  # fmt: skip
def tyre_side_room(tyre_side_room_mm: Any, bike_tyre_minimum_side_room_mm: Any) -> Any:
    return tyre_side_room_mm - bike_tyre_minimum_side_room_mm
