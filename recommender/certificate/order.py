"""The claims about order: points from the breakpoints told, sums, and who stands before whom."""

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from recommender.catalogue.columns import Floats
from recommender.certificate.best import TOTALS, Amounts, best_points, of_completion
from recommender.certificate.records import (
    BundleClaim,
    Certificate,
    CriterionClaim,
    ScoreClaim,
)
from recommender.certificate.refused import Refused
from recommender.certificate.shown import shown, told
from recommender.certificate.way import Way
from recommender.facts.wishes import Wishes
from recommender.rules.registry import FIGURES

SAME = 1e-9
"""Figures that differ by less, absolutely or as a share, are one."""
_ROUNDED = 1e-6
"""What two ways of rounding one criterion's points to six places may differ by."""


def check_order(certificate: Certificate, states: Mapping[str, str]) -> None:
    """Who stands in the order, and before whom; the bundles themselves are `check_bundle`'s."""
    counted = Counter(one.shock for one in certificate.order)
    for shock, number in counted.items():
        if states.get(shock, "ruled out") == "ruled out":
            raise Refused(f"order, {shock}", "it is ruled out, or no shock of the market")
        if number > 1:
            raise Refused(f"order, {shock}", f"it stands there {number} times, not once")
    for shock, state in states.items():
        if state != "ruled out" and shock not in counted:
            raise Refused(f"order, {shock}", "it is not ruled out, and is missing")
    for first, second in pairwise(certificate.order):
        if not _key(first, states) < _key(second, states):
            raise Refused("order", f"{second.shock} ought to stand before {first.shock}")


def _key(one: BundleClaim, states: Mapping[str, str]) -> tuple[object, ...]:
    """Sure before open, then most points, then cheapest, lightest, then by name."""
    return states[one.shock] != "fits", -one.total_points, one.price, one.mass_g, one.shock


def check_criteria(
    criteria: Sequence[CriterionClaim], asked: Sequence[CriterionClaim], wishes: Wishes
) -> None:
    """Each can be computed, and they are those the question asks for. Raises Refused."""
    for one in criteria:
        claim = f"criterion {one.name}"
        quantities = [x for x, _ in one.breakpoints]
        if not quantities or any(b <= a for a, b in pairwise(quantities)):
            raise Refused(claim, "its breakpoints do not rise")
        if not all(0 <= value <= 1 for _, value in one.breakpoints):
            raise Refused(claim, "a value lies outside 0 to 1")
        if one.fact not in FIGURES and one.fact not in TOTALS:
            raise Refused(claim, f"nothing is known by the name '{one.fact}'")
        wish = getattr(wishes, one.wish, None) if one.wish else None
        if one.wish and not hasattr(wish, "weight"):
            raise Refused(claim, f"there is no wish '{one.wish}'")
        _weighs(claim, getattr(wish, "weight", wishes.weights.get(one.name, one.weight)), one)
    _as_asked(criteria, asked)


def _weighs(claim: str, weight: float, one: CriterionClaim) -> None:
    if weight != one.weight:
        raise Refused(claim, f"the question weighs it {weight:g}, not {one.weight:g}")


def _as_asked(criteria: Sequence[CriterionClaim], asked: Sequence[CriterionClaim]) -> None:
    """Every criterion of the question once, in its order, and no other."""
    told, wanted = {one.name: one for one in criteria}, {one.name: one for one in asked}
    for name in [*wanted, *told]:
        claim = f"criterion {name}"
        if name not in told:
            raise Refused(claim, f"the question weighs it {wanted[name].weight:g}; it is missing")
        if name not in wanted:
            raise Refused(claim, "the question does not weigh it")
        _weighs(claim, wanted[name].weight, told[name])
        if told[name] != wanted[name]:
            raise Refused(claim, "the question values it by other breakpoints, or another figure")
    if [one.name for one in criteria] != list(wanted):
        raise Refused("criteria", "one is told twice, or they stand in another order")


def value_of(criterion: CriterionClaim, quantity: Floats) -> Floats:
    """Values between the breakpoints, to six places; what cannot be computed counts as 0."""
    x, v = (np.array(one) for one in zip(*criterion.breakpoints, strict=True))
    rounded: Floats = np.round(np.interp(np.nan_to_num(quantity), x, v), 6)
    return rounded


def _points(one: BundleClaim, criteria: Sequence[CriterionClaim]) -> None:
    claim = f"points of {one.shock}"
    if len(one.scores) != len(criteria):
        raise Refused(claim, f"{len(one.scores)} scores for {len(criteria)} criteria")
    for score, criterion in zip(one.scores, criteria, strict=True):
        here = f"{claim}, {criterion.name}"
        if score.quantity is not None:
            value = float(value_of(criterion, np.array(score.quantity)))
            if abs(value - score.value) > SAME:
                raise Refused(here, f"its value is {value}, not {score.value}")
        points = round(criterion.weight * score.value, 6)
        if abs(points - score.points) > SAME:
            raise Refused(here, f"they come to {points}, not {score.points}")
    total = round(sum(score.points for score in one.scores), 6)
    if abs(total - one.total_points) > SAME:
        raise Refused(claim, f"they add up to {total}, not {one.total_points}")


def check_bundle(
    one: BundleClaim, criteria: Sequence[CriterionClaim], mounted: Sequence[Way], sure: bool
) -> None:
    """The bundle can be had, its quantities are as told, and no other of its shock earns more."""
    _points(one, criteria)
    claim = f"bundle of {one.shock}"
    found = shown(claim, one.made, mounted)
    broken = found.possible if sure else found.certain
    if broken:
        raise Refused(claim, f"it breaks {told(found.way, broken)}")
    amounts = of_completion(found)
    for name, own, now in (
        ("price", one.price, amounts.totals["price"]),
        ("mass", one.mass_g, amounts.totals["mass"]),
        ("days", one.days, amounts.totals["days"]),
        ("workshop jobs", one.workshop_jobs, amounts.totals["workshop"]),
    ):
        if not np.isclose(own, now, rtol=SAME, atol=SAME):
            raise Refused(f"{claim}, {name}", f"it comes to {now:g}, not {own:g}")
    for score, criterion in zip(one.scores, criteria, strict=True):
        _quantity(f"{claim}, {criterion.name}", score, criterion, amounts)
    most = max(best_points(way, criteria, value_of, sure) for way in mounted)
    if most > one.total_points + _ROUNDED * len(criteria):
        raise Refused(claim, f"another of the same shock earns {most:g}, this {one.total_points:g}")


def _quantity(claim: str, score: ScoreClaim, criterion: CriterionClaim, amounts: Amounts) -> None:
    now = amounts.of(criterion.fact)
    if score.quantity is None:
        if np.isfinite(now):
            raise Refused(claim, f"it is said not to be known, and is {now:g}")
        value = float(value_of(criterion, np.array(now)))
        if abs(value - score.value) > SAME:
            raise Refused(claim, f"the value is {value}, not {score.value}")
    elif not np.isclose(score.quantity, now, rtol=SAME, atol=SAME):
        raise Refused(claim, f"it is {now:g}, not {score.quantity:g}")
