"""Spares: the least stock that keeps bikes out of the workshop, by part and for the whole fleet.

A demand is a failure, met by ordering another unit (its delivery is the wait), or a scheduled
service, met from the exchange pool (the service's turnaround is the wait). Demands are Poisson;
the least s is stocked with P(D <= s) at the level wanted while units are on their way: base stock
(Nahmias, Production and Operations Analysis; Silver, Pyke and Peterson).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from scipy.stats import poisson

from recommender.facts.problems import BadInput, Problem
from recommender.fleet.records import LevelRecord

DAYS = 365.0
Measure = Literal["no stock-out", "fill"]
LEVELS = (0.90, 0.91, 0.92, 0.93, 0.94, 0.95, 0.96, 0.97, 0.98, 0.99, 0.995)


@dataclass(frozen=True)
class Policy:
    """What spares are kept for. Hours and turnaround are from memory: edit them.

    `measure`: 'no stock-out' asks that no demand waits in a lead time, P(D <= s); 'fill' is the
    share of demands met at once, P(D <= s - 1), and needs a unit more.
    """

    level: float = 0.95
    measure: Measure = "no stock-out"
    hours_between_failures: float = 1500.0
    hours_between_services: float = 125.0
    hours_between_kits: float = 600.0
    turnaround_days: float = 10.0
    lead_days: float | None = None

    def __post_init__(self) -> None:
        problems = []
        if not 0 < self.level < 1:
            message = "more than 0 and less than 1 is accepted, such as 0.95"
            problems.append(Problem("--level", message, value=f"{self.level:g}"))
        for option, hours in (
            ("--failures", self.hours_between_failures),
            ("--services", self.hours_between_services), ("--kits", self.hours_between_kits),
        ):  # fmt: skip
            if not 0 < hours < float("inf"):
                message = "hours of more than 0 are accepted"
                problems.append(Problem(option, message, value=f"{hours:g}"))
        for option, days in (("--turnaround", self.turnaround_days), ("--lead", self.lead_days)):
            if days is not None and not 0 <= days < float("inf"):
                problems.append(Problem(option, "0 days or more are accepted", value=f"{days:g}"))
        if problems:
            raise BadInput(problems)


@dataclass(frozen=True)
class Use:
    """A part that is on bikes: how many, their hours a year, a unit's price and its delivery."""

    part: str
    kind: Literal["shock", "kit"]
    bikes: int
    hours: float
    price: float
    lead_days: float


@dataclass(frozen=True)
class Spare:
    """What to keep of one part. `failures` and `pool` are the mean demands while waiting for a
    delivery and for a service."""

    use: Use
    failures: float
    pool: float
    stock: int
    pool_only: int

    @property
    def mean(self) -> float:
        return self.failures + self.pool

    @property
    def cost(self) -> float:
        return round(self.stock * self.use.price, 2)


def base_stock(mean: float, level: float, measure: Measure = "no stock-out") -> int:
    """The least stock at which Poisson demand of that mean is served at the level."""
    if mean <= 0:
        return 0
    least = int(poisson.ppf(level, mean))
    # ppf may land one off where the level is met exactly.
    while least > 0 and poisson.cdf(least - 1, mean) >= level:
        least -= 1
    while poisson.cdf(least, mean) < level:
        least += 1
    return least if measure == "no stock-out" else least + 1


def backorders(mean: float, stock: int) -> float:
    """Expected demands that wait: E[(D - s)+]."""
    return float(mean * poisson.sf(stock - 1, mean) - stock * poisson.sf(stock, mean))


def means(use: Use, policy: Policy) -> tuple[float, float]:
    """Mean demands while a delivery, and while a service, is waited for."""
    lead = use.lead_days if policy.lead_days is None else policy.lead_days
    if use.kind == "kit":
        return use.hours / policy.hours_between_kits * lead / DAYS, 0.0
    failures = use.hours / policy.hours_between_failures * lead / DAYS
    return failures, use.hours / policy.hours_between_services * policy.turnaround_days / DAYS


def spares(uses: Iterable[Use], policy: Policy) -> tuple[Spare, ...]:
    """What to keep of each part, by kind, then name."""
    out = []
    for use in sorted(uses, key=lambda one: (one.kind != "shock", one.part)):
        failures, pool = means(use, policy)
        out.append(
            Spare(
                use, failures, pool,
                base_stock(failures + pool, policy.level, policy.measure),
                base_stock(pool, policy.level, policy.measure),
            )
        )  # fmt: skip
    return tuple(out)


def levels(uses: Iterable[Use], policy: Policy) -> tuple[LevelRecord, ...]:
    """Units and money at each level of LEVELS, and what each step costs."""
    some = list(uses)
    demand = [(use, sum(means(use, policy))) for use in some]
    out: list[LevelRecord] = []
    for level in LEVELS:
        stock = [(use, base_stock(mean, level, policy.measure)) for use, mean in demand]
        cost = round(sum(use.price * count for use, count in stock), 2)
        more = round(cost - out[-1].cost, 2) if out else 0.0
        units = sum(count for _, count in stock)
        out.append(LevelRecord(level=level, units=units, cost=cost, more=more))
    return tuple(out)
