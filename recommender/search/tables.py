"""The tables of a group of choices: for every entry its two sets of broken rules and its sums."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.rules.registry import PARTS, Rule
from recommender.search.alike import first_of
from recommender.search.families import Family, Sets, alike, reduce_family
from recommender.search.frames import Frames
from recommender.search.groups import Group, Rules
from recommender.search.joint import Order, free
from recommender.search.margins import Broken, broken, broken_in, look

LOOKED_AT, HELD = 2_000_000, 500_000
"""Rows of a group's frame that rules look at together (alike ones once), and that are held at once:
the more of the first the more are alike; the second stays in the cache."""


@dataclass(frozen=True)
class Pair:
    """A group's families: broken whatever is measured (with favourable sums), and broken for some
    value (with unfavourable sums)."""

    certain: Family
    possible: Family

    def take(self, owners: Ints) -> "Pair":
        return Pair(self.certain.take(owners), self.possible.take(owners))


def entries(frames: Frames, group: Group, rules: Rules) -> Pair:
    """Every entry of the group for every owner, unreduced; sums that nothing limits stay zero."""
    return families_of(frames, group, rules, *bit_sets(frames, group, rules))


def families_of(
    frames: Frames, group: Group, rules: Rules, certain: Sets, possible: Sets
) -> Pair:
    """Those sets of every row of the group's frame, with the sums that something limits."""
    layout = frames.layout(group.choices)
    summed = {rule.couples for rule in rules.couplings}
    nothing = (np.zeros(layout.size),) * 2
    low, high = sums(frames, group, "price") if "price" in summed else nothing
    light, heavy = sums(frames, group, "mass") if "mass" in summed else nothing
    row = np.arange(layout.size)
    return Pair(
        Family(layout.count, certain, low, light, row),
        Family(layout.count, possible, high, heavy, row),
    )


def bit_sets(frames: Frames, group: Group, rules: Rules) -> tuple[Sets, Sets]:
    """Certain and possible sets of every row of the group's frame."""
    return _widest(frames, group, broken(frames, _numbered(group, rules)))


def _numbered(group: Group, rules: Rules) -> list[tuple[Rule, int]]:
    return [(rule, rules.bit(rule)) for rule in group.rules]


def _widest(frames: Frames, group: Group, found: Broken) -> tuple[Sets, Sets]:
    """The sets of all frames on that of all the group's choices."""
    if group.choices not in found:
        size = frames.layout(group.choices).size
        found[group.choices] = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
    # Each frame's sets go into the next wider frame that has any: few are gathered to the widest.
    by_size = sorted(found, key=len)
    for place, choices in enumerate(by_size[:-1]):
        wider = next(one for one in by_size[place + 1 :] if set(choices) < set(one))
        rows = frames.rows_of(wider, choices)
        for whole, part in zip(found[wider], found[choices], strict=True):
            whole |= part[rows]
    return found[group.choices]


def sums(frames: Frames, group: Group, what: str) -> tuple[Floats, Floats]:
    """Lowest and highest price (with labour) or mass that the group's parts add, row by row."""
    if not group.choices:
        return _part_sums(frames, "shock", what)
    low = high = np.zeros(frames.owners)
    for k, part in enumerate(group.choices):
        choices = group.choices[: k + 1]
        parent, rows = frames.layout(choices).parent, frames.rows_of(choices, (part,))
        low, high = low[parent], high[parent]
        if part in PARTS:
            least, most = _part_sums(frames, part, what)
            low += least if rows is None else least[rows]
            high += most if rows is None else most[rows]
    return low, high


def _part_sums(frames: Frames, part: str, what: str) -> tuple[Floats, Floats]:
    if what == "mass":
        mass = frames.fact(f"{part}_mass_g")
        return mass.low, mass.high
    price, labour = frames.fact(f"{part}_price"), frames.fact(f"{part}_labour")
    return price.low + labour.low, price.high + labour.high


@dataclass(frozen=True)
class Shared:
    """Families that owners share: `index` says which of the pair's each owner has."""

    pair: Pair
    index: npt.NDArray[np.integer]

    @classmethod
    def own(cls, pair: Pair) -> "Shared":
        """Each owner has its own."""
        return cls(pair, np.arange(len(pair.certain.count)))

    def take(self, owners: Ints) -> "Shared":
        return Shared(self.pair, self.index[owners])

    def each(self) -> Pair:
        """The pair owner by owner."""
        return self.pair.take(self.index.astype(np.int64))

    def plain(self) -> "Shared":
        """The inclusion-minimal sets alone."""
        pair = self.pair
        return Shared(
            Pair(reduce_family(pair.certain, False), reduce_family(pair.possible, False)),
            self.index,
        )

    def once(self) -> "Shared":
        """The same sets, without sums; families that are alike are held once."""
        used = np.flatnonzero(np.bincount(self.index, minlength=len(self.pair.certain.count)))
        pair = self.pair.take(used)
        code = np.zeros(len(self.pair.certain.count), np.int64)
        code[used] = alike([pair.certain, pair.possible])
        pair = pair.take(first_of(code[used]))
        index = code[self.index].astype(np.int32)
        return Shared(Pair(pair.certain.plain(), pair.possible.plain()), index)


@dataclass(frozen=True)
class Both:
    """A group's reduced families over all its entries, and over those no joint rule can touch."""

    every: Pair
    neutral: Pair
    index: Ints


def group_pair(
    order: Order, frames: Frames, group: Group, rules: Rules, coupled: bool
) -> Both:
    """The group's reduced families for every owner."""
    lots = []
    for _, some in frames.stretches(group.choices, LOOKED_AT):
        found = look(some, _numbered(group, rules), group.choices)
        for first, part in some.stretches(group.choices, HELD):
            sets = _widest(part, group, broken_in(part, first, found))
            full = families_of(part, group, rules, *sets)
            lots.append(reduced(full, untouched(order, part, group), coupled))
    return joined(lots)


def joined(lots: list[Both]) -> Both:
    """Several lots of owners, one after another, each owner with its own families."""
    every = stacked([lot.every for lot in lots])
    index = np.arange(len(every.certain.count))
    if all(lot.neutral is lot.every for lot in lots):
        return Both(every, every, index)
    return Both(every, stacked([lot.neutral for lot in lots]), index)


def reduced(full: Pair, allowed: Mask | None, coupled: bool) -> Both:
    """Reduced families over every entry, and over those allowed (None: all of them)."""
    every, owners = _reduced(full, coupled), len(full.certain.count)
    if allowed is None:
        return Both(every, every, np.arange(owners))
    rows = np.flatnonzero(allowed)
    part = Pair(full.certain.pick(rows, owners), full.possible.pick(rows, owners))
    return Both(every, _reduced(part, coupled), np.arange(owners))


def _reduced(pair: Pair, coupled: bool) -> Pair:
    return Pair(reduce_family(pair.certain, coupled), reduce_family(pair.possible, coupled))


def untouched(order: Order, frames: Frames, group: Group) -> Mask | None:
    """Rows of the group's frame whose options no joint rule can touch; None: all of them."""
    allowed = None
    for choice in group.choices:
        if choice not in order.shelves:
            continue
        sure = free(order.shelves[choice].every, order.minimum, 2 if choice.endswith("kit") else 1)
        if sure.all():
            continue
        options = sure[frames.options[choice].row]
        rows = frames.rows_of(group.choices, (choice,))
        mine = options if rows is None else options[rows]
        allowed = mine if allowed is None else allowed & mine
    return allowed


def stacked(pairs: list[Pair]) -> Pair:
    """The families of several lots of owners, one lot after another."""
    return Pair(_stack([pair.certain for pair in pairs]), _stack([pair.possible for pair in pairs]))


def _stack(families: list[Family]) -> Family:
    return Family(
        np.concatenate([f.count for f in families]),
        np.concatenate([f.sets for f in families]),
        np.concatenate([f.price for f in families]),
        np.concatenate([f.mass for f in families]),
        np.concatenate([f.row for f in families]),
    )
