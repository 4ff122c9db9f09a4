"""What riders complain of, and what to change first without buying anything.

The order of the changes is common practice, no source; see the steps' own words.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem

Change = Literal[
    "look", "more sag", "less sag", "more pressure", "less pressure", "one more spacer",
    "one spacer less", "stiffer spring", "softer spring", "faster rebound", "slower rebound",
    "lighter compression", "firmer compression",
]  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One thing to do. `change` says which figures go with it; 'look' has none."""

    change: Change
    text: str
    only: Literal["", "air", "coil"] = ""


FIRST = (
    "Before any change look for what is worn: pressure lost overnight, play in bushings or pivots, "
    "a service that is overdue."
)
EQUALISE = Step(
    "look", "Equalise the negative chamber first: pump to the pressure, cycle slowly through a "
    "quarter of the stroke ten times, read again, repeat until the reading holds.", "air",
)  # fmt: skip
COMPLAINTS: Mapping[str, tuple[Step, ...]] = MappingProxyType({
    "harsh on small bumps": (
        EQUALISE,
        Step("look", "Look for dry seals, a tight bushing or pivot, and a service that is due."),
        Step("faster rebound", "Open the rebound by two clicks: too slow, it packs and is hard."),
        Step("lighter compression", "Open the low-speed compression."),
        Step("more sag", "Let the sag grow a little."),
    ),
    "bottoms out": (
        Step("one more spacer", "Fit one more volume spacer, pump again to the same sag.", "air"),
        Step("less sag", "A little less sag."),
        Step("stiffer spring", "The next stiffer spring.", "coil"),
        Step("firmer compression", "Close the high-speed compression, if there is an adjuster."),
    ),
    "wallows or bobs": (
        Step("firmer compression", "Close the low-speed compression by two clicks."),
        Step("less sag", "A little less sag."),
        Step("look", "Use the lockout or its middle step on the climb."),
    ),
    "sits deep in mid-travel": (
        Step("more pressure", "More pressure, which is less sag.", "air"),
        Step("one spacer less", "One volume spacer less, so that the middle carries more for the "
             "same end.", "air"),
        Step("stiffer spring", "The next stiffer spring.", "coil"),
    ),
    "packs down on repeated hits": (
        Step("faster rebound", "Open the rebound by two clicks, again if it helps."),
        Step("look", "Still packing fully open: the tune's rebound range is too slow for the "
             "rider; see the figures."),
    ),
    "bucks on jumps": (
        Step("slower rebound", "Close the rebound by two clicks."),
        Step("look", "Still bucking fully closed: the tune's rebound range is too fast for the "
             "rider; see the figures."),
    ),
    "never uses full travel": (
        Step("look", "First compare the stroke that is set with the mark of the o-ring: a travel "
             "spacer inside, or a bumper, may end it early."),
        Step("one spacer less", "One volume spacer less, pumped again to the same sag.", "air"),
        Step("less pressure", "Less pressure, which is more sag.", "air"),
        Step("softer spring", "The next softer spring.", "coil"),
        Step("lighter compression", "Open the high-speed compression, if there is an adjuster."),
    ),
})  # fmt: skip
"""Complaint -> steps, the cheapest and likeliest first."""


def complaint(text: str) -> str:
    """The complaint meant: by its own words, or by the beginning of just one. BadInput if none."""
    folded = " ".join(text.lower().split())
    found = [name for name in COMPLAINTS if name == folded or (folded and name.startswith(folded))]
    if len(found) == 1:
        return found[0]
    near = nearest(folded[:80], list(COMPLAINTS))
    message = f"accepted: {', '.join(COMPLAINTS)}{near}"
    raise BadInput([Problem("the complaint", message, value=text)])
