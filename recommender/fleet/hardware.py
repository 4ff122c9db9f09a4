"""The sets of kits that ways name: which fit at either end and which go together."""

import numpy as np

from recommender.catalogue.columns import Floats, Mask
from recommender.fleet.feasible import Found
from recommender.fleet.task import Fit, Part
from recommender.rules.choices import REUSED_HEAD, REUSED_SHAFT
from recommender.rules.fact import Fact
from recommender.search.joint import NONE

REUSED = (REUSED_HEAD, REUSED_SHAFT)
UNPRICED = 50_000.0
"""A price that may lie this far apart is not known at all."""


def known_prices(fact: Fact) -> tuple[Floats, Mask]:
    """The price of each row to reckon with, and whether it is told at all."""
    return fact.nominal.low, fact.high - fact.low < UNPRICED


class Shelf:
    """The sets of kits, each kept once."""

    def __init__(self) -> None:
        self.sets: list[tuple[Fit, ...]] = []
        self._known: dict[tuple[Fit, ...], int] = {}

    def key(self, fits: tuple[Fit, ...]) -> int:
        if fits not in self._known:
            self._known[fits] = len(self.sets)
            self.sets.append(fits)
        return self._known[fits]


class Hardware:
    """Which sets of kits go together at the two ends of each way."""

    def __init__(self, found: Found, shelf: Shelf) -> None:
        self.found, self.shelf = found, shelf
        market = found.market
        kits = market.kits
        price, labour = kits.facts["price"], kits.facts["labour"]
        self.price, self.told = known_prices(price)
        self.labour = labour.nominal.low
        self.partner = found.order.shelves["head_kit"].every.partner
        self.reused = np.array([label in REUSED for label in kits.labels])
        self.sums = {"price": price.high + labour.high, "mass": kits.facts["mass_g"].high}
        self.limits = {
            rule.couples: float(market.scalars[rule.reads[1]].corners[0]) + rule.tolerance
            for rule in found.rules.couplings
        }
        self._known: dict[tuple[int, int], list[tuple[int, int]]] = {}
        self._keys: dict[tuple[int, ...], int] = {}

    def rectangles(self, k: int) -> list[tuple[int, int]]:
        """Pairs of sets (as keys of the shelf) that hold all combinations that are allowed."""
        found = self.found
        key = int(found.heads[k]), int(found.shafts[k])
        if not self.limits:
            if key not in self._known:
                self._known[key] = self._made(*key, {})
            return self._known[key]
        left = {
            what: limit - float((found.high if what == "price" else found.mass)[k])
            for what, limit in self.limits.items()
        }
        return self._made(*key, left)

    def _made(self, head: int, shaft: int, left: dict[str, float]) -> list[tuple[int, int]]:
        """`left` is what the sums of both kits may come to."""
        heads = np.flatnonzero(self.found.kit_sets[0][head])
        shafts = np.flatnonzero(self.found.kit_sets[1][shaft])
        a, b = heads[:, None], shafts[None, :]
        allowed = (self.partner[a] == NONE) | (self.partner[a] == b)
        allowed &= (self.partner[b] == NONE) | (self.partner[b] == a)
        allowed &= (a != b) | ~self.reused[a]
        for what, most in left.items():
            allowed &= self.sums[what][a] + self.sums[what][b] <= most
        if allowed.all():
            return [(self._key(heads.tolist()), self._key(shafts.tolist()))]
        by_row: dict[bytes, list[int]] = {}
        for row, mask in zip(heads.tolist(), allowed, strict=True):
            if mask.any():
                by_row.setdefault(mask.tobytes(), []).append(row)
        out = []
        for pattern, rows in by_row.items():
            some = shafts[np.frombuffer(pattern, bool)].tolist()
            out.append((self._key(rows), self._key(some)))
        return out

    def _key(self, rows: list[int]) -> int:
        if tuple(rows) not in self._keys:
            self._keys[tuple(rows)] = self.shelf.key(tuple(self._fit(row) for row in rows))
        return self._keys[tuple(rows)]

    def _fit(self, row: int) -> Fit:
        kits = self.found.market.kits
        label = kits.labels[row]
        part = Part(
            label, 1, float(self.price[row]), kits.supplier[row], float(kits.stock[row]),
            bool(self.told[row]),
        )  # fmt: skip
        return Fit(part, float(self.labour[row]), label not in REUSED)
