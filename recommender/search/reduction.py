"""The reduced families of a group of choices for many owners, never laid out whole.

The rows over all choices but the last are thinned first: one is needless if another of its owner
breaks no other rule, costs and weighs no more, and does no worse with any option of the last
choice. Only what is left is laid out with every option and reduced again.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.search.corners import Corners
from recommender.search.families import Family, Sets, reduce_family, undominated
from recommender.search.frames import Frames, starts
from recommender.search.groups import Group, Rules
from recommender.search.joint import Order, free
from recommender.search.margins import Found, broken_in, look
from recommender.search.tables import Pair, families_of, numbered, widest

LOOKED_AT, HELD = 2_000_000, 1_000_000
"""Rows of a group's frame that rules look at together (alike ones once), and that are held at once:
the more of the first the more are alike; the second stays in the cache."""
WORD, FEW_HEADS = 64, 4
_NONE = np.uint64(0)


@dataclass(frozen=True)
class Both:
    """A group's reduced families over all its entries, and over those no joint rule can touch."""

    every: Pair
    neutral: Pair
    index: Ints


def group_pair(order: Order, frames: Frames, group: Group, rules: Rules, coupled: bool) -> Both:
    """The group's reduced families for every owner."""
    lots = []
    for _, some in frames.stretches(group.choices, LOOKED_AT):
        found = look(some, numbered(group, rules), group.choices)
        for first, part in some.stretches(group.choices, HELD):
            lots.append(_lot(order, part, first, found, group.choices, rules, coupled))
    return joined(lots)


def _lot(
    order: Order, part: Frames, first: int, found: Sequence[Found], choices: tuple[str, ...],
    rules: Rules, coupled: bool,
) -> Both:  # fmt: skip
    if len(choices) > 1:
        halves = _halves(part, first, found, choices, rules)
        heads = untouched(order, part, choices[:-1])
        tails = untouched(order, part, choices[-1:])
        every = halves.reduced(coupled, None, None)
        neutral = every if heads is tails is None else halves.reduced(coupled, heads, tails)
        return Both(every, neutral, np.arange(part.owners))
    sets = widest(part, choices, broken_in(part, first, found))
    full = families_of(part, choices, rules, *sets)
    return reduced(full, untouched(order, part, choices), coupled)


@dataclass(frozen=True)
class Halves:
    """A group's table before it is laid out: `head` over all choices but the last, `tail` over the
    last alone, and, bit by bit, rows of the whole frame where rules over both are broken, certainly
    and possibly."""

    frames: Frames
    choices: tuple[str, ...]
    head: Pair
    tail: Pair
    ties: tuple[tuple[int, tuple[Mask, Mask]], ...]

    def reduced(self, coupled: bool, heads: Mask | None, tails: Mask | None) -> Pair:
        """The reduced families over those rows of either half (None: all of them)."""
        known = self.head.known and self.tail.known
        known = known and all(np.array_equal(*masks) for _, masks in self.ties)
        sides = [(self.head.certain, self.tail.certain), (self.head.possible, self.tail.possible)]
        certain, *possible = (
            reduce_family(self._laid_out(side, head, tail, coupled, heads, tails), coupled)
            for side, (head, tail) in enumerate(sides[:1] if known else sides)
        )
        return Pair(certain, *(possible or [certain]))

    def _laid_out(
        self, side: int, head: Family, tail: Family, coupled: bool,
        heads: Mask | None, tails: Mask | None,
    ) -> Family:  # fmt: skip
        """Every row of the whole frame whose two halves are needed."""
        kept = self._needed(head, self._ties_of_heads(side), heads, coupled)
        parent, own, row = self._rows(kept)
        needed = np.zeros(len(tail.sets), bool)
        ties = self._ties_of_tails(side, kept, own, row)
        needed[self._needed(tail, ties, tails, coupled)] = True
        if not needed.all():
            parent, own, row = (one[needed[own]] for one in (parent, own, row))
        sets = head.sets[parent] | tail.sets[own]
        for bit, masks in self.ties:
            sets[masks[side][row]] |= np.uint64(bit)
        owner = self.frames.layout(self.choices).owner[row]
        count = np.bincount(owner, minlength=self.frames.owners).astype(np.int64)
        price, mass = head.price[parent] + tail.price[own], head.mass[parent] + tail.mass[own]
        return Family(count, sets, price, mass, row)

    def _needed(
        self, half: Family, ties: Sets | None, allowed: Mask | None, coupled: bool
    ) -> Ints:
        """Rows of a half that no other allowed one makes needless, whatever the other half."""
        rows = np.arange(len(half.sets)) if allowed is None else np.flatnonzero(allowed)
        if ties is None:
            return rows
        some = half if allowed is None else half.pick(rows, self.frames.owners)
        sums = [some.price, some.mass] if coupled else []
        return rows[undominated(some.count, [some.sets, ties[rows]], sums)]

    def _ties_of_heads(self, side: int) -> Sets | None:
        """For each head a bit for every tie with every option; None where a word is too short."""
        number = self.frames.options[self.choices[-1]].count
        most = int(number.max(initial=0))
        if len(self.ties) * most > WORD or not number.all():
            return None
        layout = self.frames.layout(self.choices)
        place = np.arange(layout.size) - layout.first[layout.parent]
        mine = np.uint64(1) << place.astype(np.uint64)
        word = np.zeros(len(layout.first), np.uint64)
        for k, (_, masks) in enumerate(self.ties):
            here = np.bitwise_or.reduceat(np.where(masks[side], mine, _NONE), layout.first)
            word |= here << np.uint64(k * most)
        return word

    def _ties_of_tails(self, side: int, heads: Ints, own: Ints, row: Ints) -> Sets | None:
        """For each option a bit for every tie with every one of those heads, on those rows; None
        where a word is too short, or so few heads stand that the rows are as soon compared."""
        owner = self.frames.layout(self.choices[:-1]).owner[heads]
        number = np.bincount(owner, minlength=self.frames.owners)
        most = int(number.max(initial=0))
        if len(self.ties) * most > WORD or len(heads) < FEW_HEADS * self.frames.owners:
            return None
        place = np.arange(len(heads)) - starts(number)[owner]
        place = np.repeat(place, self.frames.options[self.choices[-1]].count[owner])
        word = np.zeros(self.frames.layout(self.choices[-1:]).size, np.uint64)
        for k, (_, masks) in enumerate(self.ties):
            here = masks[side][row].astype(np.uint64) << (place + k * most).astype(np.uint64)
            np.bitwise_or.at(word, own, here)
        return word

    def _rows(self, heads: Ints) -> tuple[Ints, Ints, Ints]:
        """Those heads with every option of the last choice: the head of each row, its row of the
        last choice's own frame and its row of the whole frame."""
        last = self.frames.options[self.choices[-1]]
        owner = self.frames.layout(self.choices[:-1]).owner[heads]
        number = last.count[owner]
        place = np.arange(int(number.sum())) - np.repeat(starts(number), number)
        begin = self.frames.layout(self.choices).first[heads]
        return (
            np.repeat(heads, number),
            place + np.repeat(last.start[owner], number),
            place + np.repeat(begin, number),
        )


def _halves(
    part: Frames, first: int, found: Sequence[Found], choices: tuple[str, ...], rules: Rules
) -> Halves:
    heads, last = choices[:-1], choices[-1:]
    over_head = [one for one in found if last[0] not in one.choices]
    over_last = [one for one in found if one.choices == last]
    corners, ties = Corners(part), []
    for one in found:
        if last[0] in one.choices and one.choices != last:
            masks = one.on(part, first, corners)
            rows = part.rows_of(choices, one.choices)
            whole = masks if rows is None else (masks[0][rows], masks[1][rows])
            ties.append((one.bit, whole))
    corners.forget()
    head, tail = (
        families_of(part, some, rules, *widest(part, some, broken_in(part, first, over)))
        for some, over in ((heads, over_head), (last, over_last))
    )
    return Halves(part, choices, head, tail, tuple(ties))


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
    part = full.each(lambda family: family.pick(rows, owners))
    return Both(every, _reduced(part, coupled), np.arange(owners))


def _reduced(pair: Pair, coupled: bool) -> Pair:
    return pair.each(lambda family: reduce_family(family, coupled))


def untouched(order: Order, frames: Frames, choices: tuple[str, ...]) -> Mask | None:
    """Rows of the frame whose options no joint rule can touch; None: all of them."""
    allowed = None
    for choice in choices:
        if choice not in order.shelves:
            continue
        sure = free(order.shelves[choice].every, order.minimum, choice)
        if sure.all():
            continue
        options = sure[frames.options[choice].row]
        rows = frames.rows_of(choices, (choice,))
        mine = options if rows is None else options[rows]
        allowed = mine if allowed is None else allowed & mine
    return allowed


def stacked(pairs: list[Pair]) -> Pair:
    """The families of several lots of owners, one lot after another."""
    certain = _stack([pair.certain for pair in pairs])
    known = all(pair.known for pair in pairs)
    return Pair(certain, certain if known else _stack([pair.possible for pair in pairs]))


def _stack(families: list[Family]) -> Family:
    return Family(
        np.concatenate([f.count for f in families]),
        np.concatenate([f.sets for f in families]),
        np.concatenate([f.price for f in families]),
        np.concatenate([f.mass for f in families]),
        np.concatenate([f.row for f in families]),
    )
