"""Shock sizes in wide use, and which of them a measured length may be.

Metric families and inch-derived sizes by common practice and from memory; 1 in = 25.4 mm exactly.
"""

from dataclasses import dataclass

from recommender.facts.quantity import Quantity
from recommender.facts.units import convert

INCH_MM = convert(1.0, "in", "mm")
SAME_TO_A_FRAME_MM = 1.0
"""Lengths this close are one size to a frame: the usual tolerance, common practice."""
BY_TAPE_MM = 1.0
"""What a length read off a tape may be wrong by where no error is told. From memory."""


@dataclass(frozen=True, slots=True)
class StandardSize:
    """`mount` of the head; length and the strokes made in it, mm; `name` as the trade writes it."""

    mount: str
    length_mm: float
    strokes_mm: tuple[float, ...]
    name: str


def _metric(mount: str, length: float, first: float) -> StandardSize:
    strokes = tuple(first + 2.5 * step for step in range(4))
    return StandardSize(mount, length, strokes, f"{length:g} mm")


def _inches(length: float, stroke: float) -> StandardSize:
    named = f"{length:g} x {stroke:g} in"
    return StandardSize("eyelet", length * INCH_MM, (stroke * INCH_MM,), named)


SIZES = (
    *(_metric("eyelet", *one) for one in ((190, 37.5), (210, 47.5), (230, 57.5), (250, 67.5))),
    *(_metric("trunnion", *one) for one in ((165, 37.5), (185, 47.5), (205, 57.5), (225, 67.5))),
    *(_inches(*one) for one in (
        (6.5, 1.5), (7.25, 1.75), (7.5, 2.0), (7.875, 2.0), (7.875, 2.25), (8.5, 2.5), (8.75, 2.6),
        (8.75, 2.75), (9.5, 3.0), (10.5, 3.5))),
)  # fmt: skip


def resolved(length: Quantity, mount: str | None = None) -> tuple[StandardSize, ...]:
    """The standard sizes the length may be, nearest first; an exact one is taken as read by tape.

    `mount` None: of either. Unknown lengths and ranges may be anything: ().
    """
    if length.kind in ("unknown", "range"):
        return ()
    error = BY_TAPE_MM if length.kind == "exact" else 0.0
    found = [
        size for size in SIZES
        if mount in (None, size.mount)
        and length.low - error <= size.length_mm + 1e-9
        and size.length_mm - 1e-9 <= length.high + error
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda size: (abs(size.length_mm - length.mid), size.name)))


def one_to_a_frame(sizes: tuple[StandardSize, ...]) -> bool:
    """Whether all of them are within what a frame takes for one length."""
    lengths = [size.length_mm for size in sizes]
    return bool(lengths) and max(lengths) - min(lengths) <= SAME_TO_A_FRAME_MM
