"""Frames over a set of shocks: their variants and everything that may be chosen for them."""

from dataclasses import dataclass

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.rules.choices import Market
from recommender.rules.fact import Fact
from recommender.rules.market import owner_facts, variants
from recommender.rules.mounting import AIR, COIL
from recommender.search.frames import Frames, Options, starts


@dataclass(frozen=True)
class Owners:
    """Shocks as mounted: the catalogue row of each, and whether it goes end for end."""

    shock: Ints
    turned: Mask
    frames: Frames


def owners(market: Market, rows: Ints) -> Owners:
    """Every variant of those shocks with its options, kits aside (see `kit_frames`)."""
    shock, turned = variants(market, rows)
    facts = owner_facts(market, shock, turned)
    options = {
        "stroke": _strokes(market, shock),
        "spring": _springs(market, shock, facts),
        "tune": _tunes(market, shock),
        "clocking": _clocking(len(shock)),
    }
    return Owners(shock, turned, Frames(len(shock), facts, market.scalars, options))


def with_kits(market: Market, made: Owners) -> Owners:
    """The same owners with every kit at either end: for a few shocks only."""
    count = len(made.shock)
    kits = {end: kit_options(market, end, count) for end in ("head", "shaft")}
    options = {**made.frames.options, **{f"{end}_kit": one for end, one in kits.items()}}
    frames = Frames(count, made.frames.owner_facts, market.scalars, options)
    return Owners(made.shock, made.turned, frames)


def kit_options(market: Market, end: str, count: int) -> Options:
    """Every kit for each of `count` owners, under that end's fact names."""
    size = len(market.kits.labels)
    table = {f"{end}_kit_{name}": fact for name, fact in market.kits.facts.items()}
    return Options(np.full(count, size), np.tile(np.arange(size), count), table)


def _ragged(count: Ints, first: Ints) -> Ints:
    """first, first + 1, ... of each owner's stretch."""
    return np.arange(int(count.sum())) - np.repeat(starts(count) - first, count)


def _strokes(market: Market, shock: Ints) -> Options:
    first = market.stroke_start[shock]
    count = market.stroke_start[shock + 1] - first
    row = _ragged(count, first)
    owner = np.repeat(shock, count)
    delivered = market.shocks.number("stroke_mm")
    mm = market.stroke_mm.take(row)
    changed = (np.abs(mm.low - delivered.low[owner]) > 1e-6) & delivered.is_known[owner]
    job = market.works["change stroke"]
    flat = {
        "stroke_mm": mm,
        "stroke_price": Fact(np.zeros(len(row))),
        "stroke_labour": Fact(np.where(changed, job.price, 0.0)),
        "stroke_days": Fact(np.where(changed, job.days, 0.0)),
        "stroke_workshop": Fact(np.where(changed & job.workshop, 1.0, 0.0)),
        "stroke_mass_g": Fact(np.zeros(len(row))),
    }
    return Options(count, row, {}, flat)


def _tunes(market: Market, shock: Ints) -> Options:
    """As delivered; the services for its damper family; the fitted shock serviced; made."""
    family = market.shocks.text("damper").codes[shock]
    offers = [market.services_of.get(code, np.array([], np.int64)) for code in range(_most(family))]
    number = np.array([len(one) for one in offers], np.int64)[family]
    kept = shock == (-1 if market.present is None else market.present)
    count = number + 2 + kept
    row = np.empty(int(count.sum()), np.int64)
    start = starts(count)
    row[start] = shock
    joined = np.concatenate([np.array([], np.int64), *offers])
    first = starts(np.array([len(one) for one in offers], np.int64))[family]
    into = np.repeat(start + 1, number) + _ragged(number, np.zeros(len(number), np.int64))
    row[into] = joined[_ragged(number, first)]
    last = len(market.tunes.labels) - 1
    row[start + count - 1] = last
    row[(start + count - 2)[kept]] = last - 1
    table = {f"tune_{name}": fact for name, fact in market.tunes.facts.items()}
    return Options(count, row, table)


def _most(codes: Ints) -> int:
    return int(codes.max()) + 1 if len(codes) else 0


def _springs(market: Market, shock: Ints, facts: dict[str, Fact]) -> Options:
    """Volume spacers for air, coils for coil, both where the kind is unknown."""
    springs = market.springs
    size = len(springs.labels)
    is_coil = springs.facts["is_coil"].low == 1
    fitted = springs.facts["fitted"].low == 1
    spacer_rows = np.flatnonzero(~is_coil)
    coil_rows = np.flatnonzero(is_coil & ~fitted)
    most = market.shocks.number("volume_spacers_max")
    may_take = np.where(most.is_known, np.floor(most.top), 0).astype(np.int64)
    kinds = facts["shock_spring_kind"]
    unknown = np.zeros(len(shock), bool) if kinds.loose is None else kinds.loose
    spacers = np.minimum(may_take[shock] + 1, len(spacer_rows))
    spacers = np.where((kinds.low == AIR) | unknown, spacers, 0)
    coils = np.where((kinds.low == COIL) | unknown, len(coil_rows), 0)
    kept = (shock == (-1 if market.present is None else market.present)) & (coils > 0)
    own = np.where(kept & bool(fitted.any()), 1, 0)
    count = spacers + coils + own
    start = starts(count)
    row = np.empty(int(count.sum()), np.int64)
    zero = np.zeros(len(shock), np.int64)
    row[np.repeat(start, spacers) + _ragged(spacers, zero)] = _ragged(spacers, zero)
    at = np.repeat(start + spacers, coils) + _ragged(coils, zero)
    row[at] = coil_rows[_ragged(coils, zero)] if size else 0
    row[(start + count - 1)[own > 0]] = np.flatnonzero(fitted)[0] if fitted.any() else 0
    owner = np.repeat(np.arange(len(shock)), count)
    table = {f"spring_{name}": fact for name, fact in springs.facts.items()}
    return Options(count, row, table, _spacer_cost(market, shock, owner, row, kept))


def _spacer_cost(
    market: Market, shock: Ints, owner: Ints, row: Ints, kept: Mask
) -> dict[str, Fact]:
    """Price and labour of the spring setting, which for spacers depend on the shock."""
    springs = market.springs.facts
    spacers = springs["spacers"].low[row]
    each = market.shocks.number("volume_spacer_price")
    present = market.bike.present_shock
    inside = present.volume_spacers if present is not None else None
    there = inside.low if inside is not None and inside.kind == "exact" else 0.0
    before = np.where(kept[owner] | _is_present(market, shock)[owner], there, 0.0)
    bought = np.maximum(spacers - before, 0.0)
    # Blank: spacers are not priced apart; the job of setting them is.
    low = np.where(each.is_known, each.low, 0.0)[shock][owner]
    high = np.where(each.is_known, each.top, 0.0)[shock][owner]
    air = springs["is_coil"].low[row] == 0
    coil_price = springs["price"].take(row)
    job = market.works["set volume spacers"]
    changed = air & (spacers != before)
    coil_fitting = springs["labour"].low[row]
    coil_workshop = springs["workshop"].low[row]
    return {
        "spring_price": Fact.bounds(
            np.where(air, bought * low, coil_price.low), np.where(air, bought * high, coil_price.high)
        ),
        "spring_labour": Fact(np.where(changed, job.price, coil_fitting)),
        "spring_workshop": Fact(np.where(changed, float(job.workshop), coil_workshop)),
    }


def _is_present(market: Market, shock: Ints) -> Mask:
    return shock == (-1 if market.present is None else market.present)


def _clocking(count: int) -> Options:
    table = {"clocking_turned": Fact(np.array([0.0, 1.0]))}
    return Options(np.full(count, 2), np.tile(np.arange(2), count), table)
