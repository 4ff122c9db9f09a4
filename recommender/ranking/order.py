"""Bundles in order: points summed criterion by criterion, ties broken the same way every time."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import Criterion, criteria
from recommender.rules.choices import Market
from recommender.rules.registry import PARTS, scope
from recommender.search.bundles import Bundle, bundles
from recommender.search.frames import Frames, order
from recommender.search.groups import Group
from recommender.search.tables import Pair
from recommender.search.verdicts import FITS, OPEN, Verdicts
from recommender.search.whole import Whole, wholes


@dataclass(frozen=True)
class Score:
    """What one criterion gives: the quantity, its value in [0, 1], weight times value, most."""

    criterion: Criterion
    quantity: float
    value: float

    @classmethod
    def of(cls, criterion: Criterion, quantity: float) -> "Score":
        return cls(criterion, quantity, float(criterion.value(quantity)))

    @cached_property
    def points(self) -> float:
        return round(self.criterion.weight * self.value, 6)


def total(scores: Iterable[Score]) -> float:
    """Points summed in the order given."""
    return round(sum(score.points for score in scores), 6)


@dataclass(frozen=True)
class Ranked:
    """A bundle with its scores and totals. `points` is their sum in the stated order."""

    bundle: Bundle
    scores: tuple[Score, ...]
    price: float
    mass: float
    days: float
    workshop: int

    @cached_property
    def points(self) -> float:
        return total(self.scores)

    @property
    def values(self) -> tuple[float, ...]:
        return tuple(score.value for score in self.scores)

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Sure before open, then points, price, mass, then the parts' own names."""
        whole = self.bundle.whole
        shocks = whole.market.shocks
        return (
            not self.bundle.sure,
            -self.points,
            self.price,
            self.mass,
            shocks.text(shocks.key)[whole.shock],
            self.bundle.choice,
        )


def ranked(
    market: Market, wishes: Wishes, verdicts: Verdicts, shocks: Ints | None = None
) -> list[list[Ranked]]:
    """For every shock that is not ruled out its bundles, best first; the shocks by their best.

    Bundles of shocks that fit are those that break nothing whatever is measured; for open shocks
    those that break nothing for some value of what is loose.
    """
    made = criteria(wishes)
    chosen = np.arange(len(market.shocks)) if shocks is None else shocks
    kind = market.shocks.choice("spring_kind").codes
    by_shock: dict[int, list[Ranked]] = {}
    for state in (FITS, OPEN):
        rows = chosen[verdicts.state[chosen] == state]
        for code in np.unique(kind[rows]).tolist():
            some = rows[kind[rows] == code]
            for one in _scored(market, wishes, made, some, state == FITS):
                by_shock.setdefault(one.bundle.whole.shock, []).append(one)
    lists = [sorted(found, key=lambda one: one.key) for found in by_shock.values()]
    return sorted(lists, key=lambda found: found[0].key)


def _scored(
    market: Market, wishes: Wishes, made: tuple[Criterion, ...], rows: Ints, sure: bool
) -> Iterator[Ranked]:
    if not len(rows):
        return
    for _, batch in groupby(wholes(market, wishes, rows), key=lambda whole: id(whole.made)):
        tables: list[Table] | None = None
        known: Known = {}
        for whole in batch:
            if tables is None:
                tables = group_tables(whole, made)
            shared = shared_bits(whole)
            worth = [
                table.worth(pair, whole, shared)
                for table, pair in zip(tables, whole.tables, strict=True)
            ]
            for bundle in bundles(whole, worth, sure):
                yield score(bundle, tables, made, known)


@dataclass(frozen=True)
class Table:
    """One group's share of the score, row by row of its frame."""

    criteria: tuple[Criterion, ...]
    quantities: Floats
    values: Floats
    price: Floats
    mass: Floats
    days: Floats
    workshop: Floats

    def scores(self, row: int) -> dict[str, Score]:
        """What one row's criteria give, by name."""
        return {
            one.name: Score(one, float(self.quantities[row, k]), float(self.values[row, k]))
            for k, one in enumerate(self.criteria)
        }

    def worth(self, pair: Pair, whole: Whole, shared: int) -> Floats:
        """Everything a bundle may be better in, as columns to have more of.

        What a limit is set on counts at both ends too: of two parts at the same price the one whose
        price is less loose may be the only one within the budget. Doubts are counted, but for the
        `shared` ones, which another group may have as well: those must be the same or fewer.
        """
        doubtful = pair.possible.sets
        own = np.bitwise_count(doubtful & ~np.uint64(shared)).astype(float)
        columns = [*self.values.T, -self.price, -self.mass, -self.days, -self.workshop, -own]
        for couples, _, _ in whole.limits():
            columns += [-getattr(side, couples) for side in (pair.certain, pair.possible)]
        for k in range(shared.bit_length()):
            if shared >> k & 1:
                columns.append(-((doubtful >> np.uint64(k)) & np.uint64(1)).astype(float))
        return np.stack(columns, axis=1)


def shared_bits(whole: Whole) -> int:
    """The bits that rules of several groups set: one rule on every part."""
    seen = shared = 0
    for group in whole.groups:
        own = 0
        for rule in group.rules:
            own |= whole.rules.bit(rule)
        seen, shared = seen | own, shared | (seen & own)
    return shared


def group_tables(whole: Whole, made: tuple[Criterion, ...]) -> list[Table]:
    """Quantities and values of the criteria that each group decides, and its parts' totals."""
    frames = whole.made.frames.nominal()
    with np.errstate(all="ignore"):
        return [_table(frames, group, made, whole.groups) for group in whole.groups]


def _table(
    frames: Frames, group: Group, made: tuple[Criterion, ...], groups: tuple[Group, ...]
) -> Table:
    size = frames.layout(group.choices).size
    mine = tuple(one for one in made if not one.total and _home(one, groups) is group)
    quantities = np.zeros((size, len(mine)))
    for k, one in enumerate(mine):
        quantities[:, k] = np.broadcast_to(frames.at(one.fact, group.choices), (size,))
    values = np.zeros_like(quantities)
    for k, one in enumerate(mine):
        values[:, k] = one.value(quantities[:, k])
    totals = {name: np.zeros(size) for name in ("price", "mass", "days", "workshop")}
    for part in group.choices or ("shock",):
        if part not in PARTS:
            continue
        price, labour, mass, days, workshop = (
            np.broadcast_to(frames.at(f"{part}_{name}", group.choices), (size,))
            for name in ("price", "labour", "mass_g", "ready_days", "workshop")
        )
        totals["price"] = totals["price"] + price + labour
        totals["mass"] = totals["mass"] + mass
        totals["days"] = np.maximum(totals["days"], days)
        totals["workshop"] = totals["workshop"] + workshop
    return Table(
        mine, quantities, values, totals["price"], totals["mass"], totals["days"],
        totals["workshop"],
    )  # fmt: skip


def _home(criterion: Criterion, groups: tuple[Group, ...]) -> Group:
    """The smallest group whose choices the criterion's fact depends on."""
    need = set(order(scope(criterion.fact)))
    return min((g for g in groups if need <= set(g.choices)), key=lambda g: len(g.choices))


Known = dict[tuple[int, float], dict[str, Score]]
"""Scores that many bundles share: by group and row of its frame; by place of a criterion of the
whole, from the last (-1), and its quantity."""


def score(
    bundle: Bundle, tables: list[Table], made: tuple[Criterion, ...], known: Known | None = None
) -> Ranked:
    """Points of a bundle: money in cents, mass in grams. `known` is filled, for bundles to come of
    the same tables and criteria."""
    known = {} if known is None else known
    at = list(zip(tables, bundle.choice, strict=True))
    days = max(float(table.days[row]) for table, row in at)
    totals = {
        "price": round(sum(float(table.price[row]) for table, row in at), 2),
        "mass": round(sum(float(table.mass[row]) for table, row in at), 0),
        "days": round(days + 1.0 if days > 0 else 0.0, 2),
        "workshop": float(round(sum(float(table.workshop[row]) for table, row in at))),
        "doubt": float(bundle.doubtful.bit_count()),
    }
    found: dict[str, Score] = {}
    for group, (table, row) in enumerate(at):
        if (group, row) not in known:
            known[group, row] = table.scores(row)
        found |= known[group, row]
    for place, one in enumerate(made):
        if one.total:
            key = (-1 - place, totals[one.fact])
            if key not in known:
                known[key] = {one.name: Score.of(one, totals[one.fact])}
            found |= known[key]
    return Ranked(
        bundle, tuple(found[one.name] for one in made), totals["price"], totals["mass"],
        totals["days"], int(totals["workshop"]),
    )  # fmt: skip
