"""A question laid against a catalogue: the market of shocks, and the facts of any of them."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import (
    Ints,
    Mask,
    Table,
    TextColumn,
)
from recommender.catalogue.one_row import one_row
from recommender.catalogue.question import Question
from recommender.facts import words
from recommender.facts.fields import choice_of, only
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.rules import registry
from recommender.rules.asked import scalars
from recommender.rules.choices import Market, converted
from recommender.rules.fact import Fact
from recommender.rules.fitted import fitted_shock
from recommender.rules.hardware import WIDTH_EXCESS
from recommender.rules.kit_options import kit_options
from recommender.rules.mounting import YES
from recommender.rules.size import ApprovedSizes
from recommender.rules.spring_options import spring_options
from recommender.rules.stroke_options import stroke_options
from recommender.rules.tune_options import services_by_shock, tune_options
from recommender.rules.work import What, works

FITTED = "the fitted shock"
"""Key of the shock on the bike now, where its facts are known."""

_NOT_COUNTED = Quantity(0.0, 0.0)
WHATS: tuple[What, ...] = ("labour", "days")


def open_market(question: Question, catalogue: Catalogue) -> Market:
    """The catalogue as the question sees it. Raises BadInput for a currency without a rate and
    for a fitted shock that the catalogue does not know."""
    bike, rider, wishes = question.bike, question.rider, question.wishes
    rates = _rates(question, catalogue)
    fitted = fitted_shock(question, catalogue)
    shocks = catalogue.shocks
    present = None
    if fitted is not None:
        shocks = shocks.append(_own_row(shocks, fitted))
        present = len(shocks) - 1
    # Of parts that are alike in all that counts the first is taken: the first by name, not by row.
    kits, services, springs = map(
        _by_key, (catalogue.kits, catalogue.services, catalogue.springs)
    )
    job_works = works(catalogue.jobs, rider.tools, rates)
    now = bike.present_shock
    owner, stroke = stroke_options(shocks)
    return Market(
        shocks=shocks,
        present=present,
        scalars=MappingProxyType(
            scalars(
                bike, rider, wishes, catalogue.tune_classes, catalogue.tastes, fitted,
                _limit_bases(shocks),
            )
        ),
        kits=kit_options(kits, now, fitted, bike, job_works, rates),
        tunes=tune_options(
            shocks, services, present, now.condition if now else None, job_works, rates
        ),
        springs=spring_options(
            springs,
            now if fitted and fitted.spring_kind != "air" else None,
            job_works, rates,
        ),
        stroke_owner=owner,
        stroke_mm=stroke,
        works=job_works,
        services_of=services_by_shock(shocks, services),
        bike=bike,
        shock_price=_free_if_fitted(converted(shocks, rates), present),
        order_minimum=_minimums(catalogue.suppliers, rates),
        currency=wishes.currency,
    )  # fmt: skip


def _limit_bases(shocks: Table) -> frozenset[str | None]:
    """What the shocks' mass limits are stated on."""
    basis, limited = shocks.choice("rider_mass_limit_basis"), shocks.number("rider_mass_limit_kg")
    codes = np.unique(basis.codes[limited.is_known]).tolist()
    return frozenset(None if code < 0 else basis.values[code] for code in codes)


def _own_row(shocks: Table, fitted: Shock) -> Table:
    """The fitted shock as a one-row table with the catalogue's columns, under its own key."""
    kept = fitted.model_copy(update={"part_number": FITTED, "supplier": "", "source": "the bike"})
    return one_row(kept, shocks)


def _free_if_fitted(price: Fact, present: int | None) -> Fact:
    if present is None:
        return price
    low, high = price.low.copy(), price.high.copy()
    low[present] = high[present] = 0.0
    return Fact.bounds(low, high)


def _by_key(table: Table) -> Table:
    """The table's rows in the order of their names."""
    keys = table.keys()
    return table.take(np.array(sorted(range(len(keys)), key=keys.__getitem__), np.int64))


def _rates(question: Question, catalogue: Catalogue) -> Mapping[str, float]:
    """Rate of every currency in the catalogue into the wishes' own."""
    own = question.wishes.currency
    rates = {own: 1.0, **question.wishes.rates}
    problems = []
    tables = (
        catalogue.shocks, catalogue.kits, catalogue.services, catalogue.springs, catalogue.jobs,
        catalogue.suppliers,
    )  # fmt: skip
    for table in tables:
        for code in table.text("currency").words:
            if code not in rates:
                rates[code] = 1.0
                problems.append(
                    Problem(
                        "the question",
                        f"{table.file or table.name} has prices in {code}: give the rate from "
                        f"{code} to {own}",
                        column="wishes.rates", value=code,
                    )
                )  # fmt: skip
    if problems:
        raise BadInput(problems)
    return rates


def _minimums(suppliers: Table, rates: Mapping[str, float]) -> dict[str, float]:
    minimum = suppliers.number("order_minimum")
    currency = suppliers.text("currency")
    return {
        key: float(minimum.low[row]) * rates[currency[row]]
        for row, key in enumerate(suppliers.keys())
        if bool(minimum.is_known[row]) and minimum.low[row] > 0
    }


def variants(market: Market, rows: Ints) -> tuple[Ints, Mask]:
    """Each of those shocks as fitted now, and end for end where neither manual says no."""
    codes = market.shocks.choice("end_for_end").codes[rows]
    may = codes != words.YES_NO.index("no")
    if market.bike.allows.end_for_end == "no":
        may[:] = False
    count = 1 + may.astype(np.int64)
    shock = np.repeat(rows, count)
    turned = np.zeros(len(shock), bool)
    turned[np.cumsum(count)[may] - 1] = True
    return shock, turned


def owner_facts(market: Market, shock: Ints, turned: Mask) -> dict[str, Fact]:
    """Facts of shocks as mounted: their columns, the mounts as they meet them, and their cost."""
    facts = {
        f"shock_{name}": market.shock_fact(f"shock_{name}").take(shock)
        for name, column in market.shocks.columns.items()
        if not isinstance(column, TextColumn) and name not in ("price", "delivery_days", "stock")
    }
    facts |= _silent(facts)
    facts["shock_length_mm"] = _bent(facts["shock_length_mm"], market)
    facts["shock_reversed"] = Fact(turned.astype(np.float64))
    for end, other in (("head", "shaft"), ("shaft", "head")):
        for name in ("gap_mm", "bolt_mm", "carbon_lugs", "grip_mm"):
            facts[f"shock_{end}_{name}"] = _meets(market, turned, end, other, name)
    facts |= _cost(market, shock)
    return facts


def _bent(length: Fact, market: Market) -> Fact:
    """The length with a corner wherever the margins of size turn inside what it may be."""
    if length.loose is None:
        return length
    low, high = length.low, length.high
    sizes: ApprovedSizes = market.scalars["bike_sizes"].corners[0]
    inner = [turn for turn in sizes.turns() if ((low < turn) & (turn < high)).any()]
    return Fact(low, (*(np.clip(turn, low, high) for turn in inner), high), length.loose)


def _silent(facts: Mapping[str, Fact]) -> dict[str, Fact]:
    """Facts that a shock of another kind does not have: blank there is nothing unknown."""
    out = {}
    for name, mark in only(Shock).items():
        fact = facts[f"shock_{name}"]
        if fact.loose is None:
            continue
        kind, choice = facts[f"shock_{mark.field}"], choice_of(Shock.model_fields[mark.field])
        if choice is None:
            raise ValueError(f"{mark.field} is no choice of words")
        moot = kind.low != registry.code(choice.values, mark.word)
        if kind.loose is not None:
            moot &= ~kind.loose
        if (fact.loose & moot).any():
            others = tuple(np.where(moot, fact.low, one) for one in fact.others)
            loose = fact.loose & ~moot
            out[f"shock_{name}"] = Fact(fact.low, others, loose) if loose.any() else Fact(fact.low)
    return out


def _meets(market: Market, turned: Mask, end: str, other: str, name: str) -> Fact:
    """A fact of the frame's mount that this end of the shock meets."""
    corners = [_mount_corners(market, one, name) for one in (end, other)]
    most = max(len(one) for one in corners)
    straight, swapped = (one + one[-1:] * (most - len(one)) for one in corners)
    made = [np.where(turned, b, a) for a, b in zip(straight, swapped, strict=True)]
    if most == 1:
        return Fact(made[0])
    loose = np.where(turned, len(corners[1]) > 1, len(corners[0]) > 1)
    return Fact(made[0], tuple(made[1:]), loose)


def _mount_corners(market: Market, end: str, name: str) -> list[float]:
    mount = getattr(market.bike, end)
    if name == "grip_mm" and not mount.grip_mm.known:
        # The bolt that is there reaches across the widest sleeve its own gap takes.
        return [mount.gap_mm.high + WIDTH_EXCESS]
    return list(market.scalars[f"bike_{end}_{name}"].corners)


def _cost(market: Market, shock: Ints) -> dict[str, Fact]:
    fit, turn = market.works["fit shock"], market.works["turn eyelet"]
    kept = np.zeros(len(market.shocks), bool)
    if market.present is not None:
        kept[market.present] = True
    axis = market.shocks.choice("eyelet_axis").codes
    turnable = market.shocks.choice("eyelet_turnable").codes
    wanted = market.bike.eyelet_axis
    want = -1 if wanted is None else words.AXES.index(wanted)
    unsure = (axis < 0) | (want < 0) | (turnable < 0)
    turns = ~unsure & (axis != want) & (turnable == YES) & ~kept
    may = unsure & ~kept & ~((axis == want) & (axis >= 0)) & (turnable != 0)
    labour, days = (
        fit.fact(what, ~kept).plus(turn.fact(what, turns, turns | may)) for what in WHATS
    )
    delivery = market.shocks.number("delivery_days")
    delivered = Fact.bounds(*(np.where(kept, 0.0, end) for end in (delivery.low, delivery.top)))
    work_low = np.where(kept, 0.0, float(fit.workshop))
    work_low = np.maximum(work_low, turns * float(turn.workshop))
    work_high = np.maximum(work_low, may * float(turn.workshop))
    return {
        "shock_eyelet_turned": Fact.bounds(turns * 1.0, (turns | may) * 1.0).take(shock),
        "shock_price": market.shock_price.take(shock),
        "shock_labour": labour.take(shock),
        "shock_days": delivered.plus(days).take(shock),
        "shock_workshop": Fact.bounds(work_low, work_high).take(shock),
    }
