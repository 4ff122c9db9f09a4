"""The rider's wishes. Each is a rule only where it is stated as a must.

`wish` names the field of `Wishes` that switches the rule on.
"""

from typing import Any

import numpy as np

from recommender.rules.mounting import YES, verdict
from recommender.rules.registry import rule
from recommender.rules.waiting import WAITS


@rule(
    "wish: travel", "wish", "mm", scale=5.0, standing="rider", wish="travel_mm",
    says="{travel_mm} mm of travel is {short} mm outside the {wish_travel_low_mm} to "
    "{wish_travel_high_mm} mm wished for",
    gives=(("wish_travel_low_mm", -1), ("wish_travel_high_mm", 1)),
)  # fmt: skip
def travel(travel_mm: Any, wish_travel_low_mm: Any, wish_travel_high_mm: Any) -> Any:
    return travel_mm - wish_travel_low_mm, wish_travel_high_mm - travel_mm


@rule(
    "wish: spring kind", "wish", "", standing="rider", wish="spring_kind", categorical=True,
    says="a {shock_spring_kind} shock, where {wish_spring_kind} is wished for",
)  # fmt: skip
def spring_kind(shock_spring_kind: Any, wish_spring_kind: Any) -> Any:
    return verdict(shock_spring_kind == wish_spring_kind)


@rule(
    "wish: adjusters", "wish", "", standing="rider", wish="adjusters", categorical=True,
    says="lacks an adjuster that is wished for (rebound: {shock_rebound_adjuster}, low-speed "
    "compression: {shock_low_speed_compression_adjuster}, high-speed compression: "
    "{shock_high_speed_compression_adjuster}, lockout: {shock_lockout_lever})",
)  # fmt: skip
def adjusters(
    shock_rebound_adjuster: Any,
    shock_low_speed_compression_adjuster: Any,
    shock_high_speed_compression_adjuster: Any,
    shock_lockout_lever: Any,
    wish_adjuster_rebound: Any,
    wish_adjuster_low_speed: Any,
    wish_adjuster_high_speed: Any,
    wish_adjuster_lockout: Any,
) -> Any:
    pairs = (
        (shock_rebound_adjuster, wish_adjuster_rebound),
        (shock_low_speed_compression_adjuster, wish_adjuster_low_speed),
        (shock_high_speed_compression_adjuster, wish_adjuster_high_speed),
        (shock_lockout_lever, wish_adjuster_lockout),
    )
    return tuple(verdict((has == YES) | (wished == 0)) for has, wished in pairs)


@rule(
    "wish: tune", "wish", "", standing="rider", wish="tune", categorical=True,
    says="compression {tune_compression_class} and rebound {tune_rebound_class}, where "
    "{wish_tune_class} is wished for",
)  # fmt: skip
def tune(
    tune_compression_class: Any, tune_rebound_class: Any, wish_tune_class: Any, tune_made: Any
) -> Any:
    same = (tune_compression_class == wish_tune_class) & (tune_rebound_class == wish_tune_class)
    return verdict(same | (tune_made == 1))


@rule(
    "wish: lockout", "wish", "", standing="rider", wish="lockout", categorical=True,
    says="lockout {tune_lockout_class}, where {wish_lockout} is wished for",
)  # fmt: skip
def lockout(tune_lockout_class: Any, wish_lockout: Any, tune_made: Any) -> Any:
    return verdict((tune_lockout_class == wish_lockout) | (tune_made == 1))


@rule(
    "wish: remote", "wish", "", standing="rider", wish="remote", categorical=True,
    says="remote lockout: {shock_remote_lockout}, wished for: {wish_remote}",
)  # fmt: skip
def remote(shock_remote_lockout: Any, wish_remote: Any) -> Any:
    return verdict(shock_remote_lockout == wish_remote)


@rule(
    "wish: reserve", "wish", "mm", scale=10.0, standing="rider", wish="reserve_mm",
    says="a bottom-out reserve of {reserve_mm} mm is {short} mm less than the {wish_reserve_mm} mm "
    "wished for",
    gives=(("wish_reserve_mm", -1),),
)  # fmt: skip
def reserve(reserve_mm: Any, wish_reserve_mm: Any) -> Any:
    return reserve_mm - wish_reserve_mm


@rule(
    "wish: budget", "wish", "money", standing="rider", wish="budget", couples="price",
    says="the whole costs {total_price}, {short} over the budget of {wish_budget}",
    gives=(("wish_budget", 1),),
)  # fmt: skip
def budget(total_price: Any, wish_budget: Any) -> Any:
    return wish_budget - total_price


@rule(
    "wish: mass", "wish", "g", standing="rider", wish="mass_g", couples="mass",
    says="the whole weighs {total_mass_g} g, {short} g over the {wish_mass_g} g wished for",
    gives=(("wish_mass_g", 1),),
)  # fmt: skip
def mass(total_mass_g: Any, wish_mass_g: Any) -> Any:
    return wish_mass_g - total_mass_g


@rule(
    "wish: days", "wish", "days", standing="rider", wish="days", each="part",
    says="the {part} takes {part_ready_days} days, and a day to fit it: {short} more than the "
    "{wish_days} wished for",
    rises=("wish_days",), falls=WAITS, gives=(("wish_days", 1),),
)  # fmt: skip
def days(part_ready_days: Any, wish_days: Any) -> Any:
    return np.where(part_ready_days > 0, wish_days - part_ready_days - 1.0, np.inf)


@rule(
    "wish: no workshop", "wish", "", standing="rider", wish="no_workshop", categorical=True,
    each="part",
    says="the {part} needs a workshop",
)  # fmt: skip
def no_workshop(part_workshop: Any, wish_no_workshop: Any) -> Any:
    return verdict((part_workshop == 0) | (wish_no_workshop == 0))
