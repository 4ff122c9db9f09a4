"""What the catalogue holds, with each shock's verdict for this question."""

import numpy as np

from recommender.answer.answer import Case
from recommender.answer.numbers import span
from recommender.answer.replies import Held, Holdings
from recommender.explain.refine import REFINED
from recommender.facts.nearest import nearest_number
from recommender.facts.problems import BadInput, Problem
from recommender.facts.wishes import ADJUSTERS

_COLUMNS = dict(
    zip(
        ADJUSTERS,
        (
            "rebound_adjuster", "low_speed_compression_adjuster", "high_speed_compression_adjuster",
            "lockout_lever",
        ), strict=True,
    )
)  # fmt: skip
"""Adjusters in words -> the shock's column."""


def holdings(
    case: Case, family: str = "", mount: str = "", spring: str = "", adjusters: tuple[str, ...] = ()
) -> Holdings:
    """The shocks that meet the filters, in the catalogue's order; a blank filter lets all through.

    `family` is a length and mount such as '210 eyelet', or a length alone. Raises BadInput for a
    word that nothing in the catalogue carries.
    """
    lengths = _lengths(case)
    made = [_held(case, row, length) for row, length in enumerate(lengths)]
    _known("family", family, sorted({one.family for one in made} | {*lengths}))
    _known("mount", mount, sorted({one.mount for one in made}))
    _known("spring", spring, sorted({one.spring_kind for one in made}))
    for adjuster in adjusters:
        _known("adjuster", adjuster, list(ADJUSTERS))
    kept = [
        one for one, length in zip(made, lengths, strict=True)
        if family in ("", one.family, length) and mount in ("", one.mount)
        and spring in ("", one.spring_kind) and set(adjusters) <= set(one.adjusters)
    ]  # fmt: skip
    families: dict[str, dict[str, int]] = {}
    for one in kept:
        counts = families.setdefault(one.family, dict.fromkeys(REFINED, 0))
        counts[one.state] += 1
    return Holdings(
        shocks=tuple(kept),
        counts={name: sum(one.state == name for one in kept) for name in REFINED},
        families=dict(sorted(families.items())),
    )


def _lengths(case: Case) -> list[str]:
    """Each shock's length to the millimetre, or 'unknown'."""
    length = case.market.shocks.number("length_mm")
    middle = np.round((length.low + length.top) / 2)
    return [
        f"{one:.0f}" if known else "unknown"
        for one, known in zip(middle.tolist(), length.is_known.tolist(), strict=True)
    ]


def _known(what: str, word: str, accepted: list[str]) -> None:
    if word and word not in accepted:
        shown = ", ".join(accepted[:40])
        raise BadInput(
            [
                Problem(
                    f"--{what}", f"nothing in the catalogue; accepted: {shown}"
                    f"{nearest_number(word, accepted)}", value=word,
                )
            ]
        )  # fmt: skip


def _held(case: Case, row: int, whole: str) -> Held:
    shocks = case.market.shocks
    length, stroke = shocks.number("length_mm"), shocks.number("stroke_mm")
    mount = shocks.choice("head_mount").word(row) or "unknown"
    price = case.market.shock_price
    low, high = float(price.low[row]), float(price.high[row])
    has = [
        word for word, column in _COLUMNS.items()
        if int(shocks.choice(column).codes[row]) == 1
    ]  # fmt: skip
    size = (
        f"{span(float(length.low[row]), float(length.top[row]), 'mm')} x "
        f"{span(float(stroke.low[row]), float(stroke.top[row]), 'mm')}"
    )
    return Held(
        shock=case.keys[row], maker=shocks.text("maker")[row], model=shocks.text("model")[row],
        size=size if length.is_known[row] else "unknown", family=f"{whole} {mount}", mount=mount,
        spring_kind=shocks.choice("spring_kind").word(row) or "unknown",
        adjusters=tuple(has), price="unknown" if high - low > 50_000 else span(low, high, "money"),
        state=case.state(row),
    )  # fmt: skip
