"""Joint rules as a certificate's reader sees them: what an order as a whole must meet.

They read the pieces that are ordered: the shock, the spring, the tune and a kit at either end.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.rules.choices import Market
from recommender.rules.option_table import OptionTable

ORDER_MINIMUM, IN_STOCK, AS_A_PAIR = "order minimum", "pieces in stock", "sold as a pair"
JOINT = (ORDER_MINIMUM, IN_STOCK, AS_A_PAIR)
ORDERED = ("shock", "spring", "tune", "head_kit", "shaft_kit")
NOBODY = -1.0
_SLACK = 1e-9

LOW, HIGH, PART, SUPPLIER, STOCK, PARTNER = range(6)
"""Columns of pieces; NOBODY where there is no such part, supplier or partner."""


@dataclass(frozen=True)
class Shelves:
    """Every piece of a market by choice, in columns; the fitted shock is not ordered."""

    market: Market

    @cached_property
    def minimums(self) -> Mapping[float, float]:
        """Order minimum of each supplier that has one, by its code."""
        known = self.market.order_minimum
        return {code: known[name] for name, code in self._codes.items() if known.get(name, 0.0) > 0}

    @cached_property
    def _codes(self) -> dict[str, float]:
        market = self.market
        names = [*market.shocks.text("supplier").texts()]
        for table in (market.kits, market.springs, market.tunes):
            names += table.supplier.texts()
        return {name: float(k) for k, name in enumerate(dict.fromkeys(names)) if name}

    @cached_property
    def pieces(self) -> Mapping[str, Floats]:
        """Choice -> one row of columns for each row of the choice's table."""
        market = self.market
        kits = self._table(market.kits, 1)
        return {
            "shock": self._shocks(), "head_kit": kits, "shaft_kit": kits,
            "spring": self._table(market.springs, 2), "tune": self._table(market.tunes, 3),
        }  # fmt: skip

    @cached_property
    def partners(self) -> Floats:
        """Parts that some kit must be paired with."""
        wanted = self.pieces["head_kit"][:, PARTNER]
        found: Floats = wanted[wanted != NOBODY]
        return found

    def _shocks(self) -> Floats:
        shocks, price = self.market.shocks, self.market.shock_price
        stock = shocks.number("stock")
        out = np.full((len(shocks), 6), NOBODY)
        out[:, LOW], out[:, HIGH] = price.low, price.high
        out[:, PART] = np.arange(len(shocks))
        out[:, SUPPLIER] = [self._codes.get(n, NOBODY) for n in shocks.text("supplier").texts()]
        out[:, STOCK] = np.where(stock.is_known, stock.top, np.inf)
        if self.market.present is not None:
            out[self.market.present, [PART, SUPPLIER]] = NOBODY
        return out

    def _table(self, table: OptionTable, number: int) -> Floats:
        base = number * 1e9
        place = {label: base + k for k, label in enumerate(table.labels)}
        out = np.full((len(table.labels), 6), NOBODY)
        out[:, LOW], out[:, HIGH] = table.facts["price"].low, table.facts["price"].high
        out[:, PART] = base + np.arange(len(table.labels))
        out[:, SUPPLIER] = [self._codes.get(name, NOBODY) for name in table.supplier.texts()]
        out[:, STOCK] = table.stock
        out[:, PARTNER] = [place.get(label, NOBODY) for label in table.pairs_with.texts()]
        return out

    def read_by(self, rules: Sequence[str], choice: str, rows: Ints, certain: bool) -> Floats:
        """What those joint rules read of pieces, everything else blanked: pieces alike in it, and
        in what they cost, may stand for each other."""
        piece = self.pieces[choice][rows]
        out = np.full((len(rows), 4), NOBODY)
        if ORDER_MINIMUM in rules:
            counts = np.isin(piece[:, SUPPLIER], list(self.minimums))
            price = piece[:, HIGH if certain else LOW]
            out[counts, 0] = piece[counts, SUPPLIER]
            out[counts, 1] = price[counts]
        alone = np.zeros(len(rows), bool)
        if IN_STOCK in rules:
            most = 2 if choice.endswith("kit") else 1
            alone |= (piece[:, PART] != NOBODY) & (piece[:, STOCK] < most)
        if AS_A_PAIR in rules:
            out[:, 3] = piece[:, PARTNER]
            alone |= (piece[:, PARTNER] != NOBODY) | np.isin(piece[:, PART], self.partners)
        out[alone, 2] = piece[alone, PART]
        return out

    def broken(self, rule: str, pieces: Sequence[Floats], certain: bool) -> Mask:
        """Where that rule is broken, for certain or possibly, by orders: a row each, one array of
        piece columns for every place in the order."""
        out = np.zeros(len(pieces[0]), bool)
        if rule == ORDER_MINIMUM:
            for code, least in self.minimums.items():
                mine = [piece[:, SUPPLIER] == code for piece in pieces]
                price = HIGH if certain else LOW
                spent = sum(
                    np.where(own, piece[:, price], 0.0)
                    for own, piece in zip(mine, pieces, strict=True)
                )
                out |= np.logical_or.reduce(mine) & (spent < least - _SLACK)
            return out
        for k, piece in enumerate(pieces):
            if rule == IN_STOCK:
                taken = sum((other[:, PART] == piece[:, PART]).astype(int) for other in pieces)
                out |= (piece[:, PART] != NOBODY) & (taken > piece[:, STOCK])
            else:
                met = np.zeros(len(out), bool)
                for other in (*pieces[:k], *pieces[k + 1 :]):
                    met |= other[:, PART] == piece[:, PARTNER]
                out |= (piece[:, PARTNER] != NOBODY) & ~met
        return out
