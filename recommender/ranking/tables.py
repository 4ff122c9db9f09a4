"""What each group of choices adds to a bundle: to its score and to its totals."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.ranking.criteria import Criterion
from recommender.rules.registry import PARTS, scope
from recommender.search.frames import Frames, order
from recommender.search.groups import Group
from recommender.search.useful import useful
from recommender.search.whole import Whole


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

    def worth(self, group: int, whole: Whole, rows: Ints) -> Floats:
        """Everything a bundle may be better in, as columns to have more of.

        What a limit is set on counts at both ends too: of two parts at the same price the one whose
        price is less loose may be the only one within the budget. Doubts are counted, but for those
        that another group may have as well: these must be the same or fewer.
        """
        pair, shared = whole.tables[group], shared_bits(whole)
        doubtful = pair.possible.sets[rows]
        own = np.bitwise_count(doubtful & ~np.uint64(shared)).astype(float)
        columns = [*self.values[rows].T, -own]
        columns += [-one[rows] for one in (self.price, self.mass, self.days, self.workshop)]
        for couples, _, _ in whole.limits():
            columns += [-getattr(side, couples)[rows] for side in (pair.certain, pair.possible)]
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


def useful_rows(
    whole: Whole, tables: Sequence[Table], among: Sequence[Ints], sure: bool
) -> list[Ints]:
    """The useful ones among those rows of every group; they may be any shocks' of the batch."""
    out = []
    for group, (table, rows) in enumerate(zip(tables, among, strict=True)):

        def worth(some: Ints, group: int = group, table: Table = table) -> Floats:
            return table.worth(group, whole, some)

        out.append(useful(whole, group, rows, worth, sure))
    return out
