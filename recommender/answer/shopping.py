"""What is bought, reused, kept and paid for, line by line."""

from typing import Literal, NamedTuple

import numpy as np

from recommender.answer.numbers import amount, number
from recommender.answer.records import Part
from recommender.answer.wording import size_text, tell
from recommender.facts.units import convert
from recommender.rules.choices import (
    DELIVERED,
    MADE,
    REUSED_HEAD,
    REUSED_SHAFT,
    SERVICED,
    Market,
)
from recommender.rules.hardware import AXLE, BOLTS
from recommender.rules.registry import PARTS, leaves
from recommender.search.completion import Completion

How = Literal["buy", "reuse", "keep", "made"]


class Words(NamedTuple):
    """What is said of a part, whatever it costs. `idle`: told only where it costs something."""

    name: str
    how: How
    text: str
    supplier: str = ""
    idle: bool = False


ROLES = ("shock", "stroke", "head_kit", "shaft_kit", "tune", "spring")


def shopping(completion: Completion) -> tuple[Part, ...]:
    """What is bought, reused, kept and paid for, line by line."""
    lines = []
    for role in ROLES:
        words = words_of(completion, role)
        if words is None:
            continue
        part = _part(completion, role, words)
        if not words.idle or part.price or part.labour or (role == "stroke" and part.workshop):
            lines.append(part)
    return tuple(lines)


def words_of(completion: Completion, role: str) -> Words | None:
    """What is said of the part in that role; None where there is nothing to buy or do."""
    market, shock = completion.whole.market, completion.whole.shock
    if role == "shock":
        name = market.shocks.key_of(shock)
        if shock == market.present:
            return Words(name, "keep", "keep the shock that is fitted")
        supplier = market.shocks.text("supplier")[shock]
        return Words(name, "buy", _shock_words(market, shock), supplier)
    if role == "stroke":
        setting = f"set the stroke to {number(completion.number('stroke_mm'), 'mm')} mm"
        return Words(size_text(completion), "buy", setting, idle=True)
    if role.endswith("_kit"):
        return _kit(completion, role.removesuffix("_kit"))
    return _tune(completion) if role == "tune" else _spring(completion)


def price_words(
    price: tuple[float, float] | None,
    labour: tuple[float, float] | None,
    currency: str,
    unit: Literal["money", "cents"] = "money",
) -> tuple[str, str]:
    """What a part and the work on it cost, as `numbers.amount`; '' for no work."""
    told = amount(price, currency, unit)
    if labour is None:
        return f"{told}, labour not told", ""
    return told, amount(labour, currency, unit) if labour[1] else ""


def named(role: str, name: str, text: str, how: How) -> str:
    """A part's words with the name it is ordered by, where they do not hold that already."""
    bare = how == "keep" or role == "stroke" or name == SERVICED or name in text
    return text if bare else f"{text} ({name})"


def blank_days(completion: Completion, role: str) -> bool:
    """Whether nobody told how long that part takes, or what it waits for."""
    return any(completion.unknown(leaf) for leaf in leaves(f"{role}_ready_days"))


def blank_totals(completion: Completion) -> tuple[str, ...]:
    """Which of price, mass and days is not the whole, since some part's figure is blank."""
    parts = {
        "price": [f"{part}_{fact}" for part in PARTS for fact in ("price", "labour")],
        "mass": [f"{part}_mass_g" for part in PARTS],
    }
    out = [total for total, facts in parts.items() if any(map(completion.unknown, facts))]
    return (*out, *(["days"] if any(blank_days(completion, part) for part in PARTS) else []))


def _shock_words(market: Market, shock: int) -> str:
    return f"{market.shocks.text('maker')[shock]} {market.shocks.text('model')[shock]}".strip()


def _supplier(completion: Completion, table: str, name: str) -> str:
    row = int(completion._option(name).row[0])
    return str(getattr(completion.whole.market, table).supplier[row])


def _part(completion: Completion, role: str, words: Words) -> Part:
    frames = completion.nominal
    price, labour, days, workshop = (
        float(np.asarray(frames.value(f"{role}_{one}")).reshape(-1)[0])
        for one in ("price", "labour", "ready_days", "workshop")
    )
    ends, blank = completion.interval(f"{role}_price"), completion.unknown(f"{role}_price")
    work, unpriced = completion.interval(f"{role}_labour"), completion.unknown(f"{role}_labour")
    price, labour = 0.0 if blank else price, 0.0 if unpriced else labour
    days = 0.0 if blank_days(completion, role) else days
    return Part(
        role=role.replace("_", " "), name=words.name, text=words.text, how=words.how,
        price=round(price, 2), price_ends=None if blank else _cents(ends),
        labour=round(labour, 2), labour_ends=None if unpriced else _cents(work),
        days=round(days, 2),
        supplier=words.supplier, workshop=bool(workshop),
    )  # fmt: skip


def _cents(ends: tuple[float, float]) -> tuple[float, float]:
    return round(ends[0], 2), round(ends[1], 2)


def _spring(completion: Completion) -> Words:
    spring = completion.label("spring")
    if not completion.frames.fact("spring_is_coil").low[0]:
        count = round(completion.number("spring_spacers"))
        market, shock = completion.whole.market, completion.whole.shock
        priced = market.shocks.number("volume_spacer_price").is_known[shock]
        bought = completion.frames.fact("spring_added").high[0] > 0
        text = f"{spring}, price not told" if bought and not priced else spring
        return Words(spring, "buy", text, idle=not count)
    rate = completion.number("rate_n_per_mm")
    stamped = convert(rate, "n_per_mm", "lbf_per_in")
    text = f"coil spring of {number(rate, 'n_per_mm')} N/mm ({stamped:.0f} lbf/in)"
    how: How = "keep" if completion.frames.fact("spring_fitted").low[0] else "buy"
    return Words(spring, how, text, _supplier(completion, "springs", "spring"))


def _kit(completion: Completion, end: str) -> Words:
    role = f"{end}_kit"
    label = completion.label(role)
    if label in (REUSED_HEAD, REUSED_SHAFT):
        kind = int(completion.frames.fact(f"{role}_kind").low[0])
        others = {BOLTS: "the bolts now on the frame", AXLE: label.replace("sleeve", "axle")}
        return Words(label, "reuse", f"{end} end: reuse {others.get(kind, label)}")
    if label == MADE:
        return Words(label, "made", f"{end} end: hardware made to fit")
    text = f"{end} end: {_kit_words(completion, end)}"
    return Words(label, "buy", text, _supplier(completion, "kits", role))


def _kit_words(completion: Completion, end: str) -> str:

    def told(name: str) -> str:
        return tell(f"{end}_kit_{name}", completion.shown(f"{end}_kit_{name}"))

    if told("kind") == "trunnion bolts":
        return f"trunnion bolts {told('thread')}, entering {told('protrusion_mm')} mm"
    bushing = told("bushing")
    with_bushing = "" if bushing in ("none", "unknown") else f", with {bushing} bushing"
    return f"{told('kind')} {told('width_mm')} x {told('bore_mm')} mm{with_bushing}"


def _tune(completion: Completion) -> Words | None:
    label = completion.label("tune")
    if label == DELIVERED:
        return None
    if label == SERVICED:
        return Words(label, "buy", "service the shock, tune unchanged")
    if label == MADE:
        return Words(label, "made", "a revalve made to measure")
    classes = [
        f"{side} {tell(f'tune_{side}_class', completion.shown(f'tune_{side}_class'))}"
        for side in ("compression", "rebound")
    ]
    supplier = _supplier(completion, "tunes", "tune")
    return Words(label, "buy", f"revalve to {', '.join(classes)}", supplier)
