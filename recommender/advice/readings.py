"""What was measured after fitting: what cannot be, and what speaks against riding on."""

from collections.abc import Iterator
from dataclasses import dataclass

from recommender.facts.bike import Bike
from recommender.facts.parts import Shock
from recommender.facts.problems import Problem

MUCH_FRICTION = 0.15
"""Friction over the mean sag from which the readings are doubted. From memory."""
READ_OFF = 2.0
"""What a length read between bolt centres may be off, mm. From memory."""
BOTTOMED = 5.0
"""How far above its shortest a shock still counts as bottomed, mm: a bumper holds it. From
memory."""
USUAL_SAG = (0.15, 0.40)
"""Sag over stroke that riders set, at the widest. From memory."""


@dataclass(frozen=True)
class Measured:
    """Lengths in mm: sag at the shaft both ways, the gap bottomed with the air out and eye to eye
    at that moment."""

    sag_down: float | None = None
    sag_up: float | None = None
    gap: float | None = None
    eye_to_eye: float | None = None

    @property
    def sag(self) -> float | None:
        """The mean of the two readings."""
        if self.sag_down is None or self.sag_up is None:
            return None
        return (self.sag_down + self.sag_up) / 2

    @property
    def friction(self) -> float | None:
        """Half the difference of the two readings."""
        if self.sag_down is None or self.sag_up is None:
            return None
        return abs(self.sag_down - self.sag_up) / 2


def impossible(measured: Measured, shock: Shock) -> Iterator[Problem]:
    """Readings that cannot be of that shock: it is neither shorter than bottomed nor longer than
    extended, and moves no further than its stroke."""
    length, stroke = shock.length_mm, shock.stroke_mm
    of = f"the shock on the bike is {length.high:g} mm long and moves {stroke.high:g} mm"
    if measured.eye_to_eye is not None and length.known:
        least = length.low - (stroke.high if stroke.known else length.low) - READ_OFF
        most = length.high + READ_OFF
        if not least <= measured.eye_to_eye <= most:
            message = f"cannot be: {of}; accepted: {least:g} to {most:g}"
            yield Problem("--eye-to-eye", message, value=f"{measured.eye_to_eye:g}")
    for option, sag in (("--sag-down", measured.sag_down), ("--sag-up", measured.sag_up)):
        if sag is not None and stroke.known and sag > stroke.high:
            yield Problem(option, f"cannot be: {of}", value=f"{sag:g}")


def against_riding(measured: Measured, bike: Bike, shock: Shock | None) -> list[str]:
    """What is told of readings on that bike with that shock (None: nobody told)."""
    return [*_sag(measured, shock), *_gap(measured, bike, shock)]


def _sag(measured: Measured, shock: Shock | None) -> Iterator[str]:
    """Friction holds a rider up while settling down, and down while rising up; common practice, no
    source, that it is a small part of the sag."""
    if measured.sag is None or measured.friction is None:
        return
    if measured.sag_down is not None and measured.sag_up is not None:
        if measured.sag_down > measured.sag_up:
            yield "Read both once more: against friction, settling down reads less than rising up."
        elif measured.friction > MUCH_FRICTION * measured.sag:
            yield "Much friction: check bushings, bolts and pivot bearings before riding on."
    if shock is not None and shock.stroke_mm.known:
        least, most = (measured.sag / one for one in (shock.stroke_mm.high, shock.stroke_mm.low))
        low, high = USUAL_SAG
        if most < low or least > high:
            yield (
                f"The sag is {100 * least:.0f} % of the stroke; {100 * low:.0f} to "
                f"{100 * high:.0f} % is usual. Set it again by the setup sheet before riding."
            )


def _gap(measured: Measured, bike: Bike, shock: Shock | None) -> Iterator[str]:
    if measured.gap is None or measured.eye_to_eye is None:
        return
    wanted = bike.tyre.minimum_gap_mm
    if measured.gap < wanted.low:
        yield (
            f"Do not ride it so: {measured.gap:g} mm between tyre and frame is less than the "
            f"{wanted.low:g} mm wanted. A narrower tyre or a shorter stroke makes room."
        )
    if shock is None or not (shock.length_mm.known and shock.stroke_mm.known):
        return
    shortest = shock.length_mm.high - shock.stroke_mm.low
    if measured.eye_to_eye > shortest + BOTTOMED:
        yield (
            f"Not bottomed: at {measured.eye_to_eye:g} mm eye to eye the shock can still move "
            f"{measured.eye_to_eye - shortest:.1f} mm, and the gap gets smaller with it. Measure "
            "again at full travel, all air out or the spring off."
        )
