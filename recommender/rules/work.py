"""What the workshop jobs cost this rider."""

from collections.abc import Mapping
from dataclasses import dataclass

from recommender.catalogue.columns import Table


@dataclass(frozen=True)
class Work:
    """What one job costs this rider: nothing at home with the tools at hand."""

    price: float
    workshop: bool
    days: float


def works(jobs: Table, tools: tuple[str, ...], rates: Mapping[str, float]) -> dict[str, Work]:
    """What each job costs this rider in the wishes' currency, and whether a workshop does it."""
    out = {}
    prices, days = jobs.number("price"), jobs.number("work_days")
    places = jobs.choice("place").words()
    for k, key in enumerate(jobs.keys()):
        needed = [tool.strip() for tool in jobs.text("tools")[k].split(";") if tool.strip()]
        at_home = places[k] == "home" and all(tool in tools for tool in needed)
        rate = rates[jobs.text("currency")[k]]
        out[key] = (
            Work(0.0, False, 0.0)
            if at_home
            else Work(float(prices.top[k]) * rate, True, float(days.top[k]))
        )
    return out
