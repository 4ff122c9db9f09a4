"""What looks odd in a bike as it is being told, and what a measured length is likely to be."""

from recommender.answer.numbers import span
from recommender.facts.bike import Bike, Size
from recommender.facts.quantity import Quantity
from recommender.facts.standard_sizes import one_to_a_frame, resolved
from recommender.rules.asked import RATIO_BOUNDS

MASS_BOUNDS = (35.0, 150.0)
"""Riders with kit beyond this are asked again, kg. From memory."""


def remarks(bike: Bike, rider_mass: Quantity | None = None) -> tuple[str, ...]:
    """Everything worth a second look, each in a sentence."""
    out = [text for size in bike.sizes for text in _size(size, bike.mount)]
    out += _leverage(bike)
    out += _tyre(bike)
    out += _hardware(bike)
    if rider_mass is not None and rider_mass.kind == "exact":
        low, high = MASS_BOUNDS
        if not low <= rider_mass.low <= high:
            out.append(
                f"A rider with kit of {rider_mass.low:.0f} kg: was the unit meant? 180 lb is 82 kg."
            )
    return tuple(out)


def _size(size: Size, mount: str | None) -> list[str]:
    length = size.length_mm
    if not length.known:
        return []
    found = resolved(length, mount)
    if not found:
        near = span(length.low, length.high, "mm")
        return [f"A length of {near} mm is no usual size: measure again between bolt centres."]
    names = list(dict.fromkeys(f"{one.length_mm:g} mm ({one.name})" for one in found))
    if length.kind == "exact" and any(abs(one.length_mm - length.low) < 0.05 for one in found):
        return []
    told = " or ".join(names)
    if len(names) > 1:
        told += (
            ", the same size to a frame" if one_to_a_frame(found) else ": measure closer, to 0.5 mm"
        )
    return [f"That length is most likely {told}."]


def _leverage(bike: Bike) -> list[str]:
    facts = bike.leverage
    if not (facts.travel_mm.known and facts.stroke_mm.known):
        return []
    low = facts.travel_mm.low / facts.stroke_mm.high
    high = facts.travel_mm.high / facts.stroke_mm.low
    if low <= RATIO_BOUNDS[1] and high >= RATIO_BOUNDS[0]:
        return []
    return [
        f"Travel over stroke makes an average leverage of {(low + high) / 2:.2f}; nearly all "
        f"frames lie within {RATIO_BOUNDS[0]:g} and {RATIO_BOUNDS[1]:g}: check both figures."
    ]


def _tyre(bike: Bike) -> list[str]:
    tyre = bike.tyre
    out = []
    if tyre.gap_mm.known and tyre.gap_mm.high < tyre.minimum_gap_mm.low:
        out.append(
            f"A tyre gap of {tyre.gap_mm.high:g} mm is under the {tyre.minimum_gap_mm.low:g} mm "
            "wanted already: was all the air out, and the saddle down?"
        )
    if tyre.gap_eye_to_eye_mm.known and bike.sizes and bike.sizes[0].length_mm.known:
        length, stroke = bike.sizes[0].length_mm, bike.sizes[0].stroke_ceiling_mm
        if tyre.gap_eye_to_eye_mm.low > length.high:
            out.append(
                "Eye to eye at the tyre gap is over the shock's length: was it pressed together?"
            )
        elif stroke.known and length.low - tyre.gap_eye_to_eye_mm.high > stroke.high + 1:
            out.append("Eye to eye at the tyre gap is less than the stroke allows: measure again.")
    return out


def _hardware(bike: Bike) -> list[str]:
    out: list[str] = []
    if bike.present_shock is None:
        return out
    for end, sleeve in (
        ("head", bike.present_shock.head_sleeve), ("shaft", bike.present_shock.shaft_sleeve)
    ):  # fmt: skip
        mount = getattr(bike, end)
        if sleeve.width_mm.known and mount.gap_mm.known:
            over = sleeve.width_mm.low - mount.gap_mm.high
            under = mount.gap_mm.low - sleeve.width_mm.high
            if over > 0.5 or under > 1.0:
                out.append(
                    f"The sleeve at the {end} end is {max(over, under):.1f} mm "
                    f"{'wider' if over > 0 else 'narrower'} than its gap: one is misread."
                )
        if sleeve.bore_mm.known and mount.bolt_mm.known and sleeve.bore_mm.high < mount.bolt_mm.low:
            out.append(f"The bolt at the {end} end is thicker than its sleeve's bore.")
    return out
