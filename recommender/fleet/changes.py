"""The plan bike by bike: what each gets, from whom it is ordered, in which order it is done."""

import datetime
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from recommender.facts.problems import BadInput, Problem
from recommender.fleet.groups import Group
from recommender.fleet.plan import Plan
from recommender.fleet.reading import Bikes
from recommender.fleet.task import Fit, Part, Way


@dataclass(frozen=True)
class Change:
    """One bike's part of the plan."""

    bike: str
    group: Group
    row: Bikes
    way: Way
    head: Fit
    shaft: Fit

    @property
    def cost(self) -> float:
        return round(self.way.cost + self.head.cost + self.shaft.cost, 2)

    @property
    def parts(self) -> tuple[Part, ...]:
        """What is ordered for it, what lies on hand included."""
        kits = tuple(fit.part for fit in (self.head, self.shaft) if fit.counted)
        return (*self.way.parts, *kits)

    @property
    def needed(self) -> bool:
        """Whether anything is done to the bike."""
        return bool(self.parts) or self.cost > 0

    @property
    def urgency(self) -> tuple[int, datetime.date, str]:
        """Failed bikes first; then by the date of the next service, no date last; then by name."""
        condition = self.row.facts.condition
        due = self.row.due
        if due is None:
            due = datetime.date.min if condition == "service due" else datetime.date.max
        return (0 if condition == "broken" else 1), due, self.bike


@dataclass(frozen=True)
class OrderLine:
    """One part to order: `pieces` less those on hand."""

    part: Part
    pieces: int
    on_hand: int

    @property
    def cost(self) -> float:
        return round(self.pieces * self.part.price, 2) if self.part.priced else 0.0


@dataclass(frozen=True)
class Order:
    """What one supplier is asked for. `minimum`: below it the order is not taken."""

    supplier: str
    lines: tuple[OrderLine, ...]
    minimum: float

    @property
    def cost(self) -> float:
        return round(sum(line.cost for line in self.lines), 2)

    @property
    def short(self) -> float:
        """What is missing to the supplier's order minimum."""
        return round(max(0.0, self.minimum - self.cost), 2)


@dataclass(frozen=True)
class Year:
    """The changes of one year, in order."""

    number: int
    changes: tuple[Change, ...]

    @property
    def cost(self) -> float:
        return round(sum(one.cost for one in self.changes), 2)


def changes(plan: Plan, groups: Sequence[Group]) -> tuple[Change, ...]:
    """What every served bike gets, by group and name. Bikes that a plan leaves out are the last of
    their group."""
    ways: dict[int, list[Way]] = defaultdict(list)
    for way, count in plan.taken:
        ways[way.group] += [way] * count
    fits: dict[tuple[int, str, int], list[Fit]] = {
        place: [fit for fit, count in some for _ in range(count)] for place, some in plan.kits
    }
    out = []
    for number, some in sorted(ways.items()):
        group = groups[number]
        bikes = [(name, row) for row in group.rows for name in row.names()]
        for (name, row), way in zip(bikes, some, strict=False):
            head = fits[number, "head", way.head].pop()
            shaft = fits[number, "shaft", way.shaft].pop()
            out.append(Change(name, group, row, way, head, shaft))
    return tuple(out)


def orders(plan: Plan, minimums: Mapping[str, float]) -> tuple[Order, ...]:
    """The order list by supplier; what lies on hand is not ordered."""
    known = {part.name: part for part in plan.parts()}
    hand = dict(plan.from_hand)
    lines: dict[str, list[OrderLine]] = defaultdict(list)
    for name, pieces in sorted(plan.pieces().items()):
        part, mine = known[name], hand.get(name, 0)
        lines[part.supplier].append(OrderLine(part, pieces - mine, mine))
    return tuple(
        Order(supplier, tuple(some), minimums.get(supplier, 0.0))
        for supplier, some in sorted(lines.items())
    )


def rollout(made: Sequence[Change], yearly: float | None) -> tuple[tuple[Year, ...], float]:
    """The changes by urgency, year by year within the yearly budget; and the fleet's whole cost.

    A year is closed when the next bike does not fit it: nobody is passed by. Raises BadInput where
    one bike alone costs more than a year's budget.
    """
    due = sorted((one for one in made if one.needed), key=lambda one: one.urgency)
    whole = round(sum(one.cost for one in due), 2)
    if yearly is None:
        return ((Year(1, tuple(due)),) if due else ()), whole
    dear = [one for one in due if one.cost > yearly + 1e-9]
    if dear:
        dearest = max(dear, key=lambda one: one.cost)
        more = f", and {len(dear) - 1} others more than {yearly:g}" if len(dear) > 1 else ""
        message = f"the change of {dearest.bike} alone costs {dearest.cost:g}{more}: "
        message += f"at least {dearest.cost:g} a year is wanted"
        raise BadInput([Problem("yearly budget", message, value=f"{yearly:g}")])
    years: list[list[Change]] = []
    left = 0.0
    for one in due:
        if not years or one.cost > left + 1e-9:
            years.append([])
            left = yearly
        years[-1].append(one)
        left -= one.cost
    return tuple(Year(k + 1, tuple(some)) for k, some in enumerate(years)), whole
