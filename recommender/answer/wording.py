"""Figures, facts and broken rules in words: one voice for terminal, page and JSON."""

import math
import re
from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType

from pydantic import BaseModel

from recommender.answer.numbers import UNKNOWN, number, span
from recommender.facts import words
from recommender.facts.bike import Bike
from recommender.facts.fields import choice_of, numbers
from recommender.facts.parts import Kit, Service, Shock, Spring
from recommender.facts.quantity import Choice, Number
from recommender.facts.rider import Rider
from recommender.rules.mounting import AIR, COIL
from recommender.rules.registry import FIGURES, Rule
from recommender.rules.room import PLACES
from recommender.rules.size import ApprovedSizes
from recommender.search.completion import Completion, Shown

_SUFFIXES = ("mm2", "cm3", "mm", "psi", "kg", "g", "percent", "n_per_mm", "n_s_per_m", "days")
_MODELS: tuple[tuple[str, type[BaseModel]], ...] = (
    ("shock_", Shock), ("head_kit_", Kit), ("shaft_kit_", Kit), ("tune_", Service),
    ("spring_", Spring),
)  # fmt: skip
_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "shock_head_carbon_lugs": words.YES_NO, "shock_shaft_carbon_lugs": words.YES_NO,
    "head_takes": words.KIT_KINDS, "shaft_takes": words.KIT_KINDS,
    "wish_spring_kind": words.SPRING_KINDS, "wish_tune_class": words.CLASSES,
    "wish_lockout": words.LOCKOUTS, "wish_remote": words.YES_NO,
    "clocking_turned": ("as fitted now", "turned 180 degrees"),
})  # fmt: skip


def unit_of(name: str) -> str:
    """Unit of a fact or figure."""
    if name in FIGURES:
        return FIGURES[name].unit
    field = field_of(name)
    if isinstance(field, Number):
        return field.unit
    for suffix in sorted(_SUFFIXES, key=len, reverse=True):
        if name.endswith("_" + suffix):
            return suffix
    return "money" if name.endswith(("price", "budget", "labour")) else "count"


@cache
def field_of(name: str) -> Number | Choice | None:
    """The declaration behind a leaf fact's name, None where it is not a model's field."""
    for prefix, model in _MODELS:
        field = name.removeprefix(prefix)
        if field != name and field in model.model_fields:
            return numbers(model).get(field) or choice_of(model.model_fields[field])
    for prefix, top in (("bike_", Bike), ("rider_", Rider)):
        if name.startswith(prefix):
            return _nested(top, name.removeprefix(prefix))
    mount = re.fullmatch(r"shock_(?:head|shaft)_(gap_mm|bolt_mm|grip_mm)", name)
    if mount:
        return _nested(Bike, f"head_{mount[1]}")
    return None


def _nested(model: type[BaseModel], path: str) -> Number | Choice | None:
    if path in model.model_fields:
        return numbers(model).get(path) or choice_of(model.model_fields[path])
    for name, info in model.model_fields.items():
        inner = info.annotation
        if path.startswith(name + "_") and isinstance(inner, type) and issubclass(inner, BaseModel):
            found = _nested(inner, path.removeprefix(name + "_"))
            if found is not None:
                return found
    return None


def tell(name: str, shown: Shown) -> str:
    """A fact or figure as text, without its unit."""
    if shown.kind == "thing":
        return _thing(shown.thing)
    if shown.kind == "place":
        third, side = PLACES[shown.codes[0]]
        return f"{third} third, {side} side"
    if shown.kind == "word":
        if len(shown.codes) > 1:
            return UNKNOWN
        field = field_of(name)
        accepted = _WORDS.get(name) or (field.values if isinstance(field, Choice) else ())
        code = shown.codes[0]
        return accepted[code] if 0 <= code < len(accepted) else UNKNOWN
    if name in _WORDS:
        return _WORDS[name][round(shown.nominal)] if shown.low == shown.high else UNKNOWN
    field = field_of(name)
    bounds = isinstance(field, Number) and (shown.low, shown.high) == (field.low, field.high)
    if (bounds and shown.low != shown.high) or math.isinf(shown.low):
        return UNKNOWN
    return span(shown.low, shown.high, fine(name, unit_of(name)))


def _thing(thing: object) -> str:
    if isinstance(thing, ApprovedSizes):
        pairs = zip(thing.lengths, thing.ceilings, strict=True)
        listed = [f"{length:g} x {ceiling:g}" for length, ceiling in pairs]
        return ", ".join(listed) + " mm" if listed else "none known"
    return UNKNOWN


_FITTING = re.compile(
    r"width|bore|sleeve|bushing|bolt|_gap_mm$|eye_|diameter|protrusion|thread|grip|hardware|eye "
)


def fine(name: str, unit: str) -> str:
    """Unit of a fact or rule about parts that fit into each other: hundredths matter there."""
    return "mm_fine" if unit == "mm" and _FITTING.search(name) and "tyre" not in name else unit


def sentence(template: str, completion: Completion, short: float, unit: str) -> str:
    """A rule's template filled from a completion; '{short}' is what is missing."""

    def fill(match: re.Match[str]) -> str:
        name = match[1]
        if name == "short":
            return number(short, unit)
        return tell(name, completion.shown(name))

    def between(match: re.Match[str]) -> str:
        """Two loose values with a 'to' between them: from the least to the most."""
        low, high = (completion.shown(name) for name in match.groups())
        if low.kind != "number" or low.kind != high.kind or low.low == low.high == high.high:
            return match[0]
        unit = fine(match[1], unit_of(match[1]))
        if not (math.isfinite(low.low) and math.isfinite(high.high)):
            return match[0]
        return span(min(low.low, high.low), max(low.high, high.high), unit)

    return re.sub(r"\{(\w+)\}", fill, re.sub(r"\{(\w+)\} to \{(\w+)\}", between, template))


def says(rule: Rule, completion: Completion, short: float) -> str:
    """The rule's sentence for a completion that breaks it."""
    return sentence(rule.says, completion, short, fine(rule.name, rule.unit))


def may_break(rule: Rule, completion: Completion, short: float) -> str:
    """The sentence where what is not exactly known decides."""
    hinges = completion.loose(rule)
    unknown = [leaf for leaf in hinges if tell(leaf, completion.shown(leaf)) == UNKNOWN]
    if unknown:
        listed = join(dict.fromkeys(grouped_words(unknown)))
        return f"can't be said yet, it hinges on {listed}"
    return f"at worst {says(rule, completion, short)}"


_AIR_SPRING = frozenset({
    "shock_piston_area_mm2", "shock_chamber_cm3", "shock_negative_area_mm2",
    "shock_negative_chamber_cm3", "shock_equalise_at_mm", "shock_volume_spacer_cm3",
    "shock_pressure_min_psi", "shock_pressure_max_psi",
})  # fmt: skip


def grouped_words(facts: Iterable[str], most: int = 3) -> list[str]:
    """Facts in words; many sides of the room, or of a body, in one."""
    facts = list(facts)
    out = []
    for prefix, together in (
        ("bike_room_", "the frame's room for the shock on {} sides"),
        ("shock_body_", "how far the shock's body reaches on {} sides"),
    ):
        some = [fact for fact in facts if fact.startswith(prefix)]
        if len(some) > most:
            facts = [fact for fact in facts if fact not in some]
            out.append(together.format(len(some)))
    air = [fact for fact in facts if fact in _AIR_SPRING]
    if len(air) > most:
        facts = [fact for fact in facts if fact not in air]
        out.append("the shock's air spring (its areas, chambers and pressure limits)")
    return [*out, *(fact_words(fact) for fact in facts)]


def join(items: Iterable[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    listed = list(items)
    return " and ".join([", ".join(listed[:-1]), listed[-1]] if len(listed) > 1 else listed)


def shortfall(rule: Rule, high: float) -> float:
    """What is missing for certain; 0 where the rule has no amount."""
    return 0.0 if rule.categorical or not math.isfinite(high) else max(0.0, -high)


def size_text(completion: Completion) -> str:
    """'210 x 52.5 eyelet'."""
    length = completion.shown("shock_length_mm")
    stroke = completion.shown("stroke_mm")
    mount = completion.shown("shock_head_mount")
    return (
        f"{tell('shock_length_mm', length)} x {tell('stroke_mm', stroke)} "
        f"{tell('shock_head_mount', mount)}"
    )


def completion_kind(completion: Completion) -> str:
    """Spring kind of the shock; blank where it is unknown."""
    codes = completion.shown("shock_spring_kind").codes
    return "air" if codes == (AIR,) else "coil" if codes == (COIL,) else ""


_SPECIAL: Mapping[str, str] = MappingProxyType({
    "bike_leverage": "the leverage curve",
    "bike_sizes": "the approved sizes",
    "bike_gap_compression_mm": "eye to eye while the tyre gap was measured",
    "bike_nominal_length_mm": "the frame's nominal length",
    "bike_tyre_closing": "how much of the wheel's movement goes toward the frame",
    "bike_allows_coil": "whether the frame maker allows a coil shock",
    "bike_allows_air": "whether the frame maker allows an air shock",
    "bike_allows_remote": "whether the frame can route a remote's cable",
    "bike_allows_end_for_end": "whether the frame maker allows mounting end for end",
    "bike_eyelet_axis": "how the frame's shaft bolt lies to its head bolt",
    "bike_mount": "what mount the frame takes at the shock's head",
    "classes": "the tune-class table",
    "shock_rider_mass_limit_basis": "what the shock's mass limit is about",
    "shock_eyelet_turnable": "whether the shock's manual lets the shaft eye be turned by hand",
    "shock_eyelet_axis": "how the shock's shaft eye lies to its head bolt",
    "shock_end_for_end": "whether the shock's manual allows mounting it end for end",
    "shock_remote_lockout": "whether the shock's lockout works by a remote",
    "shock_equalise_at_mm": "where the shock's two air chambers equalise",
    "shock_volume_spacer_cm3": "the volume of one of the shock's spacers",
    "shock_head_eye": "whether the shock's head eye holds a bushing or a bearing",
    "shock_shaft_eye": "whether the shock's shaft eye holds a bushing or a bearing",
    "shock_pressure_max_psi": "the highest pressure the shock may hold",
    "shock_pressure_min_psi": "the lowest pressure the shock may hold",
    "shock_volume_spacers_max": "how many volume spacers the shock takes",
    "shock_preload_turns_max": "the most preload the shock allows",
    "shock_spring_length_max_mm": "the longest spring the shock's collar reaches",
    "shock_spring_length_min_mm": "the shortest spring the shock's collar reaches",
    "tune_compression_class": "the tune's compression class",
    "tune_rebound_class": "the tune's rebound class",
    "tune_lockout_class": "the tune's lockout class",
    "rider_mass_with_kit_kg": "the rider's mass with kit",
    "rider_rear_share": "the share of the rider's mass on the rear wheel",
})  # fmt: skip
_OWNERS: Mapping[str, str] = MappingProxyType({
    "shock": "the shock's", "bike": "the bike's", "rider": "the rider's", "spring": "the spring's",
    "tune": "the tune's", "head_kit": "the head kit's", "shaft_kit": "the shaft kit's",
    "stroke": "the set",
})  # fmt: skip


def fact_words(leaf: str) -> str:
    """A leaf fact in words: 'the frame's gap at the shaft end', 'the shock's piston area'."""
    if leaf in _SPECIAL:
        return _SPECIAL[leaf]
    if mount := re.fullmatch(r"(?:shock|bike)_(head|shaft)_(gap|bolt|grip)_mm", leaf):
        return f"the frame's {mount[2]} at the {mount[1]} end"
    if lugs := re.fullmatch(r"shock_(head|shaft)_carbon_lugs", leaf):
        return f"whether the frame's lugs at the {lugs[1]} end are carbon"
    if zone := re.fullmatch(r"(bike_room|shock_body)_(head|middle|shaft)_(\w+)_mm", leaf):
        what = "the frame's room" if zone[1] == "bike_room" else "how far the shock's body reaches"
        return f"{what} at the {zone[2]} third, {zone[3]} side"
    if eye := re.fullmatch(r"shock_(head|shaft)_eye_(width|bore)_mm", leaf):
        return f"the {eye[2]} of the shock's {eye[1]} eye"
    owner = next((o for o in _OWNERS if leaf.startswith(o + "_")), "")
    rest = leaf.removeprefix(owner + "_")
    for suffix in sorted(_SUFFIXES, key=len, reverse=True):
        if rest.endswith("_" + suffix):
            rest = rest.removesuffix("_" + suffix)
            break
    return f"{_OWNERS.get(owner, 'the')} {rest.replace('_', ' ')}"


def rule_label(rule: str) -> str:
    """A rule as it stands before its sentence: 'budget wished for'."""
    return f"{rule.removeprefix('wish: ')} wished for" if rule.startswith("wish: ") else rule
