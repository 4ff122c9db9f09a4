"""Every bundle of many shocks as columns, for what is asked of all of them at once.

The bundles are those of `ranked`: made of useful entries, breaking nothing. Entries are kept, not
bundles, which are laid out anew, some at a time, whenever they are asked for.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import Criterion, criteria
from recommender.ranking.tables import Table, group_tables, useful_rows
from recommender.rules.choices import Market
from recommender.search.families import Sets
from recommender.search.joint import Piece, free, joint_sets
from recommender.search.kits import of_use
from recommender.search.verdicts import FITS, RULED_OUT, Verdicts
from recommender.search.whole import Whole, batches, shelves
from recommender.search.whole_sets import combinations

LAID_OUT = 400_000
"""Bundles that are held at once."""
MILLION = 1_000_000


@dataclass(frozen=True)
class Lot:
    """Some bundles, one a row, those of one way of mounting a shock together: points in millionths
    and totals. `at` are each bundle's entries, group by group."""

    entrants: "Entrants"
    owner: Ints
    at: tuple[Ints, ...]
    points: Ints
    totals: dict[str, Floats]

    def values(self, made: tuple[Criterion, ...], rows: Ints) -> Floats:
        """The criteria's values of those bundles, one column each."""
        out = np.empty((len(rows), len(made)))
        place = {one.name: k for k, one in enumerate(made)}
        for one, at in zip(self.entrants.groups, self.at, strict=True):
            for k, name in enumerate(one.criteria):
                out[:, place[name]] = one.values[at[rows], k]
        for k, criterion in enumerate(made):
            if criterion.total:
                out[:, k] = criterion.value(self.totals[criterion.fact][rows])
        return out

    def stroke_mm(self, rows: Ints) -> Floats:
        """The stroke that each of those bundles sets."""
        found = [
            one.stroke_mm[at[rows]]
            for one, at in zip(self.entrants.groups, self.at, strict=True)
            if one.stroke_mm is not None
        ]
        return found[0]


@dataclass(frozen=True)
class Field:
    """All bundles of the shocks asked about."""

    criteria: tuple[Criterion, ...]
    entrants: tuple["Entrants", ...]

    def lots(self, shocks: Mask | None = None) -> Iterator[Lot]:
        """Every bundle (of those shocks) once, some at a time."""
        for one in self.entrants:
            yield from one.lots(self.criteria, shocks)


def field_of(market: Market, wishes: Wishes, verdicts: Verdicts, shocks: Ints) -> Field:
    """The bundles of those shocks: of one that fits those that break nothing whatever is measured,
    of an open one those that break nothing for some value of what is loose."""
    made = criteria(wishes)
    out: list[Entrants] = []
    alive = shocks[verdicts.state[shocks] != RULED_OUT]
    few = replace(market, kits=market.kits.take(of_use(market, wishes, alive)))
    for batch in batches(few, wishes, alive):
        out += _entrants(batch[0], made, verdicts)
    return Field(made, tuple(out))


@dataclass(frozen=True)
class Entries:
    """The useful entries of one group, shock as mounted after shock: `count` of each."""

    count: Ints
    criteria: tuple[str, ...]
    values: Floats
    points: Ints
    totals: dict[str, Floats]
    sums: tuple[tuple[Floats, Floats], ...]
    doubtful: Sets
    touched: Mask
    pieces: tuple[Piece, ...]
    stroke_mm: Floats | None


@dataclass(frozen=True)
class Entrants:
    """The shocks of one batch, as mounted, with their useful entries."""

    shock: Ints
    sure: bool
    ordered: Piece
    groups: tuple[Entries, ...]
    limits: tuple[tuple[int, float], ...]
    minimum: Floats
    bits: tuple[str, ...]

    def lots(self, made: tuple[Criterion, ...], shocks: Mask | None = None) -> Iterator[Lot]:
        """Their bundles, some at a time."""
        counts = [one.count for one in self.groups]
        owners = None if shocks is None else shocks[self.shock]
        for owner, at in combinations(counts, LAID_OUT, owners):
            yield self._lot(made, *self._standing(owner, at))

    def _lot(
        self, made: tuple[Criterion, ...], owner: Ints, at: list[Ints], doubtful: Sets
    ) -> Lot:
        parts = list(zip(self.groups, at, strict=True))
        price, mass, workshop = (
            np.sum([one.totals[name][rows] for one, rows in parts], axis=0)
            for name in ("price", "mass", "workshop")
        )
        days = np.maximum.reduce([one.totals["days"][rows] for one, rows in parts])
        totals = {
            "price": rounded(price, 2),
            "mass": rounded(mass, 0),
            "workshop": rounded(workshop, 0),
            "days": rounded(np.where(days > 0, days + 1.0, 0.0), 2),
            "doubt": np.bitwise_count(doubtful).astype(float),
        }
        points = np.sum([one.points[rows] for one, rows in parts], axis=0)
        for criterion in made:
            if criterion.total:
                value = criterion.value(totals[criterion.fact])
                points += millionths(criterion.weight, value)
        return Lot(self, owner, tuple(at), points, totals)

    def _standing(self, owner: Ints, at: list[Ints]) -> tuple[Ints, list[Ints], Sets]:
        """Of those combinations the ones that break nothing, and what they may break."""
        stands = np.ones(len(owner), bool)
        doubtful = np.bitwise_or.reduce(
            [one.doubtful[rows] for one, rows in zip(self.groups, at, strict=True)]
        )
        for k, (bit, limit) in enumerate(self.limits):
            low, high = (
                sum(one.sums[k][side][rows] for one, rows in zip(self.groups, at, strict=True))
                for side in (0, 1)
            )
            stands &= (high if self.sure else low) <= limit
            doubtful[high > limit] |= np.uint64(bit)
        touched = ~free(_taken(self.ordered, owner), self.minimum, "shock")
        for one, rows in zip(self.groups, at, strict=True):
            touched |= one.touched[rows]
        some = np.flatnonzero(stands & touched)
        if len(some):
            pieces = [_taken(self.ordered, owner[some])]
            for one, rows in zip(self.groups, at, strict=True):
                pieces += [_taken(piece, rows[some]) for piece in one.pieces]
            for name, (certain, possible) in joint_sets(pieces, self.minimum).items():
                stands[some] &= ~(possible if self.sure else certain)
                doubtful[some[possible]] |= np.uint64(1 << self.bits.index(name))
        rest = np.flatnonzero(stands)
        return owner[rest], [rows[rest] for rows in at], doubtful[rest]


def _entrants(
    whole: Whole, made: tuple[Criterion, ...], verdicts: Verdicts
) -> Iterator[Entrants]:
    """The batch of that shock: those that fit, and those that are open."""
    tables, shock = group_tables(whole, made), whole.made.shock
    fits = verdicts.state[shock] == FITS
    owner = [whole.made.frames.layout(group.choices).owner for group in whole.groups]
    for sure, mine in ((True, fits), (False, ~fits)):
        if not mine.any():
            continue
        among = [np.flatnonzero(mine[one]) for one in owner]
        useful = useful_rows(whole, tables, among, sure)
        groups = [
            _entries(whole, group, table, rows)
            for group, (table, rows) in enumerate(zip(tables, useful, strict=True))
        ]
        yield Entrants(
            shock, sure, whole.order.shelves["shock"].at(shock), tuple(groups),
            tuple((bit, limit) for _, bit, limit in whole.limits()),
            whole.order.minimum, whole.rules.bits,
        )  # fmt: skip


def _entries(whole: Whole, group: int, table: Table, rows: Ints) -> Entries:
    pair, choices = whole.tables[group], whole.groups[group].choices
    owner = whole.made.frames.layout(choices).owner[rows]
    points = np.zeros(len(rows), np.int64)
    for k, one in enumerate(table.criteria):
        points += millionths(one.weight, table.values[rows, k])
    stroke = None
    if "stroke" in choices:
        stroke = whole.market.stroke_mm.low[whole.option(group, rows, "stroke")]
    return Entries(
        np.bincount(owner, minlength=len(whole.made.shock)).astype(np.int64),
        tuple(one.name for one in table.criteria),
        table.values[rows],
        points,
        {name: getattr(table, name)[rows] for name in ("price", "mass", "days", "workshop")},
        tuple(
            (getattr(pair.certain, couples)[rows], getattr(pair.possible, couples)[rows])
            for couples, _, _ in whole.limits()
        ),
        pair.possible.sets[rows],
        ~shelves(whole, group, rows).untouched,
        tuple(whole.ordered(group, rows)),
        stroke,
    )


def _taken(piece: Piece, rows: Ints) -> Piece:
    return Piece(
        piece.part[rows], piece.supplier[rows], piece.low[rows], piece.high[rows],
        piece.stock[rows], piece.partner[rows],
    )  # fmt: skip


def millionths(weight: float, values: Floats) -> Ints:
    """Points, weight times value to six decimals, as whole numbers that add up exactly."""
    return np.rint(rounded(weight * values, 6) * MILLION).astype(np.int64)


def rounded(values: Floats, digits: int) -> Floats:
    """The same as Python's `round`, which goes by the exact value where a half seems to be left."""
    scaled = values * 10.0**digits
    out = np.rint(scaled) / 10.0**digits
    if not digits:
        return out
    close = np.flatnonzero(
        np.abs(scaled - np.floor(scaled) - 0.5) < 1e-9 + 1e-14 * np.abs(scaled)
    )
    each, which = np.unique(values[close], return_inverse=True)
    out[close] = np.array([round(value, digits) for value in each.tolist()])[which]
    return out
