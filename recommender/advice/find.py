"""A shock found somewhere, used or not, judged like a row of the catalogue."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Any

import numpy as np
from pydantic import Field

from recommender.answer.answer import Case
from recommender.answer.bundle import completion_of, over_years
from recommender.answer.cautions import LIMITS
from recommender.answer.numbers import UNKNOWN
from recommender.answer.records import SCHEMA, BundleRecord, Record, State, Turned
from recommender.catalogue.document import canonical, validate
from recommender.catalogue.one_row import one_row
from recommender.facts.bike import PresentShock
from recommender.facts.parts import Key, Shock, YesNo
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import Quantity
from recommender.rules.choices import DELIVERED, MADE, SERVICED
from recommender.rules.fitted import fitted_shock
from recommender.search.verdicts import FITS, RULED_OUT, STATES

FOUND = "the find"
PRICE_MOST, DAYS_MOST = 100_000.0, 365.0
"""The bounds of those two columns."""
INSPECTION = (
    "Stroke: air out (coil: spring off), push it together fully and measure the length lost; it "
    "must be the stroke that is stated, or a travel spacer is inside.",
    "Air: pumped to riding pressure it holds overnight, within a few psi.",
    "Stays compressed with its air let out: the negative chamber is charged. Unscrew nothing; a "
    "workshop's matter.",
    "Shaft: no scratch that a fingernail feels, no worn coating, no oil on it after ten strokes.",
    "Damper: rebound changes over the adjuster's range, no gurgling, no dead first millimetres.",
    "Eyes: bushing and eye not oval, threads of a trunnion head clean and whole.",
    "Inside: the air can opened by a workshop, volume spacers counted, tune read off the stack or "
    "the full part number.",
    "Spares: seals, shaft and can still to be had for this model and year; ask before buying.",
    "Proof of purchase, and the serial number still on it.",
)
"""What to look at before a used shock is paid for. Common practice, no source."""


class Find(Shock):
    """The facts of a find: a shock's, all but the size optional; and whether it was ridden."""

    part_number: Key = FOUND
    used: YesNo = Field("yes", description="ridden before: a service is counted in")


class YearCost(Record):
    """One way to go on riding: what it costs now and per year of assumed use, None where not every
    price is told; `least`: what is told of it."""

    what: str
    shock: str
    state: State
    price: float | None
    price_ends: tuple[float, float] | None = None
    least: float
    years: Annotated[float, Field(gt=0)]
    per_year: float | None
    per_year_ends: tuple[float, float] | None = None


class FindAccount(Record):
    """The verdict on a find, its bundle or what it breaks, and what else the money could do."""

    schema_version: str = SCHEMA
    shock: str
    state: State
    asked: str
    service_added: float
    currency: str
    bundle: BundleRecord | None
    turned: Turned | None
    ways: tuple[YearCost, ...]
    inspection: tuple[str, ...]
    cautions: tuple[str, ...]


def find_of(raw: dict[str, Any], file: str) -> Find:
    """The find told by a document's fields. Raises BadInput."""
    facts, problems = canonical(raw, Find, "find", file)
    found, more = validate(facts, Find, "find", file)
    known = found is not None and found.stroke_mm.known and found.length_mm.known
    if found is not None and known and found.stroke_mm.low > found.length_mm.high / 2:
        message = f"stroke {found.stroke_mm.low:g} mm is over half the length"
        more = [*more, Problem(file, message, column="find.stroke_mm")]
    if found is None or problems or more:
        raise BadInput([*problems, *more])
    return found


def judged(case: Case, found: Find, years: float | None = None) -> FindAccount:
    """The find laid beside the catalogue's shocks; `years`: use of a kept or used shock instead of
    the wishes'. BadInput."""
    service = case.market.works["service shock"]
    used = found.used == "yes"
    added = service.labour if used else (0.0, 0.0)
    name = _own_name(found.part_number, case.catalogue.shocks.keys())
    wishes = case.question.wishes
    if years is not None:
        wishes = wishes.model_copy(update={"years_after_service": years})
    rate = {wishes.currency: 1.0, **wishes.rates}.get(found.currency)
    if rate is None:
        message = f"[wishes.rates] has no rate from {found.currency} to {wishes.currency}"
        raise BadInput([Problem("the find", message, column="currency", value=found.currency)])
    offered = found.model_copy(
        update={
            "part_number": name, "currency": wishes.currency,
            "price": _moved(found.price, rate, added, PRICE_MOST),
            "delivery_days": _moved(
                found.delivery_days, 1.0, service.days if used else (0.0, 0.0), DAYS_MOST
            ),
        }
    )  # fmt: skip
    shocks = case.catalogue.shocks
    laid = Case(
        replace(case.question, wishes=wishes),
        replace(case.catalogue, shocks=shocks.append(one_row(offered, shocks))),
    )
    state = int(laid.verdicts.state[laid.row(name)])
    bundle = laid.bundle_of(name)[0] if state != RULED_OUT else None
    if bundle is not None and used:
        lasts = over_years(bundle.price, bundle.price_ends, wishes.years_after_service)
        bundle = bundle.model_copy(update=lasts)
    return FindAccount(
        shock=name,
        state=STATES[state],
        asked=_asked(found),
        service_added=round(sum(added) / 2, 2),
        currency=wishes.currency,
        bundle=bundle,
        turned=laid.turned_of(name) if state != FITS else None,
        ways=_ways(laid, bundle, sum(added) / 2 if not found.price.known else 0.0),
        inspection=INSPECTION if used else (),
        cautions=(LIMITS, *(bundle.cautions if bundle else ())),
    )


def _own_name(name: str, taken: Sequence[str]) -> str:
    while name in taken:
        name = f"found {name}"[:80]
    return name


def _moved(value: Quantity, rate: float, added: tuple[float, float], most: float) -> Quantity:
    """The amount in another currency and with something added; unknown stays unknown."""
    if not value.known:
        return value
    low, high = (
        min(end * rate + more, most)
        for end, more in zip((value.low, value.high), added, strict=True)
    )
    return Quantity(low, high, "measured" if value.kind == "exact" and low < high else value.kind)


def _asked(found: Find) -> str:
    price = found.price
    if not price.known:
        return UNKNOWN
    told = f"{price.low:g}" if price.low == price.high else f"{price.low:g} to {price.high:g}"
    return f"{told} {found.currency}"


def _ways(case: Case, bundle: BundleRecord | None, apart: float) -> tuple[YearCost, ...]:
    """Keep, keep and service, the find, and the best of the catalogue; cheapest per year first,
    what is not known last. `apart`: a service of the find that no told price holds."""
    out = [] if case.market.present is None else _keeping(case, case.market.present)
    if bundle is not None:
        out.append(_cost("the find", bundle, bundle.state != "open", apart))
    mine = "" if bundle is None else bundle.shock
    for place, best in enumerate(case.order.firsts):
        if best.shock != case.market.present and best.name != mine:
            what = "replace by the catalogue's first"
            out.append(_cost(what, case.record(place), best.sure))
            break
    unknown = float("inf")
    return tuple(
        sorted(out, key=lambda way: (unknown if way.per_year is None else way.per_year, way.what))
    )


def _keeping(case: Case, present: int) -> list[YearCost]:
    """The best bundle of each way to keep the shock; a service is told of even if ruled out."""
    words = {DELIVERED: "keep what you have", SERVICED: "service what you have"}
    best: dict[str, YearCost] = {}
    place = case.order.places.get(present)
    for which, ranked in enumerate(() if place is None else case.order[place]):
        label = completion_of(ranked).label("tune")
        what = words.get(label, "keep it, with a revalve")
        if label != MADE and what not in best and place is not None:
            best[what] = _cost(what, case.record(place, which), ranked.bundle.sure)
    out = [*best.values()]
    if words[SERVICED] not in best and (found := _serviced(case)) is not None:
        record, sure = found
        out.append(_cost(words[SERVICED], record, sure))
    elif words[SERVICED] not in best:
        price = round(sum(case.market.works["service shock"].labour) / 2, 2)
        years = case.question.wishes.years_after_service
        out.append(
            YearCost(
                what=words[SERVICED], shock=case.keys[present], state="ruled out", price=price,
                least=price, years=years, per_year=round(price / years, 2),
            )
        )  # fmt: skip
    return out


def _serviced(case: Case) -> tuple[BundleRecord, bool] | None:
    """The best bundle in which the fitted shock is serviced, and whether it fits for sure: that of
    the same question were the shock broken. None: no such bundle meets every must."""
    question, shock = case.question, fitted_shock(case.question, case.catalogue)
    broken = {"facts": shock, "condition": "broken"}
    now = (question.bike.present_shock or PresentShock()).model_copy(update=broken)
    bike = question.bike.model_copy(update={"present_shock": now})
    nothing = np.array([], np.int64)
    alone = Case(
        replace(question, bike=bike),
        replace(case.catalogue, shocks=case.catalogue.shocks.take(nothing)),
    )
    for ranked in alone.order:
        for which, one in enumerate(ranked):
            if completion_of(one).label("tune") == SERVICED:
                return alone.record(0, which), one.bundle.sure
    return None


def _cost(what: str, record: BundleRecord, sure: bool, apart: float = 0.0) -> YearCost:
    told = "price" not in record.blank
    return YearCost(
        what=what, shock=record.shock, state="fits" if sure else "open",
        price=record.price if told else None, price_ends=record.price_ends if told else None,
        least=round(record.least_price + apart, 2), years=record.years,
        per_year=record.per_year if told else None,
        per_year_ends=record.per_year_ends if told else None,
    )  # fmt: skip
