"""The bikes that a plan leaves out, put into records: why, and the least that lets them in."""

import math
import time
from collections.abc import Iterable, Iterator

from recommender.catalogue.catalogue import Catalogue
from recommender.fleet.eased import AllInRecord, EasingRecord, LimitChange, MorePieces, Unserved
from recommender.fleet.easing import AllIn, Amount, Easing, all_in, one_more
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


def _share(count: float, bikes: int) -> float:
    """The least share, to a hundredth of a per cent, that lets so many of the bikes be alike."""
    return math.ceil(round(count / bikes * 1e4, 6)) / 1e4


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
        eased = tuple(self._easing(one) for one in found)
        enough = [one.text for one in eased if one.enough]
        least = [f"{'one more' if len(left) > 1 else 'it'} is in {', or '.join(enough)}"]
        least = least * bool(enough) + [one.text for one in eased if one.enough is None]
        alone = [one.limits[0] for one in found if one.enough is False and len(one.limits) == 1]
        if alone:
            names = " or ".join(SHORT[limit] for limit in alone)
            least.append(f"no change of {names} alone is enough")
        some = [one.limits for one in found if one.enough is not False]
        told = ", or by ".join(" and ".join(map(self.told, names)) for names in some)
        why = f"builds fit, but left out by {told}"
        return Unserved(
            group=name, bikes=left, why=why, least_change="; ".join(least), eased=eased
        )

    def for_any_plan(self) -> str:
        """The least changes of the limits with which there is any plan at all."""
        found = one_more(self.task, self.limits, {}, None, self.end)
        enough = [self._easing(one).text for one in found if one.enough]
        return ", or ".join(enough) or "where one of them is eased"

    def all_in(self, plan: Plan) -> Iterator[AllInRecord]:
        """What lets in all that a limit alone leaves out."""
        able = sum(self.task.sizes[number] for number in {way.group for way in self.task.ways})
        if plan.served < able and plan.stages[0].proved:
            for one in all_in(self.task, self.limits, plan.served, self.end):
                yield self._all_in(one, plan.served)

    def _all_in(self, one: AllIn, served: int) -> AllInRecord:
        limit = self.told(one.easing.limits[0])
        easing = self._easing(one.easing)
        if one.served <= served:
            text = f"how many {limit} leaves out was not found: time ran out"
        else:
            more = "" if one.most == one.served else f" or more, at most {one.most - served},"
            count = f"{one.served - served} bike{'s' if one.served - served > 1 else ''}"
            text = f"{limit} leaves out {count}{more}"
            who = "this is" if one.served - served == 1 else "these are"
            text += f"; {who} in {easing.text}" if easing.enough else f"; {easing.text}"
        return AllInRecord(served=one.served, most=one.most, easing=easing, text=text)

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

    def _easing(self, one: Easing) -> EasingRecord:
        names = " and ".join(SHORT[name] for name in one.limits)
        if one.enough:
            text = " and ".join(self._amount(amount) for amount in one.amounts)
        elif one.enough is None:
            text = f"how much {names} must give way was not found: time ran out"
        else:
            text = f"no change of {names} alone is enough"
        return EasingRecord(
            limits=one.limits, enough=one.enough, text=text,
            changes=tuple(
                LimitChange(
                    limit=amount.limit, value=self._value(amount), change=amount.change,
                    least=amount.least, proved=amount.proved,
                    pieces=tuple(MorePieces(part=part, more=more) for part, more in amount.pieces),
                )
                for amount in one.amounts
            ),
        )  # fmt: skip

    def _value(self, amount: Amount) -> float:
        if amount.limit == "share":
            return _share(amount.value, self.task.bikes)
        return amount.value

    def _amount(self, one: Amount) -> str:
        """'from a budget of 3361 EUR (361 more)', and what is proved where that is less."""
        change = _number(one.change)
        if one.limit == "in_stock":
            text = "with " + " and ".join(f"{more} more of {part}" for part, more in one.pieces)
            text += " in stock"
        elif one.limit == "budget":
            text = f"from a budget of {_number(one.value)} {self.currency} ({change} more)"
        elif one.limit == "share":
            share = _number(100 * _share(one.value, self.task.bikes))
            text = f"from a share of {share} % ({one.value:g} bikes on one shock, {change} more)"
        elif one.limit == "suppliers":
            text = f"with {one.value:g} suppliers ({change} fewer)"
        else:
            more = "more" if one.value > (self.limits.builds or 0) else "fewer"
            text = f"with {one.value:g} builds ({change} {more})"
        if not one.proved:
            text += f", where time ran out: not proved the least, only that {_number(one.least)} "
            text += "is needed" if one.least else "something is needed"
        return text
