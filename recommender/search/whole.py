"""Whole completions of one shock, joint rules included."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.codes import code_of, code_of_both
from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.families import Sets
from recommender.search.groups import Group, Rules, rules_of
from recommender.search.joint import NONE, Order, Piece, free, joint_sets, least_of, order_of
from recommender.search.owners import Owners, owners, with_kits
from recommender.search.tables import Pair, entries

_BATCH = 1_000_000


@dataclass(frozen=True)
class Whole:
    """One shock mounted one way: its frames, and every group's entries unreduced."""

    market: Market
    order: Order
    rules: Rules
    made: Owners
    shock: int
    turned: bool
    owner: int
    groups: tuple[Group, ...]
    tables: tuple[Pair, ...]

    def rows(self, group: int) -> Ints:
        """Rows of the group's frame that belong to this way of mounting."""
        family = self.tables[group].certain
        first = int(family.start[self.owner])
        return np.arange(first, first + int(family.count[self.owner]))

    def option(self, group: int, rows: Ints, choice: str) -> Ints:
        """Rows of its option table (for strokes: of the market's strokes) that entries choose; the
        entries may be any shock's of the batch."""
        frames = self.made.frames
        layout, options = frames.layout(self.groups[group].choices), frames.options[choice]
        first = options.start[layout.owner[rows]]
        chosen: Ints = options.row[first + layout.position[choice][rows]]
        return chosen

    def pieces(self, choice: list[Ints]) -> list[Piece]:
        """What completions order; `choice` holds, group by group, the rows chosen. They may be any
        shocks' of the batch."""
        owner = self.made.frames.layout(self.groups[0].choices).owner[choice[0]]
        out = [self.order.shelves["shock"].at(self.made.shock[owner])]
        for group, rows in enumerate(choice):
            out += self.ordered(group, rows)
        return out

    def ordered(self, group: int, rows: Ints) -> list[Piece]:
        """The pieces that one group's entries order."""
        return [
            self.order.shelves[name].at(self.option(group, rows, name))
            for name in self.ordered_choices(group)
        ]

    def ordered_choices(self, group: int) -> list[str]:
        """The group's choices that are ordered, in the order of `ordered`."""
        return [name for name in self.groups[group].choices if name in self.order.shelves]

    def limits(self) -> list[tuple[str, int, float]]:
        """Coupled sums: what is summed, its bit, and what it may come to."""
        return [
            (rule.couples, self.rules.bit(rule),
             float(self.market.scalars[rule.reads[1]].corners[0]) + rule.tolerance)
            for rule in self.rules.couplings
        ]  # fmt: skip


def batches(market: Market, wishes: Wishes, shocks: Ints) -> Iterator[list[Whole]]:
    """Shocks (ascending) in each way of mounting, with every entry of every group; those of one
    batch are of one spring kind and share their frames."""
    kind, order = market.shocks.choice("spring_kind"), order_of(market)
    step = max(1, _BATCH // len(market.kits.labels))
    for code in np.unique(kind.codes[shocks]).tolist():
        some = shocks[kind.codes[shocks] == code]
        rules = rules_of(wishes, kind.word(int(some[0])) or "")
        for first in range(0, len(some), step):
            made = with_kits(market, owners(market, some[first : first + step]))
            tables = tuple(entries(made.frames, group, rules) for group in rules.groups)
            mounted = zip(made.shock.tolist(), made.turned.tolist(), strict=True)
            yield [
                Whole(market, order, rules, made, shock, turned, owner, rules.groups, tables)
                for owner, (shock, turned) in enumerate(mounted)
            ]


def wholes(market: Market, wishes: Wishes, shocks: Ints) -> Iterator[Whole]:
    """The same one by one."""
    for batch in batches(market, wishes, shocks):
        yield from batch


def completion_sets(whole: Whole, choice: list[Ints], certain: bool) -> Sets:
    """The set of broken rules of each completion, sums and joint rules included."""
    size = len(choice[0])
    sets = np.zeros(size, np.uint64)
    total = {"price": np.zeros(size), "mass": np.zeros(size)}
    for pair, rows in zip(whole.tables, choice, strict=True):
        family = pair.certain if certain else pair.possible
        sets |= family.sets[rows]
        total["price"] += family.price[rows]
        total["mass"] += family.mass[rows]
    for couples, bit, limit in whole.limits():
        sets[total[couples] > limit] |= np.uint64(bit)
    joint: Sets = joint_bits(whole, whole.pieces(choice), whole.order.minimum)[0 if certain else 1]
    return sets | joint


def joint_bits(whole: Whole, pieces: Sequence[Piece], minimum: Floats) -> tuple[Sets, Sets]:
    """The joint rules that each of many orders breaks, for certain and possibly, where suppliers
    have those minimums."""
    sets = np.zeros((2, len(pieces[0].part)), np.uint64)
    for name, sides in joint_sets(pieces, minimum).items():
        for side, broken in zip(sets, sides, strict=True):
            side[broken] |= np.uint64(1 << whole.rules.bits.index(name))
    return sets[0], sets[1]


@dataclass(frozen=True)
class Shelves:
    """What joint rules read of entries, as a number: those with equal ones may replace each other;
    0: they read nothing.

    `scarce` ones are neither part of a pair nor count toward an order minimum, so those of which
    nothing is read may replace them. Of an `untouched` one no joint rule can be broken, whatever
    else is bought.
    """

    number: Ints
    scarce: Mask
    untouched: Mask

    def among(self, owner: Ints) -> Ints:
        """A number for entries that may be compared: those of one owner and shelf; scarce ones
        with those of which nothing is read."""
        return owner * (int(self.number.max(initial=0)) + 1) + np.where(self.scarce, 0, self.number)


def shelves(whole: Whole, group: int, rows: Ints) -> Shelves:
    """What joint rules read of those rows of the group, of any shocks of the batch."""
    number, untouched = np.zeros(len(rows), np.int64), np.ones(len(rows), bool)
    bound = np.zeros(len(rows), bool)
    for name, piece in zip(whole.ordered_choices(group), whole.ordered(group, rows), strict=True):
        untouched &= free(piece, whole.order.minimum, name)
        least = least_of(piece, whole.order.minimum)
        lifts = least > 0
        bound |= lifts | whole.order.paired(piece)
        number = _numbered(
            number,
            np.where(lifts, piece.supplier, NONE),
            np.where(lifts, np.minimum(piece.low, least), 0.0),
            np.where(lifts, np.minimum(piece.high, least), 0.0),
            np.where(whole.order.alone(piece, name), piece.part, NONE),
        )
    return Shelves(number, (number > 0) & ~bound, untouched)


def _numbered(*columns: np.ndarray) -> Ints:
    """Rows that agree in all columns get equal numbers; 0 is what joint rules do not read."""
    code = np.zeros(len(columns[0]) + 1, np.int64)
    for plain, column in zip((0, NONE, 0.0, 0.0, NONE), columns, strict=True):
        code = code_of_both(code, code_of(np.append(plain, column)))
    numbers: Ints = code[1:]
    return numbers
