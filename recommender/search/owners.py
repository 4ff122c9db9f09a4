"""Frames over a set of shocks: their variants and everything that may be chosen for them."""

from dataclasses import dataclass, replace

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.catalogue.settings import SAME
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
    some = _only(market, rows)
    at, turned = variants(some, np.arange(len(rows)))
    facts, shock = owner_facts(some, at, turned), rows[at]
    options = {
        "stroke": _strokes(market, shock),
        "spring": _springs(market, shock, facts),
        "tune": _tunes(market, shock),
        "clocking": _clocking(len(shock)),
    }
    return Owners(shock, turned, Frames(len(shock), facts, market.scalars, options))


def _only(market: Market, rows: Ints) -> Market:
    """The market with those shocks alone: their facts cost what they are, not the catalogue's size.

    Strokes, springs and tunes are still those of the whole market's shocks.
    """
    present = np.flatnonzero(rows == (-1 if market.present is None else market.present))
    return replace(
        market,
        shocks=market.shocks.take(rows),
        shock_price=market.shock_price.take(rows),
        present=int(present[0]) if len(present) else None,
        shock_facts={},
    )


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
    first = np.searchsorted(market.stroke_owner, shock)
    count = np.searchsorted(market.stroke_owner, shock, side="right") - first
    row = _ragged(count, first)
    owner = np.repeat(shock, count)
    delivered = market.shocks.number("stroke_mm")
    mm = market.stroke_mm.take(row)
    may_be = (mm.low <= delivered.top[owner] + SAME) & (mm.high >= delivered.low[owner] - SAME)
    # Of several settings that a measured or blank stroke admits, any may be the delivered one.
    which = np.repeat(np.arange(len(count)), count)
    several = np.bincount(which, weights=may_be, minlength=len(count))[which] > 1
    changed = Fact.bounds((~may_be).astype(float), (~may_be | several).astype(float))
    job = market.works["change stroke"]
    flat = {
        "stroke_mm": mm,
        "stroke_changed": changed,
        "stroke_price": Fact(np.zeros(len(row))),
        "stroke_labour": job.fact("labour", changed.low, changed.high),
        "stroke_days": job.fact("days", changed.low, changed.high),
        "stroke_workshop": job.fact("workshop", changed.low, changed.high),
        "stroke_mass_g": Fact(np.zeros(len(row))),
    }
    return Options(count, row, {}, flat)


def _tunes(market: Market, shock: Ints) -> Options:
    """As delivered; the services for its damper family; the fitted shock serviced; made."""
    family = market.shocks.text("damper").codes[shock].astype(np.int64)
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
    most = market.shocks.number("volume_spacers_max").take(shock)
    may_take = np.floor(most.top).astype(np.int64)
    kinds = facts["shock_spring_kind"]
    unknown = np.zeros(len(shock), bool) if kinds.loose is None else kinds.loose
    spacers = np.minimum(may_take + 1, len(spacer_rows))
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
    return Options(count, row, table, _spacer_cost(market, shock, owner, row))


def _spacer_cost(market: Market, shock: Ints, owner: Ints, row: Ints) -> dict[str, Fact]:
    """Price and labour of the spring settings `row`; `owner` says which shock's each is. For
    spacers they depend on the shock, and on how many are in the one fitted now."""
    springs = market.springs.facts
    spacers = springs["spacers"].low[row]
    air = springs["is_coil"].low[row] == 0
    each = market.shocks.number("volume_spacer_price").take(shock)
    now = market.bike.present_shock
    mine = _is_present(market, shock)[owner]
    least = np.where(mine, now.volume_spacers.low if now else 0.0, 0.0)
    most = np.where(mine, now.volume_spacers.high if now else 0.0, 0.0)
    # Blank: spacers are not priced apart; the job of setting them is.
    low, high = (np.where(each.is_known, end, 0.0)[owner] for end in (each.low, each.top))
    coil = springs["price"].take(row)
    job = market.works["set volume spacers"]
    surely = air & ((spacers < least) | (spacers > most))
    maybe = air & ((spacers != least) | (spacers != most))
    bought = springs["bought"].low[row] == 1
    return {
        "spring_price": Fact.bounds(
            np.where(air, np.maximum(spacers - most, 0.0) * low, coil.low),
            np.where(air, np.maximum(spacers - least, 0.0) * high, coil.high),
        ),
        "spring_added": Fact.bounds(
            np.where(air, np.maximum(spacers - most, 0.0), bought),
            np.where(air, np.maximum(spacers - least, 0.0), bought),
        ),
        "spring_changed": Fact.bounds(*((one | bought).astype(float) for one in (surely, maybe))),
        # Only spacers are set and only coils are fitted, so the two jobs never add up.
        "spring_labour": springs["labour"].take(row).plus(job.fact("labour", surely, maybe)),
        "spring_work_days": springs["work_days"].take(row).plus(job.fact("days", surely, maybe)),
        "spring_workshop": springs["workshop"].take(row).plus(job.fact("workshop", surely, maybe)),
    }


def _is_present(market: Market, shock: Ints) -> Mask:
    present: Mask = shock == (-1 if market.present is None else market.present)
    return present


def _clocking(count: int) -> Options:
    table = {"clocking_turned": Fact(np.array([0.0, 1.0]))}
    return Options(np.full(count, 2), np.tile(np.arange(2), count), table)
