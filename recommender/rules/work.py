"""What the workshop jobs cost this rider."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from recommender.catalogue.columns import Table
from recommender.rules.fact import Fact

Ends = tuple[float, float]
What = Literal["labour", "workshop", "days"]


@dataclass(frozen=True)
class Work:
    """What one job costs this rider: nothing at home with the tools at hand.

    Price and days are told from low to high: a blank is not known, and so may be either end.
    `asked` is what a workshop asks, wherever it is done.
    """

    labour: Ends
    workshop: bool
    days: Ends
    asked: Ends

    def fact(self, what: What, sure: Any, may: Any = None) -> Fact:
        """Row by row what the job adds where it is `sure` to be done, or `may` be (None: only where
        it is sure)."""
        low, high = (float(self.workshop),) * 2 if what == "workshop" else getattr(self, what)
        least = np.asarray(sure, float)
        most = least if may is None else np.asarray(may, float)
        return Fact.bounds(least * low, most * high)


def works(jobs: Table, tools: tuple[str, ...], rates: Mapping[str, float]) -> dict[str, Work]:
    """What each job costs this rider in the wishes' currency, and whether a workshop does it."""
    out = {}
    prices, days = jobs.number("price"), jobs.number("work_days")
    places = jobs.choice("place").words()
    for k, key in enumerate(jobs.keys()):
        needed = [tool.strip() for tool in jobs.text("tools")[k].split(";") if tool.strip()]
        at_home = places[k] == "home" and all(tool in tools for tool in needed)
        rate = rates[jobs.text("currency")[k]]
        asked = (float(prices.low[k]) * rate, float(prices.top[k]) * rate)
        out[key] = (
            Work((0.0, 0.0), False, (0.0, 0.0), asked)
            if at_home
            else Work(asked, True, (float(days.low[k]), float(days.top[k])), asked)
        )
    return out
