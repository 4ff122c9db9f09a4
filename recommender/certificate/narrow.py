"""A market in which one fact that is not exactly known is known better."""

from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Column, Floats, Mask, NumberColumn
from recommender.certificate.options import unlike
from recommender.facts import words
from recommender.facts.fields import blanks
from recommender.facts.parts import Shock
from recommender.mechanics.leverage import Leverage
from recommender.rules.choices import Market
from recommender.rules.fact import Fact, Scalar
from recommender.rules.option_table import OptionTable
from recommender.rules.stroke_options import stroke_options
from recommender.rules.tune_options import OF_TUNE

Piece = tuple[float, float]
"""From where to where, as fractions of the range; of a category its word, twice."""


@dataclass(frozen=True)
class Named:
    """A fact of the question, a shock's cell, or a cell of the option with that label."""

    place: Literal["question", "shocks", "kits", "springs", "tunes"]
    fact: str
    option: str
    shock: int


def pieces_wanted(market: Market, named: Named) -> int:
    """How many words a category may be; 0 for a number. KeyError where there is nothing loose of
    that name."""
    if named.place == "question":
        scalar = market.scalars[named.fact]
        first = scalar.corners[0]
        curve = isinstance(first, Leverage) and len(scalar.corners) == 2 and first.level != "linear"
        number = isinstance(first, float | int) and not scalar.category
        if not scalar.loose or not (curve or number or scalar.category):
            raise KeyError(named.fact)
        return len(scalar.corners) if scalar.category else 0
    if named.place == "shocks":
        if not _own_cell(market, named).any():
            raise KeyError(named.fact)
        column = market.shocks.columns[named.fact]
        return len(column.values) if isinstance(column, ChoiceColumn) else 0
    fact = _table(market, named).facts[named.fact]
    if fact.loose is None or not (fact.loose & _own_row(market, named)).any():
        raise KeyError(named.fact)
    return len(fact.corners) if fact.category else 0


def narrowed(market: Market, named: Named, piece: Piece) -> Market:
    """The market in which that fact lies in that piece of what it may be."""
    if named.place == "question":
        return _question(market, named.fact, piece)
    if named.place == "shocks":
        return _shock(market, named, piece)
    table = _table(market, named)
    made = _with(table, named.fact, _fact(table.facts[named.fact], _own_row(market, named), piece))
    if named.place == "kits":
        return replace(market, kits=made)
    if named.place == "springs":
        return replace(market, springs=made)
    return replace(market, tunes=made)


def _table(market: Market, named: Named) -> OptionTable:
    return {"kits": market.kits, "springs": market.springs, "tunes": market.tunes}[named.place]


def _with(table: OptionTable, name: str, fact: Fact) -> OptionTable:
    return replace(table, facts=MappingProxyType({**table.facts, name: fact}))


def _own_row(market: Market, named: Named) -> Mask:
    return np.array([one == named.option for one in unlike(_table(market, named).labels)])


def _own_cell(market: Market, named: Named) -> Mask:
    column: Column = market.shocks.columns[named.fact]
    mine = np.arange(len(market.shocks)) == named.shock
    if isinstance(column, NumberColumn):
        known = column.is_known if named.fact in blanks(Shock) else np.ones(len(mine), bool)
        cell: Mask = mine & known & (column.top > column.low)
        return cell
    return mine & (column.codes < 0) if isinstance(column, ChoiceColumn) else np.zeros_like(mine)


def _between(low: float, high: float, at: float) -> float:
    return high if at == 1 else low + at * (high - low)


def _question(market: Market, name: str, piece: Piece) -> Market:
    scalar, bike = market.scalars[name], market.bike
    first, last = scalar.corners[0], scalar.corners[-1]
    if scalar.category:
        word = scalar.corners[int(piece[0])]
        made = Scalar((word,), category=True)
        if name == "bike_eyelet_axis":
            # What it costs to turn an eye is read off the bike itself.
            bike = bike.model_copy(update={"eyelet_axis": words.AXES[word]})
    elif isinstance(first, Leverage):
        a, b = (float(one.travel(one.stroke_m)) for one in (first, last))
        ends = [
            first if at == 0 else last if at == 1 else first.scaled(_between(a, b, at) / a)
            for at in piece
        ]
        made = Scalar(tuple(ends if piece[0] < piece[1] else ends[:1]))
    else:
        made = Scalar(tuple(dict.fromkeys(_between(first, last, at) for at in piece)))
    return replace(market, scalars=MappingProxyType({**market.scalars, name: made}), bike=bike)


def _shock(market: Market, named: Named, piece: Piece) -> Market:
    name, mine = named.fact, _own_cell(market, named)
    column = market.shocks.columns[name]
    made: Column
    if isinstance(column, NumberColumn):
        low, high = (_ends(column.low, column.top, at) for at in piece)
        made = NumberColumn.of(
            np.where(mine, low, column.low), np.where(mine, high, column.top), column.known
        )
    elif isinstance(column, ChoiceColumn):
        codes = np.where(mine, int(piece[0]), column.codes).astype(np.int16)
        made = ChoiceColumn(codes, column.values)
    else:
        raise KeyError(name)
    shocks = replace(market.shocks, columns={**market.shocks.columns, name: made})
    out = replace(market, shocks=shocks, shock_facts={})
    if name == "price":
        out = replace(out, shock_price=_fact(market.shock_price, mine, piece))
    if name == "stroke_mm":
        owner, stroke = stroke_options(shocks)
        out = replace(out, stroke_owner=owner, stroke_mm=stroke)
    if name in OF_TUNE:
        rows = np.zeros(len(market.tunes.labels), bool)
        rows[: len(mine)] = mine
        if named.shock == market.present:
            # The fitted shock serviced has the tune that it was delivered with.
            rows[-2] = True
        tune = _fact(market.tunes.facts[name], rows, piece)
        out = replace(out, tunes=_with(market.tunes, name, tune))
    return out


def _ends(low: Floats, high: Floats, at: float) -> Floats:
    return high if at == 1 else low + at * (high - low)


def _fact(fact: Fact, rows: Mask, piece: Piece) -> Fact:
    if fact.loose is None:
        return fact
    mine = rows & fact.loose
    if fact.category:
        word = fact.corners[int(piece[0])]
        corners = [np.where(mine, word, corner) for corner in fact.corners]
        return Fact(corners[0], tuple(corners[1:]), fact.loose & ~mine, True)
    low, high = (_ends(fact.low, fact.high, at) for at in piece)
    return Fact.bounds(np.where(mine, low, fact.low), np.where(mine, high, fact.high))
