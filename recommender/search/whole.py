"""Whole completions of one shock, joint rules included."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.families import Sets
from recommender.search.groups import Group, Rules, rules_of
from recommender.search.joint import NONE, Order, Piece, free, joint_sets, order_of
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


def wholes(market: Market, wishes: Wishes, shocks: Ints) -> Iterator[Whole]:
    """Shocks of one spring kind in each way of mounting, with every entry of every group."""
    kind = market.shocks.choice("spring_kind").words()[int(shocks[0])] or ""
    rules = rules_of(wishes, kind)
    order = order_of(market)
    step = max(1, _BATCH // len(market.kits.labels))
    for first in range(0, len(shocks), step):
        made = with_kits(market, owners(market, shocks[first : first + step]))
        tables = tuple(entries(made.frames, group, rules) for group in rules.groups)
        for owner, (shock, turned) in enumerate(
            zip(made.shock.tolist(), made.turned.tolist(), strict=True)
        ):
            yield Whole(market, order, rules, made, shock, turned, owner, rules.groups, tables)


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
    for name, broken in joint_sets(whole.pieces(choice), whole.order.minimum).items():
        sets[broken[0 if certain else 1]] |= np.uint64(1 << whole.rules.bits.index(name))
    return sets


@dataclass(frozen=True)
class Touch:
    """How joint rules touch entries: not at all; `fixed` for what it is, so that it stands for
    itself alone; and a number for the suppliers whose order minimums it meets."""

    untouched: Mask
    fixed: Mask
    meets: Ints


def joint_touch(whole: Whole, group: int, rows: Ints) -> Touch:
    """How joint rules touch those rows of the group, of any shocks of the batch.

    What no joint rule can touch is alike to them all, but for the supplier whose order minimum it
    meets and so helps others to meet. A piece below its supplier's minimum, or of a pair, is a
    class of its own.
    """
    untouched, fixed = np.ones(len(rows), bool), np.zeros(len(rows), bool)
    minimum = whole.order.minimum
    meets = np.zeros(len(rows), np.int64)
    for name, piece in zip(whole.ordered_choices(group), whole.ordered(group, rows), strict=True):
        untouched &= free(piece, minimum, 2 if name.endswith("kit") else 1)
        paired = np.isin(piece.part, partners_of(whole))
        least = np.where(piece.supplier == NONE, 0.0, np.append(minimum, 0.0)[piece.supplier])
        fixed |= paired | (piece.partner != NONE) | (piece.low < least)
        meets = meets * (len(minimum) + 1) + np.where(least > 0, piece.supplier + 1, 0)
    return Touch(untouched, fixed, meets)


def partners_of(whole: Whole) -> Ints:
    """Parts that some kit must be paired with."""
    partner = whole.order.shelves["head_kit"].every.partner
    partners: Ints = partner[partner != NONE]
    return partners
