"""A ranked bundle as a record: what to buy, what it does, what it costs, how sure it is."""

import math
from typing import Literal

import numpy as np

from recommender.answer import cautions
from recommender.answer.records import BundleRecord, Doubt, JobLine, Part, Points, Span
from recommender.answer.wording import (
    fact_words,
    may_break,
    number,
    shortfall,
    span,
    tell,
    unit_of,
    unit_words,
)
from recommender.catalogue.columns import Ints, Mask, Table
from recommender.facts.wishes import Wishes
from recommender.ranking.order import Ranked
from recommender.rules.choices import DELIVERED, MADE, REUSED_HEAD, REUSED_SHAFT, SERVICED, Market
from recommender.rules.hardware import BOLTS
from recommender.rules.mounting import AIR, COIL
from recommender.rules.registry import PARTS, RULES, Rule
from recommender.search.completion import Completion
from recommender.search.whole import completion_sets

How = Literal["buy", "reuse", "keep", "made"]

FIGURES_SHOWN = (
    "travel_mm", "sag_mm", "sag_percent", "wheel_sag_mm", "wheel_sag_percent", "fill_psi",
    "rate_n_per_mm", "preload_mm", "sag_if_soft_mm", "sag_if_stiff_mm", "reserve_mm",
    "wheel_rate_n_per_mm", "needed_rebound_n_s_per_m", "rebound_low_n_s_per_m",
    "rebound_high_n_s_per_m", "needed_compression_n_s_per_m", "compression_low_n_s_per_m",
    "compression_high_n_s_per_m", "tyre_gap_mm", "least_air_mm", "length_difference_mm",
    "bottom_bracket_rise_mm",
)  # fmt: skip
_OF_AIR = ("fill_psi",)
_OF_COIL = ("rate_n_per_mm", "preload_mm", "sag_if_soft_mm", "sag_if_stiff_mm")


def completion_of(ranked: Ranked) -> Completion:
    """The bundle's completion, for its figures."""
    return Completion(ranked.bundle.whole, ranked.bundle.choice)


def bundle_record(
    ranked: Ranked,
    rank: int,
    wishes: Wishes,
    jobs: Table,
    variants: int = 0,
    beaten_by: str = "",
    alternatives: tuple[str, ...] = (),
    state: str = "",
) -> BundleRecord:
    """The record of one bundle; `jobs` is the catalogue's table of jobs."""
    completion = completion_of(ranked)
    market, shock = completion.whole.market, completion.whole.shock
    name = market.shocks.keys()[shock]
    work = job_lines(completion, jobs, market)
    parts = shopping(completion, wishes.currency)
    blank = blank_totals(completion)
    return BundleRecord(
        rank=rank,
        state=state or ("fits" if ranked.bundle.sure else "open"),
        shock=name,
        maker=market.shocks.text("maker")[shock],
        model=market.shocks.text("model")[shock],
        spring_kind=market.shocks.choice("spring_kind").words()[shock] or "unknown",
        size=size_text(completion),
        turned=completion.whole.turned,
        clocked=bool(completion.number("clocking_turned")),
        parts=parts,
        jobs=work,
        price=round(sum(part.price + part.labour for part in parts), 2),
        mass_g=None if "mass" in blank else ranked.mass,
        days=ranked.days if "days" not in blank else _known_days(completion),
        blank=blank,
        workshop_jobs=ranked.workshop,
        per_year=round(
            sum(part.price + part.labour for part in parts) / wishes.years_of_use, 2
        ),
        figures=figures(completion),
        points=tuple(
            Points(
                criterion=one.criterion.name, quantity=_plain(one.quantity),
                unit=one.criterion.unit, value=one.value, weight=one.criterion.weight,
                points=one.points,
            )
            for one in ranked.scores
        ),
        total_points=ranked.points,
        most_points=round(sum(one.criterion.weight for one in ranked.scores), 6),
        doubts=doubts(ranked, completion),
        cautions=cautions.of_bundle(completion),
        beaten_by=beaten_by,
        variants=variants,
        alternatives=alternatives,
        sources=tuple(dict.fromkeys(s for s in (market.shocks.text("source")[shock],) if s)),
    )  # fmt: skip


def interchangeable(ranked: Ranked, currency: str, most: int = 3) -> tuple[str, ...]:
    """Kits that would do at an end as well as the one chosen, with what they add to the price."""
    whole = ranked.bundle.whole
    labels, price = whole.market.kits.labels, whole.market.kits.facts["price"].nominal.low
    out = []
    for group, made in enumerate(whole.groups):
        if not (made.choices and made.choices[0].endswith("kit")):
            continue
        name = made.choices[0]
        pair = whole.tables[group]
        family = pair.possible if ranked.bundle.sure else pair.certain
        rows = whole.rows(group)
        rows = rows[family.sets[rows] == 0]
        rows = rows[_order_stands(ranked, group, rows)]
        options = whole.option(group, rows, name)
        chosen = ranked.bundle.option(name)
        others = sorted(
            (float(price[k] - price[chosen]), labels[k]) for k in options.tolist() if k != chosen
        )
        out += [
            f"{name.replace('_', ' ')}: {label} ({more:+.2f} {currency})"
            for more, label in others[:most]
        ]
        if len(others) > most:
            out.append(f"{name.replace('_', ' ')}: and {len(others) - most} more")
    return tuple(out)


def _order_stands(ranked: Ranked, group: int, rows: Ints) -> Mask:
    """Rows of a group with which the rest of the bundle still breaks no sum and no joint rule."""
    choice = [np.full(len(rows), row) for row in ranked.bundle.choice]
    choice[group] = rows
    stands: Mask = completion_sets(ranked.bundle.whole, choice, not ranked.bundle.sure) == 0
    return stands


def _plain(value: float) -> float:
    return round(value, 6) if math.isfinite(value) else 0.0


def blank_totals(completion: Completion) -> tuple[str, ...]:
    """Which of price, mass and days is not the whole, since some part's figure is blank."""
    names = {"price": "price", "mass": "mass_g", "days": "days"}
    return tuple(
        total for total, fact in names.items()
        if any(completion.unknown(f"{part}_{fact}") for part in PARTS)
    )  # fmt: skip


def _known_days(completion: Completion) -> float:
    """Days until it can ride, parts with blank days left out."""
    known = [
        float(completion.nominal.value(f"{part}_days")[0])
        for part in PARTS if not completion.unknown(f"{part}_days")
    ]  # fmt: skip
    return max(known) + 1.0 if known and max(known) > 0 else 0.0


def size_text(completion: Completion) -> str:
    """'210 x 52.5 eyelet'."""
    length = completion.shown("shock_length_mm")
    stroke = completion.shown("stroke_mm")
    mount = completion.shown("shock_head_mount")

    return (
        f"{tell('shock_length_mm', length)} x {tell('stroke_mm', stroke)} "
        f"{tell('shock_head_mount', mount)}"
    )


def figures(completion: Completion) -> tuple[Span, ...]:
    """The figures of a bundle, those of the other spring kind left out."""
    kind = completion.shown("shock_spring_kind").codes
    moot = _OF_COIL if kind == (AIR,) else _OF_AIR if kind == (COIL,) else ()
    return tuple(span_of(completion, name) for name in FIGURES_SHOWN if name not in moot)


def span_of(completion: Completion, name: str) -> Span:
    """One figure's interval and text; rounded to what a double carries safely between programs."""

    shown = completion.shown(name)
    unit = unit_of(name)
    ends = [shown.low, shown.high, shown.nominal]
    low, high, nominal = (round(one, 9) if math.isfinite(one) else None for one in ends)
    if nominal is None or low is None or high is None:
        text = "cannot be said yet"
    elif number(low, unit) == number(high, unit):
        text = f"{number(nominal, unit)} {unit_words(unit)}".strip()
    else:
        text = f"{number(nominal, unit)} ({span(low, high, unit)}) {unit_words(unit)}".strip()
    return Span(name=name, unit=unit, low=low, high=high, nominal=nominal, text=text)


def shopping(completion: Completion, currency: str) -> tuple[Part, ...]:
    """What is bought, reused, kept and paid for, line by line."""
    market, shock = completion.whole.market, completion.whole.shock
    kept = shock == market.present
    lines = [
        _part(
            completion, "shock", market.shocks.keys()[shock], "keep" if kept else "buy", currency,
            "keep the shock that is fitted" if kept else _shock_words(market, shock),
            "" if kept else market.shocks.text("supplier")[shock],
        )
    ]  # fmt: skip
    setting = f"set the stroke to {number(completion.number('stroke_mm'), 'mm')} mm"
    stroke = _part(completion, "stroke", size_text(completion), "buy", currency, setting)
    if stroke.labour or completion.frames.fact("stroke_workshop").low[0]:
        lines.append(stroke)
    for end in ("head", "shaft"):
        lines.append(_kit(completion, end, currency))
    tune = completion.label("tune")
    if tune != DELIVERED:
        lines.append(_tune(completion, tune, currency))
    spring = completion.label("spring")
    if completion.frames.fact("spring_is_coil").low[0]:
        rate = completion.number("rate_n_per_mm")
        text = f"coil spring of {number(rate, 'n_per_mm')} N/mm ({rate / 0.1751268:.0f} lbf/in)"
        how: How = "keep" if completion.frames.fact("spring_fitted").low[0] else "buy"
        supplier = _supplier(completion, "springs", "spring")
        lines.append(_part(completion, "spring", spring, how, currency, text, supplier))
    else:
        count = round(completion.number("spring_spacers"))
        part = _part(completion, "spring", spring, "buy", currency, spacer_words(count))
        if count or part.price or part.labour:
            lines.append(part)
    return tuple(lines)


def spacer_words(count: int) -> str:
    """'no volume spacer', '1 volume spacer', '2 volume spacers'."""
    return {0: "no volume spacer", 1: "1 volume spacer"}.get(count, f"{count} volume spacers")


def _shock_words(market: Market, shock: int) -> str:
    return f"{market.shocks.text('maker')[shock]} {market.shocks.text('model')[shock]}".strip()


def _supplier(completion: Completion, table: str, name: str) -> str:
    row = int(completion._option(name).row[0])
    return str(getattr(completion.whole.market, table).supplier[row])


def _part(
    completion: Completion, role: str, name: str, how: str, currency: str, text: str,
    supplier: str = "",
) -> Part:  # fmt: skip
    frames = completion.nominal
    price, labour, days, workshop = (
        float(frames.value(f"{role}_{one}")[0]) for one in ("price", "labour", "days", "workshop")
    )
    low, high = completion.interval(f"{role}_price")
    blank = completion.unknown(f"{role}_price")
    told = "not told" if blank else f"{span(low, high, 'money')} {currency}"
    price = 0.0 if blank else price
    days = 0.0 if completion.unknown(f"{role}_days") else days
    return Part(
        role=role.replace("_", " "), name=name, text=text, how=how,
        price=round(price, 2), labour=round(labour, 2), price_text=told, days=round(days, 2),
        supplier=supplier, workshop=bool(workshop),
    )  # fmt: skip


def _kit(completion: Completion, end: str, currency: str) -> Part:
    label = completion.label(f"{end}_kit")
    role = f"{end}_kit"
    if label in (REUSED_HEAD, REUSED_SHAFT):
        bolts = completion.shown(f"{end}_takes").codes == (BOLTS,)
        what = "the bolts now on the frame" if bolts else label
        return _part(completion, role, label, "reuse", currency, f"{end} end: reuse {what}")
    if label == MADE:
        return _part(completion, role, label, "made", currency, f"{end} end: hardware made to fit")
    text = f"{end} end: {_kit_words(completion, end)}"
    return _part(
        completion, role, label, "buy", currency, text, _supplier(completion, "kits", role)
    )


def _kit_words(completion: Completion, end: str) -> str:

    def told(name: str) -> str:
        return tell(f"{end}_kit_{name}", completion.shown(f"{end}_kit_{name}"))

    if told("kind") == "trunnion bolts":
        return f"trunnion bolts {told('thread')}, entering {told('protrusion_mm')} mm"
    bushing = told("bushing")
    with_bushing = "" if bushing in ("none", "unknown") else f", with {bushing} bushing"
    return f"{told('kind')} {told('width_mm')} x {told('bore_mm')} mm{with_bushing}"


def _tune(completion: Completion, label: str, currency: str) -> Part:

    if label == SERVICED:
        return _part(
            completion, "tune", label, "buy", currency, "service the shock, tune unchanged"
        )
    if label == MADE:
        return _part(completion, "tune", label, "made", currency, "a revalve made to measure")
    classes = [
        f"{side} {tell(f'tune_{side}_class', completion.shown(f'tune_{side}_class'))}"
        for side in ("compression", "rebound")
    ]
    text = f"revalve to {', '.join(classes)}"
    return _part(
        completion, "tune", label, "buy", currency, text, _supplier(completion, "tunes", "tune")
    )


def job_lines(completion: Completion, jobs: Table, market: Market) -> tuple[JobLine, ...]:
    """The jobs of a bundle in the order of the work, with tools, place and price."""
    names = _jobs(completion, market)
    keys = jobs.keys()
    out = []
    for name in names:
        row = keys.index(name)
        work = market.works[name]
        tools = tuple(t.strip() for t in jobs.text("tools")[row].split(";") if t.strip())
        out.append(
            JobLine(
                job=name, place="workshop" if work.workshop else "home", tools=tools,
                minutes=float(jobs.number("minutes").top[row]), price=round(work.price, 2),
            )
        )  # fmt: skip
    return tuple(out)


def _jobs(completion: Completion, market: Market) -> list[str]:
    kept = completion.whole.shock == market.present
    tune = completion.label("tune")
    frames = completion.frames
    names = []
    if tune == SERVICED:
        names.append("service shock")
    elif tune != DELIVERED:
        names.append("send for revalve")
    if frames.fact("stroke_changed").low[0]:
        names.append("change stroke")
    axis = completion.shown("shock_eyelet_axis").codes
    wanted = completion.shown("bike_eyelet_axis").codes
    if not kept and axis != wanted:
        names.append("turn eyelet")
    if frames.fact("spring_changed").low[0]:
        coil = bool(frames.fact("spring_is_coil").low[0])
        names.append("fit spring" if coil else "set volume spacers")
    for end in ("head", "shaft"):
        if frames.fact(f"{end}_kit_pressed").low[0]:
            names.append("press bushing")
    bought = any(
        completion.label(f"{end}_kit") not in (REUSED_HEAD, REUSED_SHAFT)
        for end in ("head", "shaft")
    )
    if not kept or names or bought:
        names.append("fit shock")
    return names


def doubts(ranked: Ranked, completion: Completion) -> tuple[Doubt, ...]:
    """Rules that may yet break, and what they hinge on."""
    mask = ranked.bundle.doubtful & ~ranked.bundle.broken
    rules = completion.whole.rules
    out = []
    for name in rules.names(mask):
        for rule in _rules_of_bit(name):
            if rule.couples or rule.springs not in ("", completion_kind(completion)):
                continue
            low, _ = completion.margin(rule)
            if low >= -rule.tolerance:
                continue
            hinges = tuple(fact_words(leaf) for leaf in completion.loose(rule))
            text = may_break(rule, completion, shortfall(rule, low))
            out.append(Doubt(rule=name, text=text, hinges_on=hinges))
    return tuple(out)


def completion_kind(completion: Completion) -> str:
    """Spring kind of the shock; blank where it is unknown."""
    codes = completion.shown("shock_spring_kind").codes
    return "air" if codes == (AIR,) else "coil" if codes == (COIL,) else ""


def _rules_of_bit(name: str) -> list[Rule]:
    return [rule for rule in RULES.values() if rule.bit == name]
