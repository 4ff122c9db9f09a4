"""A market in which one unknown is known better, and the values it may take.

A market in which a column of the shocks is narrowed narrows each shock's own cell.
"""

from dataclasses import replace
from types import MappingProxyType

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Floats, Mask, NumberColumn
from recommender.explain.unknowns import OF_TUNE, Piece, Unknown, loose_cells, option_table
from recommender.facts import words
from recommender.mechanics.leverage import Leverage
from recommender.rules.choices import Market, stroke_options
from recommender.rules.fact import Fact, Scalar


def narrowed(market: Market, unknown: Unknown, piece: Piece) -> Market:
    """The market in which the fact is known to lie in that piece; with equal ends, exactly."""
    if unknown.place == "question":
        return _question_narrowed(market, unknown, piece)
    if unknown.place == "shocks":
        return _shocks_narrowed(market, unknown, piece)
    table = option_table(market, unknown.place)
    mine = np.zeros(len(table.labels), bool)
    mine[unknown.row] = True
    facts = {**table.facts, unknown.fact: _fact_narrowed(table.facts[unknown.fact], mine, piece)}
    made = replace(table, facts=MappingProxyType(facts))
    if unknown.place == "kits":
        return replace(market, kits=made)
    return replace(market, springs=made) if unknown.place == "springs" else replace(
        market, tunes=made)  # fmt: skip


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
    name = unknown.fact
    column, mine = market.shocks.columns[name], loose_cells(market, name)
    made: NumberColumn | ChoiceColumn
    if isinstance(column, NumberColumn):
        low, high = _ends(column.low, column.top, mine, piece)
        made = NumberColumn(low, high, column.known)
    elif isinstance(column, ChoiceColumn):
        codes = np.where(mine, piece[0], column.codes).astype(np.int16)
        made = ChoiceColumn(codes, column.values)
    else:
        raise TypeError(f"shocks.{name} is a text, which is never loose")
    shocks = replace(market.shocks, columns={**market.shocks.columns, name: made})
    kept = {key: fact for key, fact in market.shock_facts.items() if key != f"shock_{name}"}
    out = replace(market, shocks=shocks, shock_facts=kept)
    if name == "price":
        count = np.ones(len(mine), bool) if market.present is None else (
            np.arange(len(mine)) != market.present)  # fmt: skip
        return replace(out, shock_price=_fact_narrowed(market.shock_price, mine & count, piece))
    if name == "stroke_mm":
        owner, stroke = stroke_options(shocks)
        return replace(out, stroke_owner=owner, stroke_mm=stroke)
    tune = next((fact for fact, of in OF_TUNE.items() if of == name), None)
    if tune is None:
        return out
    rows = np.zeros(len(market.tunes.labels), bool)
    rows[: len(mine)] = mine
    if market.present is not None:
        rows[len(market.tunes.labels) - 2] = mine[market.present]
    facts = {**market.tunes.facts, tune: _fact_narrowed(market.tunes.facts[tune], rows, piece)}
    return replace(out, tunes=replace(market.tunes, facts=MappingProxyType(facts)))


def _fact_narrowed(fact: Fact, mine: Mask, piece: Piece) -> Fact:
    if fact.loose is None:
        return fact
    some = mine & fact.loose
    if fact.category:
        word = fact.corners[int(piece[0])]
        corners = [np.where(some, word, corner) for corner in fact.corners]
        loose = fact.loose & ~some
        return Fact(corners[0], tuple(corners[1:]), loose, True) if loose.any() else Fact(
            corners[0], category=True)  # fmt: skip
    return Fact.bounds(*_ends(fact.low, fact.high, some, piece))


def _ends(
    low: Floats, high: Floats, mine: Mask, piece: Piece
) -> tuple[Floats, Floats]:
    a, b = (np.where(at == 1, high, low + at * (high - low)) for at in piece)
    return np.where(mine, a, low), np.where(mine, b, high)
