"""Facts and rules by name: the unit and declaration behind a name, and the name in words."""

import re
from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from recommender.facts.bike import Bike
from recommender.facts.fields import choice_of, model_in, number_of
from recommender.facts.parts import Kit, Service, Shock, Spring
from recommender.facts.quantity import Choice, Number
from recommender.facts.rider import Rider
from recommender.rules.registry import FIGURES

_SUFFIXES = ("mm2", "cm3", "mm", "psi", "kg", "g", "percent", "n_per_mm", "n_s_per_m", "days")
_MODELS: tuple[tuple[str, type[BaseModel]], ...] = (
    ("shock_", Shock), ("head_kit_", Kit), ("shaft_kit_", Kit), ("kit_", Kit),
    ("tune_", Service),
    ("spring_", Spring),
)  # fmt: skip


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


def field_of(name: str) -> Number | Choice | None:
    """Unit and bounds, or words, of a leaf fact; None where it is not a model's field."""
    field = _declared(name)
    return None if field is None else number_of(field) or choice_of(field)


@cache
def _declared(name: str) -> FieldInfo | None:
    """The model's field behind a leaf fact's name."""
    for prefix, model in _MODELS:
        field = name.removeprefix(prefix)
        if field != name and field in model.model_fields:
            return model.model_fields[field]
    for prefix, top in (("bike_", Bike), ("rider_", Rider)):
        if name.startswith(prefix):
            return _nested(top, name.removeprefix(prefix))
    mount = re.fullmatch(r"shock_(?:head|shaft)_(gap_mm|bolt_mm|grip_mm)", name)
    if mount:
        return _nested(Bike, f"head_{mount[1]}")
    return None


def _nested(model: type[BaseModel], path: str) -> FieldInfo | None:
    if path in model.model_fields:
        return model.model_fields[path]
    for name, info in model.model_fields.items():
        inner = model_in(info)
        if inner is not None and path.startswith(name + "_"):
            found = _nested(inner, path.removeprefix(name + "_"))
            if found is not None:
                return found
    return None


_FITTING = re.compile(
    r"width|bore|sleeve|bushing|bolt|_gap_mm$|eye_|diameter|protrusion|thread|grip|hardware|eye "
)


def fine(name: str, unit: str) -> str:
    """Unit of a fact or rule about parts that fit into each other: hundredths matter there."""
    return "mm_fine" if unit == "mm" and _FITTING.search(name) and "tyre" not in name else unit


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


def by_text(told: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """Rules (by their bits) and what is said of them: those of which the same is said together, as
    labels, in the order of the first."""
    labels: dict[str, list[str]] = {}
    for bit, text in told:
        labels.setdefault(text, []).append(rule_label(bit))
    return [(join(names), text) for text, names in labels.items()]


def join(items: Iterable[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    listed = list(items)
    return " and ".join([", ".join(listed[:-1]), listed[-1]] if len(listed) > 1 else listed)


_DERIVED: Mapping[str, str] = MappingProxyType({
    "bike_leverage": "the leverage curve",
    "bike_sizes": "the approved sizes",
    "bike_gap_compression_mm": "eye to eye while the tyre gap was measured",
    "bike_nominal_length_mm": "the frame's nominal length",
    "classes": "the tune-class table",
})
"""Facts of the question that are made of several fields; a field's own words are its title."""
_OWNERS: Mapping[str, str] = MappingProxyType({
    "shock": "the shock's", "bike": "the bike's", "rider": "the rider's", "spring": "the spring's",
    "tune": "the tune's", "head_kit": "the head kit's", "shaft_kit": "the shaft kit's",
    "kit": "the kit's", "stroke": "the set",
})  # fmt: skip


def fact_words(leaf: str) -> str:
    """A leaf fact in words: 'the frame's gap at the shaft end', 'the shock's piston area'."""
    field = _declared(leaf)
    if field is not None and field.title:
        return field.title
    if leaf in _DERIVED:
        return _DERIVED[leaf]
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
    return f"{_OWNERS.get(owner, 'the')} {plain_words(leaf.removeprefix(owner + '_'))}"


def plain_words(name: str) -> str:
    """A fact without whose it is, and without its unit: 'sleeve diameter'."""
    if name == "days":
        return "delivery"
    for suffix in sorted(_SUFFIXES, key=len, reverse=True):
        if name.endswith("_" + suffix):
            name = name.removesuffix("_" + suffix)
            break
    return name.replace("_", " ")


def rule_words(bit: str) -> str:
    """A rule's name as it stands in a sentence: 'budget'."""
    return bit.removeprefix("wish: ")


def rule_label(bit: str) -> str:
    """A rule as it stands before its sentence: 'budget wished for'."""
    return f"{rule_words(bit)} wished for" if bit.startswith("wish: ") else bit
