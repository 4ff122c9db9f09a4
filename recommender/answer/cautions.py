"""The cautions that must reach the user: the usual ones, and those that one bundle calls for."""

from recommender.answer.wording import number
from recommender.rules.hardware import BOLTS
from recommender.search.completion import Completion

USUAL = (
    "The frame maker's limits and approvals come first, then the shock maker's manual: a longer "
    "stroke or an unlisted size can break the frame, void its warranty and injure.",
    "With the shock off nothing holds the swingarm: support it, and inspect the pivot bearings "
    "while the load is off.",
    "Release all air before turning an eyelet or opening an air can. If the shock stays compressed "
    "with its air let out, the negative chamber is still charged: unscrew, turn or heat nothing, "
    "send it to a workshop. Never open a damper charged with gas: a trained workshop does that.",
    "Torque: the frame maker's figure, with a torque wrench. None is given here.",
    "After fitting, cycle the suspension through full travel with the air out (coil: spring off) "
    "and look for contact of tyre, reservoir and cables before riding.",
    "Figures rest on the catalogue's data and on ideal gas; check them on the bike.",
)
REVALVE = (
    "Pay for a custom tune only after riding the delivered one, and give the workshop a written "
    "brief: what works, what does not, where on the trail."
)
NARROW = (-0.5, -0.3)
"""Width over gap at which a sleeve is accepted with a caution, mm. From memory."""
NEAR_LIMIT = 0.05


def of_bundle(completion: Completion) -> tuple[str, ...]:
    """What this bundle's own figures call for."""
    out = []
    for end in ("head", "shaft"):
        if end == "head" and completion.shown("head_takes").codes == (BOLTS,):
            out.append("Keep or renew the frame's trunnion inserts or bearings: they wear.")
            continue
        if completion.frames.fact(f"{end}_kit_made").low[0]:
            continue
        over = completion.number(f"{end}_width_over_gap_mm")
        if NARROW[0] - 1e-9 <= over < NARROW[1] - 1e-9:
            out.append(
                f"The {end} sleeve is {number(-over, 'mm')} mm narrower than the gap: shim it or "
                "have the workshop judge it."
            )
    if completion.shown("shock_spring_kind").codes == (0,):
        out += _pressure(completion)
    rise = completion.number("bottom_bracket_rise_mm")
    if abs(rise) >= 0.5:
        way = "raises" if rise > 0 else "lowers"
        out.append(f"The length {way} the bottom bracket by about {number(abs(rise), 'mm')} mm.")
    if completion.frames.owner_facts["shock_reversed"].low[0]:
        out.append("The shock goes in end for end.")
    if completion.label("tune") not in ("as delivered", "serviced, tune unchanged"):
        out.append(REVALVE)
    return tuple(out)


def _pressure(completion: Completion) -> list[str]:
    fill = completion.number("fill_psi")
    least, most = (completion.number(f"shock_pressure_{name}_psi") for name in ("min", "max"))
    if fill >= most * (1 - NEAR_LIMIT) or fill <= least * (1 + NEAR_LIMIT):
        return [
            f"The fill pressure of {number(fill, 'psi')} psi lies within 5 % of the shock's limit; "
            "10 degrees C change absolute pressure by about 3.5 %."
        ]
    return []
