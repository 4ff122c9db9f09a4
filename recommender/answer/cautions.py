"""The cautions that must reach the user: the usual ones, and those that one bundle calls for."""

from collections.abc import Iterator, Mapping

import numpy as np
from pydantic import BaseModel

from recommender.answer.jobs import SERVICE, service_is_due, told
from recommender.answer.names import fact_words, join
from recommender.answer.numbers import amount, number, span, wide
from recommender.catalogue.columns import Floats, Mask
from recommender.facts.fields import blanks
from recommender.facts.parts import Shock
from recommender.facts.units import UNITS
from recommender.mechanics.air import pressure_at_temperature
from recommender.rules.choices import DELIVERED, SERVICED
from recommender.rules.fact import Scalar, blank_span
from recommender.rules.hardware import BOLTS
from recommender.rules.work import Work
from recommender.search.completion import Completion
from recommender.search.frames import Frames

LIMITS = (
    "The frame maker's limits and approvals come first, then the shock maker's manual: a longer "
    "stroke or an unlisted size can break the frame, void its warranty and injure."
)
OPENING = (
    "Let all air out before the suspension is pressed together or a can is opened. With the shock "
    "off, nothing holds the swingarm: support it."
)
"""Said before anyone is told what to measure."""
SUPPORT = (
    "With the shock off nothing holds the swingarm: support it, and inspect the pivot bearings "
    "while the load is off."
)
AIR_OUT = (
    "Release all air before turning an eyelet or opening an air can. If the shock stays compressed "
    "with its air let out, the negative chamber is still charged: unscrew, turn or heat nothing, "
    "send it to a workshop. Never open a damper charged with gas: a trained workshop does that."
)
TORQUE = "Torque: the frame maker's figure, with a torque wrench. None is given here."
PRESSURE = "Never above the highest pressure in the shock maker's manual."
USUAL = (
    LIMITS,
    SUPPORT,
    AIR_OUT,
    TORQUE,
    "After fitting, cycle the suspension through full travel with the air out (coil: spring off) "
    "and look for contact of tyre, reservoir and cables before riding.",
    "Figures rest on the catalogue's data and on ideal gas; check them on the bike. The bottom-out "
    "reserve compares springs; it promises nothing about drops.",
)
UNREACHED = (
    "The delivered tune's range does not reach what this bike and rider need by the figures; these "
    "rest on assumed classes."
)
REVALVE = (
    f"{UNREACHED} Ride the delivered tune first where you can, and pay for the revalve with a "
    "written brief: what works, what does not, where on the trail."
)
BROKEN = (
    "The fitted shock is told to be broken. What a repair costs is not in the price: let a "
    "workshop look at it first."
)
NARROW = (-0.5, -0.3)
"""Width over gap at which a sleeve is accepted with a caution, mm. From memory."""
NEAR_LIMIT = 0.05
"""Share of a pressure limit within which a fill is cautioned about. From memory."""
ROOM = 293.15
"""Where a shock is filled, 20 degrees C in K. Common practice."""
BEYOND = 0.05
"""How far beyond what is known of the leverage curve nothing is said yet, mm."""


def of_bundle(completion: Completion) -> tuple[str, ...]:
    """What this bundle's own figures call for."""
    return (
        *of_hardware(completion, "head"), *of_hardware(completion, "shaft"),
        *of_spring(completion), *of_mounting(completion), *of_tune(completion),
        *_beyond_curve(completion), *_unstated(completion), *_due(completion),
    )  # fmt: skip


def of_choice(completion: Completion, choice: str) -> list[str]:
    """The share of `of_bundle` that one choice decides; 'shock': what none of them does."""
    if choice in ("head_kit", "shaft_kit"):
        return of_hardware(completion, choice.removesuffix("_kit"))
    if choice == "shock":
        return [*of_mounting(completion), *_unstated(completion)]
    if choice == "tune":
        return [*of_tune(completion), *_due(completion)]
    if choice == "stroke":
        return _beyond_curve(completion)
    return of_spring(completion) if choice == "spring" else []


def may_warn(frames: Frames, choices: tuple[str, ...], choice: str) -> Mask:
    """Rows of the frame of those choices for which `of_choice` may have something to say: looked at
    for all rows at once, with every fact at its nominal value."""
    size = frames.layout(choices).size

    def at(name: str) -> Floats:
        with np.errstate(all="ignore"):
            return np.broadcast_to(np.asarray(frames.at(name, choices), float), (size,))

    if choice in ("head_kit", "shaft_kit"):
        over = at(f"{choice.removesuffix('_kit')}_width_over_gap_mm")
        narrow = (over >= NARROW[0] - 1e-6) & (over < NARROW[1] + 1e-6)
        return narrow | (at("head_takes") == BOLTS) if choice == "head_kit" else narrow
    if choice == "spring":
        fill = at("fill_psi")
        low, high = (at(f"shock_pressure_{end}_psi") for end in ("min", "max"))
        slack = 1e-6 + NEAR_LIMIT
        return (fill >= high * (1 - slack)) | (fill <= low * (1 + slack))
    if choice == "stroke":
        return at("linkage_compression_mm") > _known_to(frames.scalars) + BEYOND - 1e-6
    return np.full(size, choice == "tune")


def of_hardware(completion: Completion, end: str) -> list[str]:
    """What the hardware at one end calls for."""
    if end == "head" and completion.shown("head_takes").codes == (BOLTS,):
        return ["Keep or renew the frame's trunnion inserts or bearings: they wear."]
    if completion.frames.fact(f"{end}_kit_made").low[0]:
        return []
    over = completion.number(f"{end}_width_over_gap_mm")
    if NARROW[0] - 1e-9 <= over < NARROW[1] - 1e-9:
        return [
            f"The {end} sleeve is {number(-over, 'mm')} mm narrower than the gap: shim it or "
            "have the workshop judge it."
        ]
    return []


def of_spring(completion: Completion) -> list[str]:
    """What the spring setting calls for."""
    return _pressure(completion) if completion.shown("shock_spring_kind").codes == (0,) else []


def of_mounting(completion: Completion) -> list[str]:
    """What the length and the way of mounting call for."""
    out = []
    rise = completion.number("bottom_bracket_rise_mm")
    if abs(rise) >= 0.5:
        way = "raises" if rise > 0 else "lowers"
        out.append(f"The length {way} the bottom bracket by about {number(abs(rise), 'mm')} mm.")
    if completion.frames.owner_facts["shock_reversed"].low[0]:
        out.append("The shock goes in end for end.")
    return out


def of_tune(completion: Completion) -> list[str]:
    """What a revalve calls for."""
    delivered = completion.label("tune") in (DELIVERED, SERVICED)
    return [] if delivered else [REVALVE]


def _due(completion: Completion) -> list[str]:
    """The fitted shock kept although it is broken, or its service is due."""
    market, tune = completion.whole.market, completion.label("tune")
    now = market.bike.present_shock
    if completion.whole.shock == market.present and now is not None and now.condition == "broken":
        return [BROKEN]
    if not service_is_due(completion):
        return []
    cost = _apart(market.works[SERVICE], market.currency)
    if tune == DELIVERED:
        return [f"The fitted shock's service is due: have it done before riding on ({cost})."]
    return [
        "The fitted shock's service is due: ask whether the revalve includes it. If it does not, "
        f"{cost}."
    ]


def _apart(work: Work, currency: str) -> str:
    """What a job costs that the bundle's price and days do not have."""
    if not work.workshop:
        return "it can be done at home with the tools at hand"
    low, high = work.days
    if high - low >= blank_span("work_days"):
        days = "days not told"
    else:
        days = f"{span(low, high, 'days')} {'day' if low == high == 1 else 'days'}"
    price = told(work.labour)
    about = "price" if price is None else "about"
    return f"it is not in this price: {about} {amount(price, currency)}, {days}"


def _known_to(scalars: Mapping[str, Scalar]) -> float:
    """The shock compression to which the leverage curve is known, mm."""
    return float(scalars["bike_leverage"].nominal.stroke_m) * 1000


def _beyond_curve(completion: Completion) -> list[str]:
    """Said where figures rest on the leverage curve beyond what is known of it."""
    known = _known_to(completion.whole.market.scalars)
    reach = completion.number("linkage_compression_mm")
    if reach <= known + BEYOND:
        return []
    return [
        f"The leverage curve is known to {number(known, 'mm')} mm of shock compression; beyond it, "
        f"to {number(reach, 'mm')} mm, the ratio is continued in a straight line."
    ]


def _silent(prefix: str, model: BaseModel) -> Iterator[str]:
    """The limits of a model, and of those inside it, that are blank."""
    for name in type(model).model_fields:
        value, blank = getattr(model, name), blanks(type(model)).get(name)
        if isinstance(value, BaseModel):
            yield from _silent(f"{prefix}_{name}", value)
        elif blank is not None and blank.says == "no limit" and not value.known:
            yield fact_words(f"{prefix}_{name}")


def _unstated(completion: Completion) -> list[str]:
    """Limits that nobody told, and that were therefore not held against the bundle."""
    market, shock = completion.whole.market, completion.whole.shock
    missing = [*_silent("bike", market.bike)]
    for name, blank in blanks(Shock).items():
        if blank.says == "no limit" and not bool(market.shocks.number(name).is_known[shock]):
            missing.append(fact_words(f"shock_{name}"))
    if not missing:
        return []
    them = "it" if len(missing) == 1 else "them"
    return [f"Not told, so not checked: {join(missing)}. Look {them} up before buying."]


def _pressure(completion: Completion) -> list[str]:
    if wide(*completion.interval("fill_psi")):
        return []
    fill = completion.number("fill_psi")
    least, most = (completion.number(f"shock_pressure_{name}_psi") for name in ("min", "max"))
    if fill >= most * (1 - NEAR_LIMIT) or fill <= least * (1 + NEAR_LIMIT):
        return [
            f"The fill pressure of {number(fill, 'psi')} psi lies within 5 % of the shock's limit. "
            f"{warmth(fill)}"
        ]
    return []


def warmth(fill_psi: float) -> str:
    """What ten degrees do to that pressure, as a shock pump shows it."""
    psi = UNITS["psi"][1]
    warm = float(pressure_at_temperature(fill_psi * psi, ROOM, ROOM + 10)) / psi
    change, fill = (number(one, "psi") for one in (warm - fill_psi, fill_psi))
    return (
        f"10 °C warmer or colder changes the pressure by about {change} psi on the gauge at {fill} "
        "psi."
    )
