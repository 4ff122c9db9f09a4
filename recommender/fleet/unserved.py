"""The bikes that a plan leaves out, put into records: why, and the least that lets them in."""

import time
from collections.abc import Iterable, Iterator

from recommender.catalogue.catalogue import Catalogue
from recommender.fleet.eased import AllInRecord, EasingRecord, LimitChange, Unserved
from recommender.fleet.easing import all_in, one_more
from recommender.fleet.groups import Group
from recommender.fleet.plan import Plan
from recommender.fleet.task import Limits, Task
from recommender.fleet.why import reason

SHORT = {
    "budget": "the budget", "in_stock": "the stock", "suppliers": "the number of suppliers",
    "share": "the largest share", "builds": "the number of builds",
}  # fmt: skip


def _number(value: float) -> str:
    """To the cent, without needless zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


class LeftOut:
    """What a plan's limits leave out, told in the currency; sought for so many seconds in all."""

    def __init__(self, task: Task, limits: Limits, currency: str, seconds: float) -> None:
        self.task, self.limits, self.currency = task, limits, currency
        self.end = time.monotonic() + seconds

    def groups(
        self, plan: Plan, groups: Iterable[Group], catalogue: Catalogue
    ) -> Iterator[Unserved]:
        """A record for every group that is not served whole."""
        able = {way.group for way in self.task.ways}
        for number, group in enumerate(groups):
            left = group.bikes[plan.by_group[number] :]
            if left and number in able:
                yield self._by_limits(plan, number, group.name, left)
            elif left:
                found = reason(group, catalogue)
                yield Unserved(
                    group=group.name, bikes=left, why=found.why, least_change=found.least_change,
                    nearest=found.nearest, corrections=found.corrections,
                )  # fmt: skip

    def _by_limits(self, plan: Plan, number: int, name: str, left: tuple[str, ...]) -> Unserved:
        if not plan.stages[0].proved:
            why = "builds fit; time ran out before it was proved that no more bikes can be served"
            return Unserved(group=name, bikes=left, why=why, least_change="give it more time")
        found = one_more(self.task, self.limits, plan.by_group, number, self.end)
        enough = [self._easing(one) for one in found if one.enough]
        least = [f"{'one more' if len(left) > 1 else 'it'} is in {', or '.join(enough)}"]
        least = least * bool(enough) + [self._easing(one) for one in found if one.enough is None]
        alone = [one.limits[0] for one in found if one.enough is False and len(one.limits) == 1]
        if alone:
            names = " or ".join(SHORT[limit] for limit in alone)
            least.append(f"no change of {names} alone is enough")
        some = [one.limits for one in found if one.enough is not False]
        told = ", or by ".join(" and ".join(map(self.told, names)) for names in some)
        why = f"builds fit, but left out by {told}"
        return Unserved(
            group=name, bikes=left, why=why, least_change="; ".join(least), eased=found
        )

    def for_any_plan(self) -> str:
        """The least changes of the limits with which there is any plan at all."""
        found = one_more(self.task, self.limits, {}, None, self.end)
        enough = [self._easing(one) for one in found if one.enough]
        return ", or ".join(enough) or "where one of them is eased"

    def all_in(self, plan: Plan) -> Iterator[AllInRecord]:
        """What lets in all that a limit alone leaves out."""
        able = sum(self.task.sizes[number] for number in {way.group for way in self.task.ways})
        if plan.served < able and plan.stages[0].proved:
            for one in all_in(self.task, self.limits, plan.served, self.end):
                yield one.model_copy(update={"text": self._all_in(one, plan.served)})

    def _all_in(self, one: AllInRecord, served: int) -> str:
        limit = " and ".join(self.told(name) for name in one.easing.limits)
        alone, more = len(one.easing.limits) == 1, one.served - served
        leave = "leaves" if alone else "together leave"
        if not more:
            return f"how many {limit} {leave} out was not found: time ran out"
        perhaps = "" if one.most == one.served else f" or more, at most {one.most - served},"
        text = f"{limit} {leave} out {more} "
        text += f"bike{'s' if more > 1 else ''}{perhaps}; "
        if one.easing.enough:
            text += "this is in " if more == 1 else "these are in "
        return text + self._easing(one.easing)

    def told(self, limit: str) -> str:
        """A limit in words."""
        limits = self.limits
        words = {
            "budget": f"the budget of {_number(limits.budget or 0.0)} {self.currency}",
            "in_stock": "what suppliers have in stock",
            "suppliers": f"buying from at least {limits.suppliers} suppliers",
            "share": f"the largest share of {_number(100 * (limits.share or 0.0))} %",
            "builds": f"asking for exactly {limits.builds} builds",
        }
        return words[limit]

    def _easing(self, one: EasingRecord) -> str:
        names = " and ".join(SHORT[name] for name in one.limits)
        if one.enough:
            return " and ".join(self._change(change) for change in one.changes)
        if one.enough is None:
            return f"how much {names} must give way was not found: time ran out"
        return f"no change of {names} alone is enough"

    def _change(self, one: LimitChange) -> str:
        """'from a budget of 3361 EUR (361 more)', and what is proved where that is less."""
        change = _number(one.change)
        if one.limit == "in_stock":
            text = "with " + " and ".join(f"{some.more} more of {some.part}" for some in one.pieces)
            text += " in stock"
        elif one.limit == "budget":
            text = f"from a budget of {_number(one.value)} {self.currency} ({change} more)"
        elif one.limit == "share":
            bikes = self.limits.most_on_one(self.task.bikes) + round(one.change)
            text = f"from a share of {_number(100 * one.value)} % ({bikes} bikes on one shock, "
            text += f"{change} more)"
        elif one.limit == "suppliers":
            text = f"with {one.value:g} suppliers ({change} fewer)"
        else:
            more = "more" if one.value > (self.limits.builds or 0) else "fewer"
            text = f"with {one.value:g} builds ({change} {more})"
        if not one.proved:
            text += f", where time ran out: not proved the least, only that {_number(one.least)} "
            text += "is needed" if one.least else "something is needed"
        return text
