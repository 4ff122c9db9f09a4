"""What may be chosen for a shock, and the facts that each choice brings.

A `Market` is the question laid against the catalogue: every shock (the fitted one last, where
known), every kit, service and spring in the wishes' currency, and what else may be chosen:
reusing the sleeves on the bike, keeping the shock with or without a service, and one part of each
group *made to specification*, which breaks no rule but that nobody offers it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Floats, Ints, NumberColumn, Table
from recommender.catalogue.settings import SAME, listed_settings
from recommender.facts import words
from recommender.facts.bike import Bike, PresentShock, Sleeve
from recommender.facts.fields import blanks
from recommender.facts.parts import NO_LIMIT, Shock
from recommender.facts.quantity import Quantity
from recommender.rules.asked import UNLIMITED
from recommender.rules.fact import Fact, Scalar
from recommender.rules.hardware import BOLTS, NO_BUSHING, SLEEVE
from recommender.rules.option_table import OptionTable
from recommender.rules.work import What, Work

NOT_SAID = -1.0
MADE, REUSED_HEAD, REUSED_SHAFT, DELIVERED, SERVICED = (
    "made to specification", "the sleeve now at the head end", "the sleeve now at the shaft end",
    "as delivered", "serviced, tune unchanged",
)  # fmt: skip
COEFFICIENTS = (
    "rebound_low_n_s_per_m", "rebound_high_n_s_per_m", "compression_low_n_s_per_m",
    "compression_high_n_s_per_m",
)  # fmt: skip
OF_TUNE = ("compression_class", "rebound_class", "lockout_class", *COEFFICIENTS)
"""Columns of the shocks that their tune as delivered repeats."""
MOST_SPACERS = 8
SPACERS = " volume spacers"
"""End of the name of an air shock's spring, behind their number."""


@dataclass(frozen=True)
class Market:
    """The catalogue as this question sees it; prices in the wishes' currency."""

    shocks: Table
    present: int | None
    scalars: Mapping[str, Scalar]
    kits: OptionTable
    tunes: OptionTable
    springs: OptionTable
    stroke_owner: Ints
    stroke_mm: Fact
    works: Mapping[str, Work]
    services_of: Mapping[int, Ints]
    bike: Bike
    shock_price: Fact
    order_minimum: Mapping[str, float]
    currency: str
    shock_facts: dict[str, Fact] = field(default_factory=dict)

    @cached_property
    def stroke_start(self) -> Ints:
        return np.searchsorted(self.stroke_owner, np.arange(len(self.shocks) + 1))

    def shock_fact(self, name: str) -> Fact:
        """A shock column as a fact; blanks that mean 'no limit stated' are filled."""
        if name not in self.shock_facts:
            own = name.removeprefix("shock_")
            column = self.shocks.columns[own]
            if blanks(Shock).get(own) == NO_LIMIT and isinstance(column, NumberColumn):
                column = _fill_unknown(column, UNLIMITED)
            self.shock_facts[name] = Fact.of(column)
        return self.shock_facts[name]


def _fill_unknown(column: NumberColumn, value: float) -> NumberColumn:
    if column.known is None:
        return column
    low = np.where(column.known, column.low, value)
    return NumberColumn.of(low, np.where(column.known, column.top, value))


def converted(table: Table, rates: Mapping[str, float], name: str = "price") -> Fact:
    """A money column in the wishes' currency."""
    currency = table.text("currency")
    rate = np.array([rates[code] for code in currency.words])[currency.codes]
    column = table.number(name)
    return Fact.bounds(column.low * rate, column.top * rate)


def kit_options(kits: Table, present: PresentShock | None, bike: Bike, works: Mapping[str, Work],
                rates: Mapping[str, float]) -> OptionTable:  # fmt: skip
    """Every kit; then, where a shock is fitted, its two sleeves; then one made to specification."""
    size = len(kits)
    bushing = kits.choice("bushing").codes
    pressed = bushing == words.BUSHINGS.index("pressed metal-backed")
    # A blank bushing may be one that is pressed in.
    maybe = pressed | (bushing < 0)
    press = works["press bushing"]
    extra = [*_reused(present, bike), _made_kit()]
    facts: dict[str, Fact] = {}
    for name in (
        "kind", "width_mm", "bore_mm", "sleeve_diameter_mm", "bushing", "bushing_diameter_mm",
        "thread", "protrusion_mm", "mass_g",
    ):  # fmt: skip
        facts[name] = Fact.join([Fact.of(kits.columns[name]), *(one[name] for one in extra)])
    facts["price"] = Fact.join([converted(kits, rates), *(one["price"] for one in extra)])
    none = _zeros(len(extra))
    delivery = Fact.of(kits.columns["delivery_days"])
    facts["days"] = Fact.join([delivery.plus(press.fact("days", pressed, maybe)), *none])
    facts["labour"] = Fact.join([press.fact("labour", pressed, maybe), *none])
    facts["workshop"] = Fact.join([press.fact("workshop", pressed, maybe), *none])
    facts["pressed"] = _pad(pressed.astype(float), len(extra))
    facts["worn"] = Fact.join([Fact(np.zeros(size)), *(one["worn"] for one in extra)])
    facts["made"] = Fact(np.array([0.0] * (size + len(extra) - 1) + [1.0]))
    labels = [*kits.keys(), *(REUSED_HEAD, REUSED_SHAFT)[: len(extra) - 1], MADE]
    return OptionTable(
        tuple(labels), facts,
        (*kits.text("supplier").texts(), *[""] * len(extra)),
        np.concatenate([_stock(kits), [1.0] * (len(extra) - 1), [np.inf]]),
        (*kits.text("pairs_with").texts(), *[""] * len(extra)),
    )  # fmt: skip


def _stock(table: Table) -> Floats:
    column = table.number("stock")
    return np.where(column.is_known, column.top, np.inf)


def _zeros(count: int) -> list[Fact]:
    return [Fact(np.zeros(count))] if count else []


def _one(value: float) -> Fact:
    return Fact(np.array([value]))


def _reused(present: PresentShock | None, bike: Bike) -> list[dict[str, Fact]]:
    """The hardware on the bike now, first what is at the head end."""
    if present is None:
        return []
    bolts = bike.mount == "trunnion"
    return [
        _sleeve(present.head_sleeve, bike, BOLTS if bolts else SLEEVE),
        _sleeve(present.shaft_sleeve, bike, SLEEVE),
    ]


def _sleeve(sleeve: Sleeve, bike: Bike, kind: int) -> dict[str, Fact]:
    """A trunnion frame's own bolts count as good; a sleeve's wear must be said."""
    worn = _word(sleeve.condition, words.WEAR) if kind == SLEEVE else _one(0.0)
    return {
        "kind": _one(float(kind)),
        "width_mm": _quantity(sleeve.width_mm),
        "bore_mm": _quantity(sleeve.bore_mm),
        "sleeve_diameter_mm": _quantity(sleeve.diameter_mm),
        "bushing": _one(float(NO_BUSHING)),
        "bushing_diameter_mm": _one(8.0),
        "thread": _word(bike.head.trunnion_thread, words.THREADS),
        "protrusion_mm": _quantity(bike.head.bolt_protrusion_mm),
        "mass_g": _quantity(sleeve.mass_g),
        "price": _one(0.0),
        "worn": worn,
    }


def _made_kit() -> dict[str, Fact]:
    names = (
        "kind", "width_mm", "bore_mm", "sleeve_diameter_mm", "bushing", "bushing_diameter_mm",
        "thread", "protrusion_mm", "mass_g", "price", "worn",
    )  # fmt: skip
    return dict.fromkeys(names, _one(0.0))


def _quantity(value: Quantity) -> Fact:
    return Fact.bounds(np.array([value.low]), np.array([value.high]))


def _word(word: str | None, accepted: tuple[str, ...]) -> Fact:
    code = NOT_SAID if word is None else float(accepted.index(word))
    return Fact.of(ChoiceColumn(np.array([code], np.int16), accepted))


def tune_options(
    shocks: Table, services: Table, present: int | None, condition: str | None,
    works: Mapping[str, Work], rates: Mapping[str, float],
) -> OptionTable:  # fmt: skip
    """A row for each shock as delivered, each service, the fitted shock serviced, and one made."""
    count, offers = len(shocks), len(services)
    keep = 0 if present is None else 1
    facts: dict[str, Fact] = {}
    rows = np.array([present], np.int64) if present is not None else np.array([], np.int64)
    for name, accepted in (
        ("compression_class", words.CLASSES), ("rebound_class", words.CLASSES),
        ("lockout_class", words.LOCKOUTS),
    ):  # fmt: skip
        delivered = Fact.of(shocks.columns[name])
        made = Fact.of(ChoiceColumn(np.zeros(1, np.int16), accepted))
        facts[name] = Fact.join(
            [delivered, Fact.of(services.columns[name]), delivered.take(rows), made]
        )
    for name in COEFFICIENTS:
        column = shocks.number(name)
        low = np.where(column.is_known, column.low, np.nan)
        high = np.where(column.is_known, column.top, np.nan)
        measured = Fact.bounds(low, high)
        rest = Fact(np.full(offers, np.nan))
        facts[name] = Fact.join([measured, rest, measured.take(rows), Fact(np.array([np.nan]))])
    send, service = works["send for revalve"], works["service shock"]
    zero, one = np.zeros(count), np.ones(offers)
    facts["price"] = Fact.join([Fact(zero), converted(services, rates), *_zeros(keep + 1)])
    there = Fact.of(services.columns["delivery_days"])
    away = there.plus(Fact.of(services.columns["work_days"])).plus(send.fact("days", one))
    kept = np.ones(keep)
    revalve: tuple[tuple[What, Fact], ...] = (
        ("days", away), ("labour", send.fact("labour", one)), ("workshop", Fact(one)),
    )  # fmt: skip
    for what, made in revalve:
        facts[what] = Fact.join([Fact(zero), made, service.fact(what, kept), _one(0.0)])
    facts["mass_g"] = Fact(np.broadcast_to(0.0, count + offers + keep + 1))
    facts["made"] = Fact(np.concatenate([np.zeros(count + offers + keep), [1.0]]))
    broken = np.zeros(count + offers + keep + 1)
    if present is not None and condition == "broken":
        broken[present] = 1.0
    facts["leaves_broken"] = Fact(broken)
    labels = ([DELIVERED] * count) + services.keys() + [SERVICED] * keep + [MADE]
    blank = [""] * count
    return OptionTable(
        tuple(labels), facts, (*blank, *services.text("supplier").texts(), *[""] * (keep + 1)),
        np.broadcast_to(np.inf, len(labels)), ("",) * len(labels),
    )  # fmt: skip


def spring_options(springs: Table, fitted: PresentShock | None, works: Mapping[str, Work],
                   rates: Mapping[str, float]) -> OptionTable:  # fmt: skip
    """0 to MOST_SPACERS spacers (air), of which a few grams count as nothing; then every coil, the
    coil fitted now (None: there is none), and one made."""
    spacers = MOST_SPACERS + 1
    keep = 0 if fitted is None else 1
    coils = len(springs)
    head = np.zeros(spacers)
    facts: dict[str, Fact] = {"spacers": _pad(np.arange(float(spacers)), coils + keep + 1)}
    for name in (
        "rate_n_per_mm", "inner_diameter_mm", "outer_diameter_mm", "free_length_mm",
        "usable_travel_mm", "mass_g",
    ):  # fmt: skip
        column = Fact.of(springs.columns[name])
        facts[name] = Fact.join([Fact(head), column, *_zeros(keep + 1)])
    if fitted is not None:
        # The coil that is on the shock sits on it and does not bind; rate and mass are asked about.
        for name, told in (
            ("rate_n_per_mm", fitted.spring_rate_n_per_mm), ("mass_g", fitted.spring_mass_g),
        ):  # fmt: skip
            column = Fact.of(springs.columns[name])
            facts[name] = Fact.join([Fact(head), column, _quantity(told), _one(0.0)])
    fit = works["fit spring"]
    facts["price"] = Fact.join([Fact(head), converted(springs, rates), *_zeros(keep + 1)])
    facts["days"] = Fact.join(
        [Fact(head), Fact.of(springs.columns["delivery_days"]), *_zeros(keep + 1)]
    )
    whats: tuple[What, ...] = ("labour", "workshop", "days")
    for what in whats:
        work = fit.fact(what, np.ones(coils))
        name = "work_days" if what == "days" else what
        facts[name] = Fact.join([Fact(head), work, *_zeros(keep + 1)])
    facts["is_coil"] = Fact(np.concatenate([head, np.ones(coils + keep + 1)]))
    facts["made"] = Fact(np.concatenate([np.zeros(spacers + coils + keep), [1.0]]))
    facts["bought"] = Fact(np.concatenate([head, np.ones(coils), np.zeros(keep), [1.0]]))
    # A coil made to specification, or on the shock already, has the dimensions the shock asks for.
    facts["fits"] = Fact(np.concatenate([np.zeros(spacers + coils), np.ones(keep + 1)]))
    facts["fitted"] = Fact(np.concatenate([np.zeros(spacers + coils), [1.0] * keep, [0.0]]))
    labels = [f"{n}{SPACERS}" for n in range(spacers)] + springs.keys()
    labels += ["the spring now fitted"] * keep + [MADE]
    size = len(labels)
    return OptionTable(
        tuple(labels), facts,
        (*[""] * spacers, *springs.text("supplier").texts(), *[""] * (keep + 1)),
        np.concatenate([np.full(spacers, np.inf), _stock(springs), [np.inf] * (keep + 1)]),
        ("",) * size,
    )  # fmt: skip


def _pad(values: Floats, more: int) -> Fact:
    return Fact(np.concatenate([values, np.zeros(more)]))


def services_by_shock(shocks: Table, services: Table, present: int | None) -> dict[int, Ints]:
    """Damper family code -> rows of the tune table that serve it (after the delivered rows)."""
    families = shocks.text("damper")
    index = {word: code for code, word in enumerate(families.words) if word}
    found: dict[int, list[int]] = {}
    for row, family in enumerate(services.text("damper").texts()):
        if family in index:
            found.setdefault(index[family], []).append(len(shocks) + row)
    return {code: np.array(rows, np.int64) for code, rows in found.items()}


def stroke_options(shocks: Table) -> tuple[Ints, Fact]:
    """Shock row and stroke of every setting, by row then stroke: those its manual lists and the
    delivered one. An imprecise delivered stroke is loose unless a listed setting lies in it."""
    owner, listed = listed_settings(shocks)
    delivered = shocks.number("stroke_mm")
    low, top = delivered.low, delivered.top
    inside = (listed >= low[owner] - SAME) & (listed <= top[owner] + SAME)
    told = np.zeros(len(shocks), bool)
    told[owner[inside]] = True
    added = np.flatnonzero(~told)
    owner = np.concatenate([owner, added])
    lowest = np.concatenate([listed, low[added]])
    highest = np.concatenate([listed, top[added]])
    order = np.lexsort((lowest, owner))
    owner, lowest, highest = owner[order], lowest[order], highest[order]
    fresh = np.ones(len(owner), bool)
    fresh[1:] = (np.diff(owner) != 0) | (np.diff(lowest) > SAME) | (highest > lowest)[1:]
    return owner[fresh], Fact.bounds(lowest[fresh], highest[fresh])
