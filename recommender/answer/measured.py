"""What to measure next, in words: the fact, how to find it out, which values decide which way."""

from collections.abc import Callable

import numpy as np

from recommender.answer.answer import Case
from recommender.answer.measuring import how
from recommender.answer.names import (
    fact_words,
    field_of,
    grouped_words,
    join,
    plain_words,
    unit_of,
)
from recommender.answer.numbers import span, with_unit
from recommender.answer.replies import Choosing, Measure, Measures, ValueRange
from recommender.explain.doubt import Measurement, Stretch, measurements
from recommender.explain.refine import WAITS
from recommender.explain.unknowns import Unknown
from recommender.facts.quantity import Choice
from recommender.ranking.ranking import Ranking
from recommender.rules.choices import Market
from recommender.search.verdicts import FITS, OPEN, Verdicts


def measure_next(case: Case, most: int = 8) -> Measures:
    """The facts that would settle most, how to find them out, and which values decide which way."""
    found = measurements(
        case.market, case.question.wishes, case.verdicts, best=_first_of(case),
        state=case.refined.state,
    )  # fmt: skip
    told = _together([(one.unknown.name, _measure(case, one)) for one in found])
    return Measures(
        open=case.state_counts()["open"], measures=tuple(told[:most]),
        more=max(0, len(told) - most), choosing=_choosing(case),
    )  # fmt: skip


def _choosing(case: Case) -> tuple[Choosing, ...]:
    """The facts that the choice of parts waits for, that of most shocks first."""
    waiting: dict[Unknown, list[str]] = {}
    for shock, unknown in sorted(case.refined.along.items()):
        if int(case.refined.state[shock]) == WAITS:
            waiting.setdefault(unknown, []).append(case.keys[shock])
    found = [
        Choosing(fact=_fact(case, unknown), how=how(unknown), shocks=tuple(shocks))
        for unknown, shocks in waiting.items()
    ]
    return tuple(sorted(found, key=lambda one: (-len(one.shocks), one.fact)))


def _together(found: list[tuple[str, Measure]]) -> list[Measure]:
    """The sides of the frame's room that settle as many verdicts as one item, where the first of
    them stood: whoever measures one side measures them all."""
    sides: dict[int, list[tuple[str, Measure]]] = {}
    for leaf, one in found:
        if leaf.startswith(_ROOM):
            sides.setdefault(one.settles, []).append((leaf, one))
    out = []
    for leaf, one in found:
        alike = sides.get(one.settles, []) if leaf.startswith(_ROOM) else []
        if len(alike) < 2:
            out.append(one)
        elif one is alike[0][1]:
            # Of those looked at closely, whose turning values are known, the first.
            told, shown = next((p for p in alike if p[1].first_may_change is not None), alike[0])
            fact = join(grouped_words((name for name, _ in alike), most=1))
            how = f"{_ALL_SIDES} The values below are of one, the others left open: "
            how += fact_words(told).removeprefix("the frame's room at ") + "."
            out.append(shown.model_copy(update={"fact": fact, "how": how}))
    return out


_ROOM = "bike_room_"
_ALL_SIDES = (
    "With the shock out, measure from the line between the two bolts to the nearest thing, frame, "
    "link or yoke: in each third between the mounts, up, down, left and right. Do it extended, at "
    "half travel and bottomed, and note the least of each."
)


def _first_of(case: Case) -> Callable[[Market, Verdicts], str]:
    """Names the first place. Where there are sure bundles only they are ranked: they lead."""
    wishes = case.question.wishes

    def first(market: Market, verdicts: Verdicts) -> str:
        for state in (FITS, OPEN):
            order = Ranking(market, wishes, verdicts, np.flatnonzero(verdicts.state == state))
            if len(order):
                return order.firsts[0].name
        return ""

    return first


def _measure(case: Case, one: Measurement) -> Measure:
    return Measure(
        fact=_fact(case, one.unknown),
        shock=case.keys[one.shock] if one.shock >= 0 else "",
        how=how(one.unknown),
        settles=one.most,
        first_may_change=one.first_may_change,
        values=tuple(_stretch(case, one, stretch) for stretch in one.stretches if stretch.settled),
    )


def _fact(case: Case, one: Unknown) -> str:
    """The fact in words; of a kit on the bike with what it is."""
    if one.place != "kits":
        return fact_words(one.name)
    return f"the {plain_words(one.fact)} of {case.market.kits.labels[one.row]}"


def _stretch(case: Case, one: Measurement, stretch: Stretch) -> ValueRange:
    fact = one.unknown.name
    unit = unit_of(fact)
    text = with_unit(span(stretch.low, stretch.high, unit), unit)
    if stretch.low == stretch.high:
        # Looked at in this one place only.
        ends = {0: f"{text}, the least it may be",
                len(one.stretches) - 1: f"{text}, the most it may be"}  # fmt: skip
        text = ends.get(one.stretches.index(stretch), f"about {text}")
    if not one.unknown.number:
        field = field_of(fact)
        words = field.values if isinstance(field, Choice) else ()
        code = round(stretch.low)
        text = words[code] if 0 <= code < len(words) else text
    return ValueRange(
        text=text, fits=tuple(case.keys[row] for row in stretch.fits[:10]),
        out=tuple(case.keys[row] for row in stretch.out[:10]),
        fits_count=len(stretch.fits), out_count=len(stretch.out),
    )  # fmt: skip
