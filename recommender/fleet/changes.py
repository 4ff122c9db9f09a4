"""The plan bike by bike: what each gets."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from recommender.fleet.groups import Group
from recommender.fleet.plan import Plan
from recommender.fleet.reading import Bikes
from recommender.fleet.task import Fit, Part, Way
from recommender.fleet.ways import mounting
from recommender.rules.choices import DELIVERED


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
    def service_due(self) -> bool:
        """Whether the bike keeps its shock as it is though its service is due."""
        how = mounting(self.way)
        return how.kept and how.tune == DELIVERED and self.row.facts.condition == "service due"

    @property
    def urgency(self) -> tuple[int, datetime.date, str]:
        """Failed bikes first; then by the date of the next service, no date last; then by name."""
        condition = self.row.facts.condition
        due = self.row.due
        if due is None:
            due = datetime.date.min if condition == "service due" else datetime.date.max
        return (0 if condition == "broken" else 1), due, self.bike


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
