"""Turned round: which of the known bikes and riders a shock serves, and with which hardware."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.answer.answer import Case
from recommender.answer.bundle import completion_of
from recommender.answer.records import SCHEMA, Record, State
from recommender.answer.shopping import shopping
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Ints
from recommender.catalogue.question import Question
from recommender.facts.bike import Bike
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes
from recommender.ranking.order import Ranked, ranked
from recommender.search.judging import judge
from recommender.search.verdicts import RULED_OUT

_NO_SUCH = "no such shock; accepted: a part number of its shocks.csv"
MASSES = (60.0, 80.0, 100.0)
"""Riders looked up where none is named, kg with kit."""


class Served(Record):
    """One bike and rider that a shock serves, with what it takes. `share` of the points, 0 to 1."""

    shock: str
    bike: str
    rider: str
    state: State
    share: float
    price: float
    parts: tuple[str, ...]


class Reverse(Record):
    """Everything found, each shock's best first; the shocks that serve nobody by name."""

    schema_version: str = SCHEMA
    served: tuple[Served, ...]
    unserved: tuple[str, ...]
    asked: int
    currency: str


@dataclass(frozen=True)
class Known:
    """The bikes by id and the riders that are looked through."""

    bikes: Mapping[str, Bike]
    riders: Sequence[Rider]


def known(catalogue: Catalogue, riders: Sequence[Rider], extra: Mapping[str, Bike]) -> Known:
    """The catalogue's frames and further bikes; without riders three of usual masses."""
    bikes = {name: frame.bike for name, frame in catalogue.frames.items()} | dict(extra)
    usual = [
        Rider(name=f"a rider of {mass:g} kg", mass_with_kit_kg=Quantity.exact(mass))
        for mass in MASSES
    ]
    return Known(bikes, riders or usual)


def rows_of(catalogue: Catalogue, shocks: Sequence[str], stock: bool) -> Ints:
    """Rows of the named shocks; `stock`: of every shock that is counted and there. BadInput."""
    keys = catalogue.shocks.keys()
    if stock:
        column = catalogue.shocks.number("stock")
        return np.flatnonzero(column.is_known & (column.low >= 1))
    place = {key: row for row, key in enumerate(keys)}
    problems = [
        Problem("the catalogue", _NO_SUCH + nearest(name[:80], keys), value=name)
        for name in shocks
        if name not in place
    ]
    if problems:
        raise BadInput(problems)
    return np.array(sorted({place[name] for name in shocks}), np.int64)


def reverse(
    catalogue: Catalogue,
    rows: Ints,
    among: Known,
    wishes: Wishes,
    most: int | None = None,
    done: Callable[[int, int], None] | None = None,
) -> Reverse:
    """For each of those shocks the bikes and riders it serves, `most` of each at the most.

    A bike is taken as its file says, without the shock that is on it now. Sure fits stand before
    what can't be said yet, then by share of the points that the wishes give. `done` is called with
    how many bikes and riders are through, and how many there are.
    """
    found: dict[str, list[Served]] = {}
    count = 0
    for name, rider, case in _cases(catalogue, rows, among, wishes):
        count += 1
        if done is not None:
            done(count, len(among.bikes) * len(among.riders))
        for one in _of_case(case, name, rider):
            found.setdefault(one.shock, []).append(one)
    keys = catalogue.shocks.keys()
    names = [keys[row] for row in rows.tolist()]
    served = [
        one
        for name in names
        for one in sorted(found.get(name, []), key=_order)[:most]
    ]  # fmt: skip
    return Reverse(
        served=tuple(served),
        unserved=tuple(name for name in names if name not in found),
        asked=count,
        currency=wishes.currency,
    )


def _order(one: Served) -> tuple[bool, float, float, str, str]:
    return (one.state != "fits", -one.share, one.price, one.bike, one.rider)


def _cases(
    catalogue: Catalogue, rows: Ints, among: Known, wishes: Wishes
) -> Iterator[tuple[str, Rider, Case]]:
    """One case per bike and rider, over the asked shocks alone."""
    few = replace(catalogue, shocks=catalogue.shocks.take(rows))
    for name, bike in among.bikes.items() if len(rows) else ():
        alone = bike.model_copy(update={"present_shock": None})
        for rider in among.riders:
            yield name, rider, Case(Question(alone, rider, wishes, ""), few)


def _of_case(case: Case, bike: str, rider: Rider) -> Iterator[Served]:
    wishes = case.question.wishes
    verdicts = judge(case.market, wishes)
    alive = np.flatnonzero(verdicts.state != RULED_OUT)
    if not len(alive):
        return
    for found in ranked(case.market, wishes, verdicts, alive):
        yield _served(found[0], case, bike, rider)


def _served(best: Ranked, case: Case, bike: str, rider: Rider) -> Served:
    completion = completion_of(best)
    most = sum(score.criterion.weight for score in best.scores)
    parts = [part.text for part in shopping(completion) if part.role != "shock"]
    return Served(
        shock=case.keys[best.bundle.whole.shock],
        bike=bike,
        rider=rider.name,
        state="fits" if best.bundle.sure else "open",
        share=round(best.points / most, 4) if most else 0.0,
        price=best.price,
        parts=tuple(parts),
    )
