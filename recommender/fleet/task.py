"""What standardising is asked: groups of alike bikes, the ways to serve each, and the limits.

A *way* gives a bike one build: a shock with its stroke setting and tune, mounted and sprung so
that every rule holds for all the riders to be served. It names the set of kits that fit at each
end; any of one set may be combined with any of the other.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from recommender.facts.problems import BadInput, Problem
from recommender.fleet.eased import Limit


@dataclass(frozen=True)
class Part:
    """Something that is ordered by number: `pieces` for each bike, `price` a piece. `priced` is
    False where the catalogue does not tell the price: it then weighs as dear, and no sum has it."""

    name: str
    pieces: int
    price: float
    supplier: str = ""
    stock: float = float("inf")
    priced: bool = True


@dataclass(frozen=True)
class Fit:
    """A kit that fits at one end of a bike: its price, and the labour to press it in.

    `counted` is False for hardware that is on the bike already: no number to keep on the shelf.
    """

    part: Part
    labour: float = 0.0
    counted: bool = True

    @property
    def cost(self) -> float:
        return self.part.price + self.labour


class Build(NamedTuple):
    """A shock by its part number, its stroke setting, and its tune in words. Its text is its name
    in records and as it is typed."""

    shock: str
    stroke_mm: float
    tune: str

    def __str__(self) -> str:
        return f"{self.shock} | {self.stroke_mm:g} mm | {self.tune}"


@dataclass(frozen=True)
class Way:
    """One way to serve a bike of a group.

    `work` is the money that buys no part (labour, services); `loss` the points it has fewer than
    the group's best. `head` and `shaft` are keys of `Task.fits`. `shock` is '' for a shock that is
    kept. `detail` is whatever made the way, carried along untouched.
    """

    group: int
    build: Build
    shock: str
    parts: tuple[Part, ...]
    work: float
    loss: float
    head: int
    shaft: int
    detail: object = field(default=None, compare=False)

    @property
    def cost(self) -> float:
        """Per bike, kits aside."""
        return self.work + sum(part.pieces * part.price for part in self.parts)

    @property
    def supplier(self) -> str:
        """Who sells the shock; '' where it is kept."""
        return next((part.supplier for part in self.parts if part.name == self.shock), "")


@dataclass(frozen=True)
class Limits:
    """What the plan must keep to besides the rules; all unset by default.

    `builds` asks for exactly that many; `suppliers` for at least that many of bought shocks;
    `share` is the most of the fleet that one shock number may be on. `on_hand` are pieces the owner
    has: they cost nothing, and count as no order.
    """

    budget: float | None = None
    in_stock: bool = False
    suppliers: int = 0
    share: float | None = None
    builds: int | None = None
    on_hand: Mapping[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        problems = []
        if self.share is not None and not 0 < self.share <= 1:
            message = "more than 0 and at most 1 is accepted, such as 0.5 for half of the bikes"
            problems.append(Problem("--share", message, value=f"{self.share:g}"))
        if self.builds is not None and self.builds < 1:
            problems.append(Problem("--builds", "at least 1 is accepted", value=f"{self.builds}"))
        if self.budget is not None and not 0 <= self.budget < float("inf"):
            message = "an amount of 0 or more is accepted"
            problems.append(Problem("--budget", message, value=f"{self.budget:g}"))
        if problems:
            raise BadInput(problems)

    @property
    def names(self) -> tuple[Limit, ...]:
        """The limits that are set and may leave bikes out; money, which divides best, last."""
        some: tuple[tuple[Limit, bool], ...] = (
            ("suppliers", self.suppliers > 0), ("share", self.share is not None),
            ("builds", self.builds is not None), ("in_stock", self.in_stock),
            ("budget", self.budget is not None),
        )  # fmt: skip
        return tuple(name for name, is_set in some if is_set)

    def most_on_one(self, bikes: int) -> int:
        """The most of so many bikes that one shock number may be on."""
        return bikes if self.share is None else int(self.share * bikes + 1e-9)

    @property
    def alike(self) -> bool:
        """Whether one way may stand for another that costs no more: no limit tells them apart."""
        return not (
            self.in_stock or self.suppliers or self.share is not None or self.on_hand
            or self.builds is not None
        )  # fmt: skip

    @property
    def local(self) -> bool:
        """Whether groups that share no part can be planned apart."""
        return self.alike and self.budget is None


@dataclass(frozen=True)
class Task:
    """The whole question. `sizes` are bikes per group; `fits` the sets of kits by their key;
    `point` is what one point of one bike is worth in money when all else is equal."""

    sizes: tuple[int, ...]
    ways: tuple[Way, ...]
    fits: tuple[tuple[Fit, ...], ...]
    point: float = 0.0

    @property
    def bikes(self) -> int:
        return sum(self.sizes)

    def weigh(self, way: Way) -> float:
        """What the last stage counts for a bike served that way, kits aside."""
        return way.cost + self.point * way.loss

    def alone(self, way: Way) -> float:
        """What a bike counts for that way with the cheapest kits."""
        return self.weigh(way) + sum(
            min(fit.cost for fit in self.fits[key]) for key in (way.head, way.shaft)
        )

    @cached_property
    def own_best(self) -> Mapping[int, Way]:
        """Each group's own best way, as if it stood alone."""
        best: dict[int, tuple[float, Build, Way]] = {}
        for way in self.ways:
            key = self.alone(way), way.build
            if way.group not in best or key < best[way.group][:2]:
                best[way.group] = (*key, way)
        return {group: way for group, (_, _, way) in best.items()}

    @property
    def names(self) -> list[str]:
        """Everything that can be dropped: builds, shocks, kits and other parts."""
        names = {str(way.build) for way in self.ways}
        names |= {way.shock for way in self.ways if way.shock}
        names |= {part.name for way in self.ways for part in way.parts}
        names |= {fit.part.name for one in self.fits for fit in one if fit.counted}
        return sorted(names)

    def costless(self) -> "Task":
        """The same question where everything is free, so that only what serves counts."""
        ways = [
            Way(w.group, w.build, "", (), 0.0, 0.0, w.head, w.shaft, w.detail) for w in self.ways
        ]
        fits = tuple(
            tuple(Fit(Part(fit.part.name, 1, 0.0), 0.0, fit.counted) for fit in one)
            for one in self.fits
        )
        return Task(self.sizes, tuple(ways), fits)

    def only(self, ways: "tuple[Way, ...] | list[Way]") -> "Task":
        """The same question with fewer ways."""
        return Task(self.sizes, tuple(ways), self.fits, self.point)

    def without(self, name: str) -> "Task":
        """The same question where that build, shock, kit or other part cannot be had."""
        ways = [
            way for way in self.ways
            if name not in (str(way.build), way.shock, *(part.name for part in way.parts))
        ]  # fmt: skip
        fits = tuple(
            tuple(fit for fit in one if fit.part.name != name or not fit.counted)
            for one in self.fits
        )
        ways = [way for way in ways if fits[way.head] and fits[way.shaft]]
        return Task(self.sizes, tuple(ways), fits, self.point)
