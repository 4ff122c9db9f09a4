"""Entries of some groups put together, group after group, for many shocks at once.

Joint rules are not monotone in what is bought, so only what they read alike may replace each other.
Of an order minimum they read no more than whether anything is ordered of the supplier and how much
of the minimum that fills: all that fill it are alike, and so are all that nothing to come can fill
up, which break it for certain.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.codes import code_of, code_of_both
from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.search.families import Family, Sets, reduce_family
from recommender.search.joint import HAIR, JOINT, NONE, Order, Piece
from recommender.search.whole import Whole, joint_bits

NOTHING, LOST = -1.0, -2.0
"""In place of how much of a minimum is filled: nothing is ordered there; some minimum is lost."""


@dataclass(frozen=True)
class Partial:
    """Entries put together, owner after owner: a row of each group so far, what these break, their
    sums, what fills each order minimum, and a number for what else joint rules read of them."""

    whole: Whole
    choice: Mapping[int, Ints]
    owner: Ints
    sets: Sets
    price: Floats
    mass: Floats
    filled: Floats
    other: Ints

    @property
    def count(self) -> Ints:
        return np.bincount(self.owner, minlength=len(self.whole.made.shock)).astype(np.int64)

    def decided(self) -> "Partial":
        """The same where no other group orders from a table that these order from: then it is known
        which parts are too few or without their partner."""
        pieces = [piece for group, rows in self.choice.items()
                  for piece in self.whole.ordered(group, rows)]  # fmt: skip
        if not pieces:
            return self
        none = np.zeros_like(self.whole.order.minimum)
        sets = self.sets | joint_bits(self.whole, pieces, none)[0]
        return replace(self, sets=sets, other=np.zeros_like(self.other))

    def needed(self, rest: Sequence["Partial"]) -> "Partial":
        """Those that no other makes needless, where an entry of each of the rest is to come."""
        filled = np.empty_like(self.filled)
        for k, column in enumerate(self.filled.T):
            filled[:, k] = _step(self._steps(rest, k), column)
        lost = (filled == LOST).any(axis=1)
        sets = self.sets.copy()
        sets[lost] |= np.uint64(1 << self.whole.rules.bits.index(JOINT[0]))
        filled[lost] = LOST
        code = code_of_both(self.owner, code_of(self.other))
        for column in filled.T:
            code = code_of_both(code, code_of(column))
        order = np.argsort(code, kind="stable")
        sums = [one for one in (self.price, self.mass) if one.any()]
        if len(sums) < 2:
            # Of those that break the same rules the cheapest, or lightest, is enough.
            alike = code_of_both(code, code_of(sets))
            best = np.lexsort((*sums, alike))
            best = best[np.flatnonzero(np.diff(alike[best], prepend=-1))]
            order = best[np.argsort(code[best], kind="stable")]
        count = np.bincount(code[order], minlength=int(code.max()) + 1)
        family = Family(count, sets[order], self.price[order], self.mass[order], order)
        rows = np.sort(reduce_family(family, True).row)
        return Partial(
            self.whole, {group: one[rows] for group, one in self.choice.items()},
            self.owner[rows], sets[rows], self.price[rows], self.mass[rows],
            np.where(lost[:, None], LOST, self.filled)[rows], self.other[rows],
        )  # fmt: skip

    def _steps(self, rest: Sequence["Partial"], k: int) -> Floats:
        """What must be filled of a minimum for the rest to fill it up, least first, for everything
        that these may fill."""
        fills = np.zeros(1)
        for one in rest:
            own = np.unique(np.append(0.0, np.maximum(one.filled[:, k], 0.0)))
            fills = np.unique(fills[:, None] + own)
        steps: Floats = _minimums(self.whole.order)[k] - HAIR - fills[::-1]
        return steps


def _step(steps: Floats, filled: Floats) -> Floats:
    """How many of the steps are reached; as little as can only be lost."""
    reached = np.searchsorted(steps, filled, side="right").astype(float)
    reached[(filled >= 0) & (reached == 0)] = LOST
    return np.where(filled < 0, filled, reached)


def shocks(whole: Whole, mine: Mask, certain: bool) -> Partial:
    """Those shocks of the batch, nothing chosen yet."""
    owner = np.flatnonzero(mine)
    piece = whole.order.shelves["shock"].at(whole.made.shock[owner])
    none = np.zeros(len(owner))
    sets = np.zeros(len(owner), np.uint64)
    filled = _filled(whole.order, [piece], len(owner), certain)
    return Partial(whole, {}, owner, sets, none, none, filled, np.zeros(len(owner), np.int64))


def entries_of(whole: Whole, group: int, rows: Ints, certain: bool) -> Partial:
    """Those rows of a group, sorted."""
    pair = whole.tables[group]
    family = pair.certain if certain else pair.possible
    owner = whole.made.frames.layout(whole.groups[group].choices).owner[rows]
    pieces = whole.ordered(group, rows)
    other = np.zeros(len(rows), np.int64)
    for name, piece in zip(whole.ordered_choices(group), pieces, strict=True):
        alone = whole.order.alone(piece, name)
        other = code_of_both(other, code_of(np.append(NONE, np.where(alone, piece.part, NONE)))[1:])
    return Partial(
        whole, {group: rows}, owner, family.sets[rows], family.price[rows], family.mass[rows],
        _filled(whole.order, pieces, len(rows), certain), other,
    )  # fmt: skip


def united(a: Partial, b: Partial, first: Ints, second: Ints) -> Partial:
    """Each of those rows of one with the row of the other beside it."""
    filled, more = a.filled[first], b.filled[second]
    both = np.maximum(filled, 0.0) + np.maximum(more, 0.0)
    out = np.where((filled == NOTHING) & (more == NOTHING), NOTHING, both)
    out[(filled == LOST).any(axis=1)] = LOST
    return Partial(
        a.whole,
        {group: rows[first] for group, rows in a.choice.items()}
        | {group: rows[second] for group, rows in b.choice.items()},
        a.owner[first], a.sets[first] | b.sets[second], a.price[first] + b.price[second],
        a.mass[first] + b.mass[second], out,
        a.other[first] * (int(b.other.max(initial=0)) + 1) + b.other[second],
    )  # fmt: skip


def together(parts: Sequence[Partial]) -> Partial:
    """All of them, whose owners lie one after another."""

    def joined(name: str) -> np.ndarray:
        return np.concatenate([getattr(one, name) for one in parts])

    choice = {group: np.concatenate([one.choice[group] for one in parts])
              for group in parts[0].choice}  # fmt: skip
    return Partial(
        parts[0].whole, choice, joined("owner"), joined("sets"), joined("price"), joined("mass"),
        joined("filled"), code_of(np.append(0, joined("other")))[1:],
    )  # fmt: skip


def _minimums(order: Order) -> Floats:
    return order.minimum[np.flatnonzero(order.minimum > 0)]


def _filled(order: Order, pieces: Sequence[Piece], size: int, certain: bool) -> Floats:
    """What is ordered of each supplier with a minimum: at most where it may break it for certain,
    else at least."""
    suppliers = np.flatnonzero(order.minimum > 0)
    out = np.full((size, len(suppliers)), NOTHING)
    for piece in pieces:
        amount = piece.high if certain else piece.low
        for column, supplier in zip(out.T, suppliers.tolist(), strict=True):
            mine = piece.supplier == supplier
            column[mine] = np.maximum(column[mine], 0.0) + amount[mine]
    return out
