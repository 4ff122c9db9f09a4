"""A market in which one unknown is known better, and the values it may take.

A market in which a column of the shocks is narrowed narrows each shock's own cell.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Floats, Ints, Mask, NumberColumn
from recommender.explain.unknowns import (
    EVERY_ROW,
    Piece,
    Place,
    Unknown,
    loose_cells,
    option_table,
)
from recommender.facts import words
from recommender.mechanics.leverage import Leverage
from recommender.rules.choices import Market
from recommender.rules.fact import Fact, Scalar
from recommender.rules.option_table import OptionTable
from recommender.rules.stroke_options import stroke_options
from recommender.rules.tune_options import OF_TUNE


def narrowed(market: Market, unknown: Unknown, piece: Piece) -> Market:
    """The market in which the fact is known to lie in that piece; with equal ends, exactly."""
    if unknown.place == "question":
        return _question_narrowed(market, unknown, piece)
    if unknown.place == "shocks":
        return _shocks_narrowed(market, unknown, piece)
    table = option_table(market, unknown.place)
    mine = np.full(len(table.labels), unknown.row == EVERY_ROW)
    if unknown.row != EVERY_ROW:
        mine[unknown.row] = True
    low, high = (np.full(len(mine), at) for at in piece)
    known = _fact_narrowed(table.facts[unknown.fact], mine, low, high)
    return _with_fact(market, unknown.place, table, unknown.fact, known)


def value_at(market: Market, unknown: Unknown, at: float, shock: int = -1) -> float:
    """The value at that fraction of a number; the number of a word. `shock` for a column's cell."""
    if not unknown.number:
        return at
    if unknown.place == "question":
        corners = market.scalars[unknown.fact].corners
        if isinstance(corners[0], Leverage):
            # A curve is told by its travel at the end of what is known of it.
            ends = [float(one.travel(one.stroke_m)) * 1000 for one in (corners[0], corners[-1])]
            return _between(ends[0], ends[1], at)
        return _between(float(corners[0]), float(corners[-1]), at)
    if unknown.place == "shocks":
        column = market.shocks.number(unknown.fact)
        return _between(float(column.low[shock]), float(column.top[shock]), at)
    fact = option_table(market, unknown.place).facts[unknown.fact]
    return _between(float(fact.low[unknown.row]), float(fact.high[unknown.row]), at)


def _between(low: float, high: float, at: float) -> float:
    return high if at == 1 else low + at * (high - low)


def _question_narrowed(market: Market, unknown: Unknown, piece: Piece) -> Market:
    scalar, name = market.scalars[unknown.fact], unknown.fact
    bike = market.bike
    if not unknown.number:
        code = scalar.corners[int(piece[0])]
        made = Scalar((code,), category=scalar.category)
        if name == "bike_eyelet_axis":
            bike = bike.model_copy(update={"eyelet_axis": words.AXES[code]})
    elif isinstance(scalar.corners[0], Leverage):
        ends = [_curve(scalar.corners[0], scalar.corners[1], at) for at in piece]
        made = Scalar(tuple(ends[: 1 + (piece[0] < piece[1])]))
    else:
        low, high = (_between(scalar.corners[0], scalar.corners[-1], at) for at in piece)
        made = Scalar((low,) if low == high else (low, high))
    return replace(market, scalars=MappingProxyType({**market.scalars, name: made}), bike=bike)


def _curve(first: Leverage, last: Leverage, at: float) -> Leverage:
    """Between two leverage curves that are one curve scaled."""
    if at in (0.0, 1.0):
        return (first, last)[int(at)]
    a, b = (float(one.travel(one.stroke_m)) for one in (first, last))
    return first.scaled(_between(a, b, at) / a)


def _shocks_narrowed(market: Market, unknown: Unknown, piece: Piece) -> Market:
    every = np.ones(len(market.shocks), bool)
    low, high = (np.full(len(every), at) for at in piece)
    return cells_narrowed(market, unknown.fact, every, low, high)


def cells_narrowed(market: Market, name: str, mine: Mask, low: Floats, high: Floats) -> Market:
    """The market in which those shocks' loose cells of a column lie between the fractions given,
    shock by shock; of a word they are its number, twice. TypeError for a text, never loose."""
    column, mine = market.shocks.columns[name], mine & loose_cells(market, name)
    made: NumberColumn | ChoiceColumn
    if isinstance(column, NumberColumn):
        made = NumberColumn.of(*_ends(column.low, column.top, mine, low, high), column.known)
    elif isinstance(column, ChoiceColumn):
        codes = np.where(mine, low, column.codes).astype(np.int16)
        made = ChoiceColumn(codes, column.values)
    else:
        raise TypeError(f"shocks.{name} is a text, which is never loose")
    shocks = replace(market.shocks, columns={**market.shocks.columns, name: made})
    kept = {key: fact for key, fact in market.shock_facts.items() if key != f"shock_{name}"}
    out = replace(market, shocks=shocks, shock_facts=kept)
    if name == "price":
        count = np.ones(len(mine), bool) if market.present is None else (
            np.arange(len(mine)) != market.present)  # fmt: skip
        price = _fact_narrowed(market.shock_price, mine & count, low, high)
        return replace(out, shock_price=price)
    if name == "stroke_mm":
        owner, stroke = stroke_options(shocks)
        return replace(out, stroke_owner=owner, stroke_mm=stroke)
    if name not in OF_TUNE:
        return out
    # A shock as delivered is a row of its own among the tunes; the fitted one serviced is another.
    of = np.full(len(market.tunes.labels), -1)
    of[: len(mine)] = np.arange(len(mine))
    if market.present is not None:
        of[-2] = market.present
    facts = {
        **market.tunes.facts,
        name: _fact_narrowed(market.tunes.facts[name], mine[of] & (of >= 0), low[of], high[of]),
    }
    return replace(out, tunes=replace(market.tunes, facts=MappingProxyType(facts)))


def one_of_each(market: Market, shocks: Ints, most: int) -> Iterator[Ints]:
    """Places of those shocks, at most so many at once, such that each lot makes a market of its own
    (`apart`): the fitted shock is one of a kind, so it stands alone."""
    own = shocks == (-1 if market.present is None else market.present)
    yield from (np.array([place]) for place in np.flatnonzero(own).tolist())
    rest = np.flatnonzero(~own)
    yield from (rest[k : k + most] for k in range(0, len(rest), most))


def known_apart(
    market: Market, columns: Sequence[str], which: Ints, shocks: Ints, low: Floats, high: Floats
) -> Market:
    """The market with those shocks alone, each a shock of its own, whose cell in the column named
    beside it (`which` of `columns`) lies between those fractions of what it may be."""
    out = apart(market, shocks)
    for k in np.unique(which).tolist():
        out = cells_narrowed(out, columns[k], which == k, low, high)
    return out


def apart(market: Market, rows: Ints) -> Market:
    """The market with those shocks alone, in that order; one may stand several times, but for the
    fitted one."""
    present = np.flatnonzero(rows == (-1 if market.present is None else market.present))
    shocks, size = market.shocks.take(rows), len(market.shocks)
    rest = np.arange(size, len(market.tunes.labels))
    if market.present is not None and not len(present):
        rest = np.delete(rest, len(rest) - 2)
    owner, stroke = stroke_options(shocks)
    return replace(
        market,
        shocks=shocks,
        present=int(present[0]) if len(present) else None,
        tunes=market.tunes.take(np.concatenate([rows, rest])),
        stroke_owner=owner,
        stroke_mm=stroke,
        services_of={code: at + len(rows) - size for code, at in market.services_of.items()},
        shock_price=market.shock_price.take(rows),
        shock_facts={},
    )


def copies_of_kits(market: Market, fact: str, rows: Ints, at: Floats) -> Market:
    """The market with those kits alone, in that order, one several times if need be: each has the
    fact at that fraction of what it may be."""
    kits = market.kits.take(rows)
    known = _fact_narrowed(kits.facts[fact], np.ones(len(rows), bool), at, at)
    return _with_fact(market, "kits", kits, fact, known)


def _with_fact(market: Market, place: Place, table: OptionTable, fact: str, known: Fact) -> Market:
    made = replace(table, facts=MappingProxyType({**table.facts, fact: known}))
    if place == "kits":
        return replace(market, kits=made)
    return replace(market, springs=made) if place == "springs" else replace(market, tunes=made)


def _fact_narrowed(fact: Fact, mine: Mask, low: Floats, high: Floats) -> Fact:
    if fact.loose is None:
        return fact
    some = mine & fact.loose
    if fact.category:
        corner = np.stack(fact.corners)
        word = corner[np.where(some, low, 0.0).astype(np.int64), np.arange(len(some))]
        corners = [np.where(some, word, one) for one in fact.corners]
        loose = fact.loose & ~some
        return Fact(corners[0], tuple(corners[1:]), loose, True) if loose.any() else Fact(
            corners[0], category=True)  # fmt: skip
    return Fact.bounds(*_ends(fact.low, fact.high, some, low, high))


def _ends(
    low: Floats, high: Floats, mine: Mask, first: Floats, last: Floats
) -> tuple[Floats, Floats]:
    a, b = (np.where(at == 1, high, low + at * (high - low)) for at in (first, last))
    return np.where(mine, a, low), np.where(mine, b, high)
