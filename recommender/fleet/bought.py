"""What a way buys besides hardware kits: a shock, a tune, springs or spacers."""

import math
from collections.abc import Iterator

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.fleet.feasible import Found
from recommender.fleet.groups import Group
from recommender.fleet.hardware import known_prices
from recommender.fleet.task import Part
from recommender.fleet.trial import SETTINGS
from recommender.rules.choices import DELIVERED, SERVICED
from recommender.rules.market import FITTED
from recommender.search.frames import Frames


def chosen(frames: Frames, choices: tuple[str, ...], name: str) -> Ints:
    """The rows of an option table that the rows of the frame of those choices choose."""
    layout, one = frames.layout(choices), frames.options[name]
    return np.asarray(one.row[one.start[layout.owner] + layout.position[name]], np.int64)


class Bought:
    """The parts that the ways of one group buy. A shock that is kept bears its own part number, so
    that keeping it and buying it again are one build."""

    def __init__(self, found: Found, group: Group) -> None:
        self.market, self.rows = found.market, found.made.shock
        frames, nominal = found.made.frames, found.made.frames.nominal()
        shocks, springs = self.market.shocks, self.market.springs
        self.keys, self.suppliers = shocks.keys(), shocks.text("supplier")
        self.stock = shocks.number("stock")
        self.shock_price = np.asarray(nominal.value("shock_price"), float)
        self.shock_told = known_prices(frames.fact("shock_price"))[1]
        self.tune_price, self.tune_told = known_prices(self.market.tunes.facts["price"])
        size = frames.layout(SETTINGS).size
        self.spring_price = np.broadcast_to(nominal.at("spring_price", SETTINGS), (size,))
        self.spring_added = np.broadcast_to(nominal.at("spring_added", SETTINGS), (size,))
        told, rows = known_prices(frames.fact("spring_price"))[1], frames.rows_of(
            SETTINGS, ("spring",))  # fmt: skip
        self.spring_told = told if rows is None else told[rows]
        self.air = springs.facts["is_coil"].low == 0
        self.sold = springs.facts["bought"].low == 1
        now = group.question.bike.present_shock
        self.fitted = (now.part_number if now else "") or f"the shock now on {group.model}"

    def kept(self, row: int) -> bool:
        """Whether that shock is the one on the bike."""
        return self.keys[row] == FITTED

    def number(self, row: int) -> str:
        return self.fitted if self.kept(row) else self.keys[row]

    def shock(self, owner: int) -> Iterator[Part]:
        row = int(self.rows[owner])
        if not self.kept(row):
            stock = float(self.stock.top[row]) if self.stock.is_known[row] else np.inf
            price, told = float(self.shock_price[owner]), bool(self.shock_told[owner])
            yield Part(self.keys[row], 1, price, self.suppliers[row], stock, told)

    def tune(self, row: int) -> Iterator[Part]:
        tunes = self.market.tunes
        if tunes.labels[row] not in (DELIVERED, SERVICED):
            price, told = float(self.tune_price[row]), bool(self.tune_told[row])
            yield Part(tunes.labels[row], 1, price, tunes.supplier[row], np.inf, told)

    def spring(self, owner: int, setting: int, row: int) -> Iterator[Part]:
        """The spring, or the shock's spacers, of a row of the frame of SETTINGS."""
        springs, shock = self.market.springs, int(self.rows[owner])
        price, told = float(self.spring_price[setting]), bool(self.spring_told[setting])
        air = bool(self.air[row])
        if self.sold[row] or (air and price > 0):
            name = f"volume spacers for {self.number(shock)}" if air else springs.labels[row]
            supplier = self.suppliers[shock] if air else springs.supplier[row]
            # Where it is not known how many are in it, enough for what the plan counts.
            pieces = math.ceil(float(self.spring_added[setting]))
            yield Part(name, pieces, price / pieces, supplier, float(springs.stock[row]), told)
