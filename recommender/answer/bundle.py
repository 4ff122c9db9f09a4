"""A ranked bundle as a record: what to buy, what it does, what it costs, how sure it is."""

import math
from typing import Any

import numpy as np

from recommender.answer import cautions
from recommender.answer.jobs import job_lines
from recommender.answer.names import fact_words, unit_of
from recommender.answer.numbers import by_ends, number, span, unit_words
from recommender.answer.put_in import put_in
from recommender.answer.records import BundleRecord, Doubt, Points, Span
from recommender.answer.shopping import blank_days, blank_totals, shopping
from recommender.answer.turned import coupled
from recommender.answer.wording import (
    completion_kind,
    may_break,
    shortfall,
    size_mm_text,
    size_text,
)
from recommender.catalogue.columns import Ints, Mask, Table
from recommender.facts.wishes import Wishes
from recommender.ranking.order import Ranked
from recommender.rules.mounting import AIR, COIL
from recommender.rules.registry import PARTS, RULES, Rule
from recommender.search.completion import Completion
from recommender.search.whole import completion_sets

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
    name = market.shocks.key_of(shock)
    work = job_lines(completion, jobs, market)
    parts = shopping(completion)
    blank, ends = blank_totals(completion), _price_ends(completion)
    price = round(sum(part.price + part.labour for part in parts), 2)
    kept = completion.whole.shock == market.present
    years = wishes.years_after_service if kept else wishes.years_of_use
    return BundleRecord(
        rank=rank,
        state=state or ("fits" if ranked.bundle.sure else "open"),
        shock=name,
        maker=market.shocks.text("maker")[shock],
        model=market.shocks.text("model")[shock],
        spring_kind=market.shocks.choice("spring_kind").word(shock) or "unknown",
        size=size_text(completion),
        size_mm=size_mm_text(completion),
        turned=completion.whole.turned,
        clocked=bool(completion.number("clocking_turned")),
        parts=parts,
        jobs=work,
        currency=wishes.currency,
        price=price,
        price_ends=ends,
        mass_g=None if "mass" in blank else ranked.mass,
        days=ranked.days if "days" not in blank else _known_days(completion),
        blank=blank,
        workshop_jobs=ranked.workshop,
        **over_years(price, ends, years),
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
        # What nobody told beats nothing and is beaten by nothing.
        beaten_by="" if blank else beaten_by,
        variants=variants,
        alternatives=alternatives,
        sources=tuple(dict.fromkeys(s for s in (market.shocks.text("source")[shock],) if s)),
        put_in=put_in(completion),
    )  # fmt: skip


def over_years(price: float, ends: tuple[float, float] | None, years: float) -> dict[str, Any]:
    """A record's cost per year of so long a use."""
    return {
        "years": years, "per_year": round(price / years, 2),
        "per_year_ends": ends and (round(ends[0] / years, 2), round(ends[1] / years, 2)),
    }  # fmt: skip


def interchangeable(ranked: Ranked, currency: str, most: int = 3) -> tuple[str, ...]:
    """Kits that would do at an end as well as the one chosen, with what they add to the price."""
    whole = ranked.bundle.whole
    labels, facts = whole.market.kits.labels, whole.market.kits.facts
    price = facts["price"].nominal.low + facts["labour"].nominal.low
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


def _price_ends(completion: Completion) -> tuple[float, float] | None:
    """The least and the most of all prices and labour that are told; None where they are exact."""
    names = [f"{part}_{fact}" for part in PARTS for fact in ("price", "labour")]
    told = [completion.interval(name) for name in names if not completion.unknown(name)]
    low, high = (round(sum(ends), 2) for ends in zip(*told, strict=True))
    return (low, high) if low < high else None


def _known_days(completion: Completion) -> float:
    """Days until it can ride, parts with blank days left out."""
    known = [
        completion.number(f"{part}_ready_days")
        for part in PARTS if not blank_days(completion, part)
    ]  # fmt: skip
    return max(known) + 1.0 if known and max(known) > 0 else 0.0


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
        text = "can't be said yet"
    elif number(low, unit) == number(high, unit):
        text = f"{number(nominal, unit)} {unit_words(unit)}".strip()
    elif by_ends(name, low, high):
        text = f"{span(low, high, unit)} {unit_words(unit)}".strip()
    else:
        text = f"{number(nominal, unit)} ({span(low, high, unit)}) {unit_words(unit)}".strip()
    return Span(name=name, unit=unit, low=low, high=high, nominal=nominal, text=text)


def doubts(ranked: Ranked, completion: Completion) -> tuple[Doubt, ...]:
    """Rules that may yet break, and what they hinge on."""
    mask = ranked.bundle.doubtful & ~ranked.bundle.broken
    rules = completion.whole.rules
    out = []
    for name in rules.names(mask):
        for rule in _rules_of_bit(name):
            if rule.springs not in ("", completion_kind(completion)):
                continue
            if rule.couples:
                over = coupled(completion, rule, False)
                if over is not None:
                    hinges = _summed(completion, rule)
                    out.append(Doubt(rule=name, text=over.text, hinges_on=hinges))
                continue
            low, _ = completion.margin(rule)
            if low >= -rule.tolerance:
                continue
            hinges = tuple(fact_words(leaf) for leaf in completion.loose(rule))
            text = may_break(rule, completion, shortfall(rule, low))
            out.append(Doubt(rule=name, text=text, hinges_on=hinges))
    return tuple(out)


def _summed(completion: Completion, rule: Rule) -> tuple[str, ...]:
    """The prices, or masses, that are loose in a sum."""
    names = [f"{part}_{'price' if rule.couples == 'price' else 'mass_g'}" for part in PARTS]
    loose = [name for name in names if completion.frames.fact(name).loose is not None]
    return tuple(fact_words(name) for name in loose)


def _rules_of_bit(name: str) -> list[Rule]:
    return [rule for rule in RULES.values() if rule.bit == name]
