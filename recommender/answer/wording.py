"""Values and broken rules of a completion in words: one voice for terminal, page and JSON."""

import math
import re
from collections.abc import Mapping
from types import MappingProxyType

from recommender.answer.names import field_of, fine, grouped_words, join, unit_of
from recommender.answer.numbers import UNKNOWN, number, span
from recommender.facts import words
from recommender.facts.quantity import Choice, Number
from recommender.rules.mounting import AIR, COIL
from recommender.rules.registry import Rule
from recommender.rules.room import PLACES
from recommender.rules.size import ApprovedSizes
from recommender.search.completion import Completion, Shown

_WORDS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "shock_head_carbon_lugs": words.YES_NO, "shock_shaft_carbon_lugs": words.YES_NO,
    "head_takes": words.KIT_KINDS, "shaft_takes": words.KIT_KINDS,
    "wish_spring_kind": words.SPRING_KINDS, "wish_tune_class": words.CLASSES,
    "wish_lockout": words.LOCKOUTS, "wish_remote": words.YES_NO,
    "clocking_turned": ("as fitted now", "turned 180 degrees"),
})  # fmt: skip


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
        listed = [f"{number(length, 'mm')} x {number(ceiling, 'mm')}" for length, ceiling in pairs]
        return ", ".join(listed) + " mm" if listed else "none known"
    return UNKNOWN


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
    unknown = [leaf for leaf in hinges if _untold(leaf, completion)]
    if unknown:
        listed = join(dict.fromkeys(grouped_words(unknown)))
        return f"can't be said yet, it hinges on {listed}"
    return f"at worst {says(rule, completion, short)}"


def _untold(leaf: str, completion: Completion) -> bool:
    blank = leaf not in completion.frames.scalars and completion.unknown(leaf)
    return blank or tell(leaf, completion.shown(leaf)) == UNKNOWN


def shortfall(rule: Rule, high: float) -> float:
    """What is missing for certain; 0 where the rule has no amount."""
    return 0.0 if rule.categorical or not math.isfinite(high) else max(0.0, -high)


def size_mm_text(completion: Completion) -> str:
    """'210 x 52.5': length and stroke."""
    names = ("shock_length_mm", "stroke_mm")
    return " x ".join(tell(name, completion.shown(name)) for name in names)


def size_text(completion: Completion) -> str:
    """'210 x 52.5 eyelet'."""
    mount = completion.shown("shock_head_mount")
    return f"{size_mm_text(completion)} {tell('shock_head_mount', mount)}"


def completion_kind(completion: Completion) -> str:
    """Spring kind of the shock; blank where it is unknown."""
    codes = completion.shown("shock_spring_kind").codes
    return "air" if codes == (AIR,) else "coil" if codes == (COIL,) else ""
