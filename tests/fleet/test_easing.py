"""The least that limits must give way, against every assignment of small fleets."""

import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recommender.fleet.eased import EasingRecord, LimitChange
from recommender.fleet.easing import all_in, one_more
from recommender.fleet.programme import Programme, Solved, Terms
from recommender.fleet.standardise import standardise
from recommender.fleet.task import Build, Fit, Limits, Part, Task, Way
from recommender.fleet.unserved import LeftOut
from tests.fleet.random_tasks import Counted, assignments, counted, random_task
from tests.fleet.test_standardise import LIMITS, SEEDS, planned

Changes = tuple[float, ...]


def soon(seconds: float = 60.0) -> float:
    return time.monotonic() + seconds


def least(
    some: Iterable[Counted], names: Sequence[str], limits: Limits, task: Task
) -> Changes | None:
    """The least changes of the limits by these names, one after another, the others held."""
    every = (one.excess(limits, task.bikes) for one in some)
    held = (
        tuple(one[name] for name in names) for one in every
        if not any(amount for name, amount in one.items() if name not in names)
    )  # fmt: skip
    return min(held, default=None)


def changes(easing: EasingRecord) -> Changes | None:
    assert easing.enough is not None
    assert all(amount.proved for amount in easing.changes)
    return tuple(amount.change for amount in easing.changes) if easing.enough else None


def pieces(change: LimitChange) -> list[tuple[str, int]]:
    return [(one.part, one.more) for one in change.pieces]


def with_amounts(limits: Limits, easing: EasingRecord) -> Limits:
    """The limits as their owner would set them anew; stock is left unlimited."""
    told = {
        "budget": lambda value: {"budget": value}, "suppliers": lambda n: {"suppliers": n},
        "share": lambda part: {"share": part}, "builds": lambda n: {"builds": n},
        "in_stock": lambda _: {"in_stock": False},
    }  # fmt: skip
    for amount in easing.changes:
        limits = replace(limits, **told[amount.limit](amount.value))
    return limits


@settings(max_examples=40, deadline=None)
@given(SEEDS, LIMITS)
def test_one_more_bike_takes_the_least_of_every_assignment(seed: int, told: dict) -> None:
    task, limits, plan = planned(seed, told)
    if plan is None:
        return
    every = [counted(task, limits, served) for served in assignments(task)]
    for group in {way.group for way in task.ways}:
        wanted = [plan.by_group[k] + (k == group) for k in range(len(task.sizes))]
        if wanted[group] > task.sizes[group]:
            continue
        some = [
            one for one in every
            if all(have >= need for have, need in zip(one.served, wanted, strict=True))
        ]  # fmt: skip
        found = one_more(task, limits, plan.by_group, group, soon())
        for easing in found:
            assert changes(easing) == (wanted_change := least(some, easing.limits, limits, task))
            assert easing.enough == (wanted_change is not None)
            assert not easing.enough or all(amount.change > 0 for amount in easing.changes)
        count = max(len(easing.limits) for easing in found)
        assert {easing.limits for easing in found} == {
            names for k in range(1, count + 1) for names in combinations(limits.names, k)
        }
        assert {len(easing.limits) for easing in found if easing.enough} == {count}


@settings(max_examples=40, deadline=None)
@given(SEEDS, LIMITS)
def test_all_are_in_with_the_least_of_every_assignment(seed: int, told: dict) -> None:
    task, limits, plan = planned(seed, told)
    if plan is None:
        return
    every = [counted(task, limits, served) for served in assignments(task)]
    some = list(all_in(task, limits, plan.served, soon()))
    found = {one.easing.limits[0]: one for one in some if len(one.easing.limits) == 1}
    together = [one for one in some if len(one.easing.limits) > 1]
    best = plan.served
    for name in limits.names:
        free = [
            some for some in every
            if not any(n for k, n in some.excess(limits, task.bikes).items() if k != name)
        ]  # fmt: skip
        most = max(sum(some.served) for some in free)
        best = max(best, most)
        assert (name in found) == (most > plan.served)
        if name not in found:
            continue
        one = found[name]
        assert one.served == one.most == most
        full = [some for some in free if sum(some.served) == most]
        assert changes(one.easing) == least(full, (name,), limits, task)
        if name != "in_stock":
            again = standardise(task, with_amounts(limits, one.easing))
            assert again is not None
            assert again.served == most
    able = sum(task.sizes[group] for group in {way.group for way in task.ways})
    assert bool(together) == (able > best)
    for one in together:
        assert one.served == one.most == able
        full = [some for some in every if sum(some.served) == able]
        wanted = least(full, limits.names, limits, task)
        assert wanted is not None
        assert changes(one.easing) == tuple(change for change in wanted if change)


@settings(max_examples=30, deadline=None)
@given(SEEDS, st.integers(0, 150))
def test_a_cent_less_leaves_the_bike_out(seed: int, cents: int) -> None:
    """Prices with cents: at the budget told the bikes are served, a cent below they are not."""
    whole = random_task(seed, groups=3, builds=4, kits=3, most=3, ways=3)
    task = whole.only([replace(way, work=way.work + 0.07 * k) for k, way in enumerate(whole.ways)])
    limits = Limits(budget=float(cents))
    first = standardise(task, limits)
    assert first is not None
    for one in all_in(task, limits, first.served, soon()):
        budget = one.easing.changes[0].value
        assert budget == round(budget, 2)
        for amount, enough in ((budget, True), (budget - 0.01, False)):
            plan = standardise(task, Limits(budget=amount))
            assert plan is not None
            assert (plan.served == one.served) == enough


def small() -> Task:
    """Two groups of two bikes; a build for each, of its own supplier, 100 and 200 a shock."""
    fits = ((Fit(Part("on the bike", 1, 0.0), 0.0, False),),)
    ways = tuple(
        Way(k, Build(f"B{k}", 50.0, "as delivered"), f"B{k}",
            (Part(f"B{k}", 1, 100.0 * (k + 1), f"S{k}", 1.0),), 0.0, 0.0, 0, 0)
        for k in (0, 1)
    )  # fmt: skip
    return Task((2, 2), ways, fits)


def test_limits_that_bite_together_are_eased_together() -> None:
    """Of each shock one is in stock, and the money is spent: alone, neither is enough. By hand."""
    task, limits = small(), Limits(budget=300.0, in_stock=True)
    plan = standardise(task, limits)
    assert plan is not None
    assert plan.served == 2
    # A cheaper way whose two parts are not in stock: fewer pieces come before less money.
    parts = (Part("B2", 1, 150.0, "S2", 0.0), Part("L2", 1, 10.0, "S2", 0.0))
    cheap = Way(1, Build("B2", 50.0, "as delivered"), "B2", parts, 0.0, 0.0, 0, 0)
    task = task.only((*task.ways, cheap))
    stock, money, both = one_more(task, limits, plan.by_group, 1, soon())
    assert (stock.limits, stock.enough) == (("in_stock",), False)
    assert (money.limits, money.enough) == (("budget",), False)
    assert [pieces(amount) for amount in both.changes] == [[("B1", 1)], []]
    assert [amount.value for amount in both.changes] == [1, 500.0]
    (all_four,) = all_in(task, limits, plan.served, soon())
    assert all_four.served == 4
    assert [amount.value for amount in all_four.easing.changes] == [2, 600.0]
    (alone,) = one_more(task, Limits(in_stock=True), plan.by_group, 1, soon())
    assert pieces(alone.changes[0]) == [("B1", 1)]


def test_builds_and_suppliers_by_hand() -> None:
    task = small()
    plan = standardise(task, Limits(builds=1))
    assert plan is not None
    assert plan.served == 2
    (left_out,) = {0, 1} - set(plan.by_group)
    (easing,) = one_more(task, Limits(builds=1), plan.by_group, left_out, soon())
    assert [(one.limit, one.value, one.change) for one in easing.changes] == [("builds", 2, 1)]
    (none,) = one_more(task, Limits(suppliers=3), {}, None, soon())
    assert [(one.limit, one.value, one.change) for one in none.changes] == [("suppliers", 2, 1)]


def test_no_time_is_told_and_nothing_is_guessed() -> None:
    task, limits = small(), Limits(budget=100.0, in_stock=True)
    (first, second) = one_more(task, limits, {0: 1}, 1, soon(-1.0))
    assert (first.enough, first.changes) == (second.enough, second.changes) == (None, ())
    assert all(one.most == task.bikes and one.easing.enough is None
               for one in all_in(task, limits, 1, soon(-1.0)))


def test_all_in_of_two_groups_by_hand() -> None:
    (one,) = all_in(small(), Limits(budget=100.0), 1, soon())
    (change,) = one.easing.changes
    assert (change.value, change.change, change.least, change.proved) == (600.0, 500.0, 500.0, True)


def test_an_amount_whose_proof_was_cut_short_is_not_called_proved(
    monkeypatch: pytest.MonkeyPatch
) -> None:
    """A bound below what was found: the least is between the two, and both are told."""
    whole = Programme.minimise

    def cut_short(self: Programme, terms: Terms, end: float) -> Solved | None:
        found = whole(self, terms, end)
        money = found is not None and found.objective > 100
        return replace(found, bound=found.objective - 40.0) if found and money else found

    monkeypatch.setattr(Programme, "minimise", cut_short)
    (one,) = all_in(small(), Limits(budget=100.0), 1, soon())
    (change,) = one.easing.changes
    assert (change.change, change.least, change.proved) == (500.0, 460.0, False)
    told = LeftOut(small(), Limits(budget=100.0), "EUR", 60.0)._change(change)
    assert told == (
        "from a budget of 600 EUR (500 more), where time ran out: not proved the least, only that "
        "460 is needed"
    )


def test_a_share_that_need_not_give_way_takes_nothing_from_the_others() -> None:
    """All may be on one number. Nothing is in stock, and nothing may be spent: two of B0 are 2
    pieces and 200; one of each were as many pieces, but 300."""
    fits = ((Fit(Part("on the bike", 1, 0.0), 0.0, False),),)
    ways = tuple(
        Way(0, Build(f"B{k}", 50.0, "as delivered"), f"B{k}",
            (Part(f"B{k}", 1, 100.0 * (k + 1), f"S{k}", 0.0),), 0.0, 0.0, 0, 0)
        for k in (0, 1)
    )  # fmt: skip
    limits = Limits(budget=0.0, in_stock=True, share=1.0)
    (together,) = all_in(Task((2,), ways, fits), limits, 0, soon())
    assert [(one.limit, one.value) for one in together.easing.changes] == [
        ("in_stock", 2), ("budget", 200.0)
    ]  # fmt: skip
