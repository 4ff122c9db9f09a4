"""A fleet and a catalogue, and what is computed of the two."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from recommender.answer.answer import INVENTED
from recommender.catalogue.catalogue import Catalogue
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.fleet.changes import Change, changes
from recommender.fleet.checked import Checked, checked, cost_ends, off_by_bike
from recommender.fleet.groups import Group
from recommender.fleet.plan import Plan
from recommender.fleet.standardise import SECONDS, standardise
from recommender.fleet.task import Limits, Task
from recommender.fleet.unserved import LeftOut
from recommender.fleet.ways import make_task
from recommender.rules.choices import Market
from recommender.rules.market import open_market


@dataclass(frozen=True)
class Fleet:
    """A fleet and a catalogue, and everything computed from the two, each once. `point` is what a
    point of one bike is worth in money; `keep` keeps fitted shocks that can serve."""

    groups: tuple[Group, ...]
    catalogue: Catalogue
    limits: Limits = field(default_factory=Limits)
    point: float = 20.0
    keep: bool = False
    seconds: float = SECONDS

    @property
    def currency(self) -> str:
        return self.groups[0].question.wishes.currency

    @property
    def invented(self) -> bool:
        return INVENTED in self.catalogue.shocks.text("source").words

    @cached_property
    def task(self) -> Task:
        task = make_task(self.groups, self.catalogue, self.point, self.keep)
        unknown = [name for name in self.limits.on_hand if name not in self._numbers(task)]
        if unknown:
            accepted = sorted(self._numbers(task))
            message = "no such part in the catalogue"
            raise BadInput(
                Problem("--on-hand", message + nearest(name, accepted), value=name)
                for name in unknown
            )
        return task

    def _numbers(self, task: Task) -> set[str]:
        tables = (self.catalogue.shocks, self.catalogue.kits, self.catalogue.springs)
        return set(task.names).union(*(table.keys() for table in tables))

    @cached_property
    def plan(self) -> Plan:
        """The best plan. Raises BadInput where none keeps within the limits, or none was found."""
        try:
            plan = standardise(self.task, self.limits, self.seconds)
        except TimeoutError as error:
            raise BadInput([Problem("the plan", str(error))]) from None
        if plan is None:
            least = LeftOut(self.task, self.limits, self.currency, self.seconds).for_any_plan()
            message = f"no plan keeps within these limits; one does {least}"
            raise BadInput([Problem("the plan", message)])
        return plan

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        return changes(self.plan, self.groups)

    @cached_property
    def checked(self) -> tuple[Checked, ...]:
        return checked(self.changes, self.catalogue)

    @cached_property
    def _off(self) -> Mapping[str, tuple[float, float]]:
        return off_by_bike(self.checked)

    def ends(self, some: Iterable[Change], cost: float) -> tuple[float, float] | None:
        """The least and the most that the cost of those changes may come to, as `cost_ends`."""
        return cost_ends((self._off[one.bike] for one in some), cost)

    @cached_property
    def market(self) -> Market:
        """The catalogue in the wishes' currency."""
        return open_market(self.groups[0].question, self.catalogue)
