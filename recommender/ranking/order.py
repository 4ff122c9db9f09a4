"""Bundles in order: points summed criterion by criterion, ties broken the same way every time."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import Criterion, criteria
from recommender.ranking.tables import Table, group_tables, useful_rows
from recommender.rules.choices import Market
from recommender.search.bundles import Bundle, bundles
from recommender.search.verdicts import FITS, RULED_OUT, Verdicts
from recommender.search.whole import Whole, batches


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
    by_shock: dict[int, list[Ranked]] = {}
    alive = chosen[verdicts.state[chosen] != RULED_OUT]
    for batch in batches(market, wishes, alive):
        for one in _scored(batch, verdicts, made):
            by_shock.setdefault(one.bundle.whole.shock, []).append(one)
    lists = [sorted(found, key=lambda one: one.key) for found in by_shock.values()]
    return sorted(lists, key=lambda found: found[0].key)


def _scored(
    batch: list[Whole], verdicts: Verdicts, made: tuple[Criterion, ...]
) -> Iterator[Ranked]:
    """Every bundle of the batch."""
    tables = group_tables(batch[0], made)
    known: Known = {}
    for whole in batch:
        own = [whole.rows(group) for group in range(len(tables))]
        sure = bool(verdicts.state[whole.shock] == FITS)
        for bundle in bundles(whole, useful_rows(whole, tables, own, sure), sure):
            yield score(bundle, tables, made, known)


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
            known[group, row] = {
                one.name: Score(one, float(quantity), float(value))
                for one, quantity, value in zip(
                    table.criteria, table.quantities[row], table.values[row], strict=True
                )
            }
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
