"""What riders complain of, and what to change first without buying anything.

The order of the changes is common practice, no source; see the steps' own words.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

from recommender.answer.cautions import AIR_OUT, PRESSURE, SUPPORT, TORQUE
from recommender.facts.nearest import nearest
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput, Problem

Change = Literal[
    "look", "more sag", "less sag", "more pressure", "less pressure", "one more spacer",
    "one spacer less", "stiffer spring", "softer spring", "faster rebound", "slower rebound",
    "lighter compression", "firmer compression",
]  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One thing to do. `change` says which figures go with it; 'look' has none. `needs`: the
    adjusters of which the shock must have one."""

    change: Change
    text: str
    only: Literal["", "air", "coil"] = ""
    needs: tuple[str, ...] = ()


FIRST = (
    "Before any change look for what is worn: pressure lost overnight, play in bushings or pivots, "
    "a service that is overdue."
)
ONE_CHANGE = "One change at a time; ride the same stretch again after each."
REBOUND = ("rebound_adjuster",)
LOW_SPEED = ("low_speed_compression_adjuster",)
HIGH_SPEED = ("high_speed_compression_adjuster",)
LOCKOUT = ("lockout_lever", "remote_lockout")
EQUALISE = Step(
    "look", "Equalise the negative chamber first: pump to the pressure, cycle slowly through a "
    "quarter of the stroke ten times, read again, repeat until the reading holds.", "air",
)  # fmt: skip
COMPLAINTS: Mapping[str, tuple[Step, ...]] = MappingProxyType({
    "harsh on small bumps": (
        EQUALISE,
        Step("look", "Look for dry seals, a tight bushing or pivot, and a service that is due."),
        Step("faster rebound", "Open the rebound by two clicks: too slow, it packs and is hard.",
             needs=REBOUND),
        Step("lighter compression", "Open the low-speed compression.", needs=LOW_SPEED),
        Step("more sag", "Let the sag grow a little."),
    ),
    "bottoms out": (
        Step("one more spacer", "Fit one more volume spacer, pump again to the same sag.", "air"),
        Step("less sag", "A little less sag."),
        Step("stiffer spring", "The next stiffer spring.", "coil"),
        Step("firmer compression", "Close the high-speed compression.", needs=HIGH_SPEED),
    ),
    "wallows or bobs": (
        Step("firmer compression", "Close the low-speed compression by two clicks.",
             needs=LOW_SPEED),
        Step("less sag", "A little less sag."),
        Step("look", "Use the lockout or its middle step on the climb.", needs=LOCKOUT),
    ),
    "sits deep in mid-travel": (
        Step("more pressure", "More pressure, which is less sag.", "air"),
        Step("one spacer less", "One volume spacer less, so that the middle carries more for the "
             "same end.", "air"),
        Step("stiffer spring", "The next stiffer spring.", "coil"),
    ),
    "packs down on repeated hits": (
        Step("faster rebound", "Open the rebound by two clicks, again if it helps.",
             needs=REBOUND),
        Step("faster rebound", "Still packing with nothing left to open: the tune's rebound is too "
             "slow for the rider."),
    ),
    "bucks on jumps": (
        Step("slower rebound", "Close the rebound by two clicks.", needs=REBOUND),
        Step("slower rebound", "Still bucking with nothing left to close: the tune's rebound is "
             "too fast for the rider."),
    ),
    "never uses full travel": (
        Step("look", "First compare the stroke that is set with the mark of the o-ring: a travel "
             "spacer inside, or a bumper, may end it early."),
        Step("one spacer less", "One volume spacer less, pumped again to the same sag.", "air"),
        Step("less pressure", "Less pressure, which is more sag.", "air"),
        Step("softer spring", "The next softer spring.", "coil"),
        Step("lighter compression", "Open the high-speed compression.", needs=HIGH_SPEED),
    ),
})  # fmt: skip
"""Complaint -> steps, the cheapest and likeliest first."""
_PRESSURE = ("less sag", "more pressure", "one more spacer", "one spacer less")
_SPACERS = ("one more spacer", "one spacer less")
_SPRING = ("stiffer spring", "softer spring")
_OF_STEPS = ((_SPACERS, AIR_OUT), (_PRESSURE, PRESSURE), (_SPRING, SUPPORT), (_SPRING, TORQUE))


def tries(name: str, shock: Shock, spacers: float | None) -> tuple[Step, ...]:
    """What can be tried of a complaint on that shock with so many spacers in it (None: not known):
    nothing of the other spring, no spacer too few or too many, and no adjuster that it surely
    lacks; where that is not known, the step says so."""
    return tuple(
        replace(step, text=_worded(step, shock))
        for step in COMPLAINTS[name]
        if step.only in ("", shock.spring_kind)
        and there(step.needs, shock) != "no"
        and _spacer(step, shock, spacers)
    )


def cautions(steps: Iterable[Step], shock: Shock) -> tuple[str, ...]:
    """The cautions that belong to those steps on that shock, each once."""
    changes = {step.change for step in steps}
    return tuple(
        text
        for of, text in _OF_STEPS
        if changes & set(of) and (text != PRESSURE or shock.spring_kind == "air")
    )


def there(needs: tuple[str, ...], shock: Shock) -> str | None:
    """Whether one of those adjusters is there, 'yes' where none is needed; None: not known."""
    told = [getattr(shock, name) for name in needs]
    if "yes" in told or not told:
        return "yes"
    return None if None in told else "no"


def _spacer(step: Step, shock: Shock, spacers: float | None) -> bool:
    """Whether there may be a spacer to take out, or room for one more."""
    most = shock.volume_spacers_max
    if step.change == "one spacer less":
        return spacers != 0 and not (most.known and most.high < 1)
    return step.change != "one more spacer" or not most.known or (spacers or 0) + 1 <= most.high


def _worded(step: Step, shock: Shock) -> str:
    if there(step.needs, shock) is not None:
        return step.text
    return f"If there is an adjuster: {step.text[0].lower()}{step.text[1:]}"



def complaint(text: str) -> str:
    """The complaint meant: by its own words, or by the beginning of just one. BadInput if none."""
    folded = " ".join(text.lower().split())
    found = [name for name in COMPLAINTS if name == folded or (folded and name.startswith(folded))]
    if len(found) == 1:
        return found[0]
    near = nearest(folded[:80], list(COMPLAINTS))
    message = f"accepted: {', '.join(COMPLAINTS)}{near}"
    raise BadInput([Problem("the complaint", message, value=text)])
