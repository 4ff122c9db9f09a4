"""Joint rules: what an order as a whole must meet. They are not monotone in what is bought, so they
stand in no group's table: a dearer kit may reach the order minimum that a cheaper one misses.

One definition serves a single bundle and whole columns of completions: a piece holds arrays.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.rules.choices import Market
from recommender.rules.option_table import OptionTable

JOINT = ("order minimum", "pieces in stock", "sold as a pair")
"""Names of their bits."""
NONE = -1
HAIR = 1e-9
"""What an order may lack of a minimum, lest the rounding of sums decide."""


@dataclass(frozen=True)
class Piece:
    """One part of each of many completions. Supplier, part and partner are codes, NONE for none;
    the same part code at two places is the same thing taken twice from one shelf."""

    part: Ints
    supplier: Ints
    low: Floats
    high: Floats
    stock: Floats
    partner: Ints


def joint_sets(
    pieces: Sequence[Piece], minimum: Floats
) -> dict[str, tuple[Mask, Mask]]:
    """For each joint rule, where it is broken for certain and where possibly.

    `minimum` holds each supplier's order minimum by code. A pair is sold for the two ends of one
    shock, so any other piece may be the partner; a part that pairs with itself is needed twice.
    """
    size = len(pieces[0].part)
    certain, possible = np.zeros(size, bool), np.zeros(size, bool)
    for supplier in np.flatnonzero(minimum > 0).tolist():
        mine = [piece.supplier == supplier for piece in pieces]
        low = sum(np.where(own, p.low, 0.0) for own, p in zip(mine, pieces, strict=True))
        high = sum(np.where(own, p.high, 0.0) for own, p in zip(mine, pieces, strict=True))
        ordered = np.logical_or.reduce(mine)
        certain |= ordered & (np.asarray(high) < minimum[supplier] - HAIR)
        possible |= ordered & (np.asarray(low) < minimum[supplier] - HAIR)
    scarce, alone = np.zeros(size, bool), np.zeros(size, bool)
    for piece in pieces:
        bought = piece.part != NONE
        taken = sum((other.part == piece.part).astype(float) for other in pieces)
        scarce |= bought & (np.asarray(taken) > piece.stock)
        others = [other.part == piece.partner for other in pieces if other is not piece]
        met = np.logical_or.reduce(others) if others else np.zeros(size, bool)
        alone |= (piece.partner != NONE) & ~met
    return {JOINT[0]: (certain, possible), JOINT[1]: (scarce, scarce), JOINT[2]: (alone, alone)}


@dataclass(frozen=True)
class Shelf:
    """An option table's pieces, row by row, under codes that are the market's own."""

    every: Piece

    def at(self, rows: Ints) -> Piece:
        p = self.every
        return Piece(
            p.part[rows], p.supplier[rows], p.low[rows], p.high[rows], p.stock[rows],
            p.partner[rows],
        )  # fmt: skip


@dataclass(frozen=True)
class Order:
    """The market as the joint rules see it: shelves by choice, and order minimums by supplier."""

    shelves: dict[str, Shelf]
    minimum: Floats
    suppliers: tuple[str, ...]

    @cached_property
    def partners(self) -> Ints:
        """Parts that some kit must be paired with."""
        partner = self.shelves["head_kit"].every.partner
        partners: Ints = partner[partner != NONE]
        return partners

    def paired(self, piece: Piece) -> Mask:
        """Rows that are one of a pair."""
        paired: Mask = (piece.partner != NONE) | np.isin(piece.part, self.partners)
        return paired

    def alone(self, piece: Piece, choice: str) -> Mask:
        """Rows that nothing may stand for, whatever it costs: one of a pair, or of which there may
        be too few on the shelf."""
        return self.paired(piece) | too_few(piece, choice)

    def unread(self, piece: Piece, choice: str) -> Mask:
        """Rows of which joint rules read nothing."""
        unread: Mask = ~self.alone(piece, choice) & (least_of(piece, self.minimum) == 0)
        return unread


def order_of(market: Market) -> Order:
    """Codes for every part and supplier; the fitted shock is not ordered."""
    suppliers: dict[str, int] = {}
    kits = _shelf(market.kits, 0, suppliers)
    springs = _shelf(market.springs, 1 << 40, suppliers)
    tunes = _shelf(market.tunes, 2 << 40, suppliers)
    shelves = {"head_kit": kits, "shaft_kit": kits, "spring": springs, "tune": tunes}
    shelves["shock"] = _shocks(market, suppliers)
    minimum = np.array([market.order_minimum.get(name, 0.0) for name in suppliers])
    return Order(shelves, minimum, tuple(suppliers))


def _shelf(table: OptionTable, base: int, suppliers: dict[str, int]) -> Shelf:
    size = len(table.labels)
    wanted = set(table.pairs_with.words) - {""}
    labels = enumerate(table.labels) if wanted else ()
    row = {label: base + k for k, label in labels if label in wanted}
    partner = np.array([row.get(word, NONE) for word in table.pairs_with.words], np.int64)
    return Shelf(
        Piece(
            base + np.arange(size),
            _codes(table.supplier.words, suppliers)[table.supplier.codes],
            table.facts["price"].low, table.facts["price"].high, table.stock,
            partner[table.pairs_with.codes],
        )
    )  # fmt: skip


def _shocks(market: Market, suppliers: dict[str, int]) -> Shelf:
    size = len(market.shocks)
    names = market.shocks.text("supplier")
    by_word = _codes(names.words, suppliers)
    supplier = by_word[names.codes]
    stock = market.shocks.number("stock")
    part = (3 << 40) + np.arange(size)
    pieces = np.where(stock.is_known, stock.top, np.inf)
    if market.present is not None:
        part[market.present] = supplier[market.present] = NONE
    none = np.full(size, NONE)
    return Shelf(
        Piece(part, supplier, market.shock_price.low, market.shock_price.high, pieces, none)
    )


def _codes(names: Sequence[str], suppliers: dict[str, int]) -> Ints:
    return np.array(
        [suppliers.setdefault(name, len(suppliers)) if name else NONE for name in names], np.int64
    )


def least_of(piece: Piece, minimum: Floats) -> Floats:
    """What an order from each piece's supplier must come to."""
    least: Floats = np.where(piece.supplier == NONE, 0.0, np.append(minimum, 0.0)[piece.supplier])
    return least


def too_few(piece: Piece, choice: str) -> Mask:
    """Rows of which there may be too few on the shelf: a kit may be needed at either end."""
    pieces = 2 if choice.endswith("kit") else 1
    few: Mask = piece.stock < np.where(piece.part == NONE, 0, pieces)
    return few


def free(piece: Piece, minimum: Floats, choice: str) -> Mask:
    """Rows of that choice that no joint rule can touch, whatever else is bought."""
    enough = (piece.low >= least_of(piece, minimum)) & ~too_few(piece, choice)
    untouched: Mask = enough & (piece.partner == NONE)
    return untouched
