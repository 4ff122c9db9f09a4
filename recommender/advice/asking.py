"""Answers into a question's file: what is still to ask, and each answer read as it is written.

A document is the nested mapping that the file holds. Values stay in the units the person writes;
'?' stands for 'don't know' and is kept, so that a resumed file does not ask again.
"""

import math
import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any

from recommender.advice.questions import MODELS, QUESTIONS, Question, field_at
from recommender.catalogue.document import canonical, merge, validate
from recommender.facts.bike import Bike, Size
from recommender.facts.fields import numbers
from recommender.facts.nearest import nearest
from recommender.facts.quantity import Choice, Number, Quantity
from recommender.facts.wishes import Wishes

Document = dict[str, Any]
DONT_KNOW = frozenset({"", "?", "unknown", "don't know", "dont know", "no idea", "-"})
SEATS = {"29": 622, "27.5": 584, "26": 559}
"""Wheel size in inches -> bead seat diameter, mm (ISO 5775-1, in paraphrase)."""

_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_BY = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_UNIT_LESS = re.compile(r"(?:^|[^\w.])[0-9.]+\s*$")
_TAIL = re.compile(r"[0-9.]\s*([a-zA-Z\"]+)\s*$")
_SPAN = re.compile(r"^\s*(\S+?)\s*(?:to|-|–|\.\.)\s*(\S+?)\s*$")
MOST_LETTERS = 200


def pending(document: Document, frame: Mapping[str, Any] | None = None) -> Iterator[Question]:
    """The questions still open, in order, less those that the frame's own facts answer."""
    for question in QUESTIONS:
        if any(_get(document, place) is not None for place in question.fills):
            continue
        if frame and all(_told(frame, place) for place in question.fills):
            continue
        if _moot(question, document, frame or {}):
            continue
        yield question


def _moot(question: Question, document: Document, frame: Mapping[str, Any]) -> bool:
    mount = _get(document, "bike.mount") or frame.get("mount")
    if question.mount and mount in ("eyelet", "trunnion") and mount != question.mount:
        return True
    if question.name == "mass-basis":
        limit = _get(document, "bike.limits.rider_mass_kg")
        return limit is None or limit == "?"
    if question.name in ("spacers", "spring", "condition"):
        return _get(document, "bike.present_shock.part_number") in (None, "")
    return False


def _told(frame: Mapping[str, Any], place: str) -> bool:
    top, *path = place.split(".")
    inner: Any = frame if top == "bike" else {}
    for name in path:
        inner = inner.get(name) if isinstance(inner, Mapping) else None
    return inner is not None and not (isinstance(inner, Quantity) and not inner.known)


def answered(document: Document, question: Question, text: str) -> Document:
    """The document with the answer in it. ValueError says what is accepted instead."""
    if len(text) > MOST_LETTERS:
        raise ValueError(f"an answer of {len(text)} letters; at most {MOST_LETTERS} are accepted")
    text = " ".join(text.split())
    out = deepcopy(document)
    for place, value in _values(question, text):
        _put(out, place, value)
    _check(out, question)
    return out


def _values(question: Question, text: str) -> list[tuple[str, Any]]:
    if text.lower() in DONT_KNOW:
        return _unknown(question)
    first = question.fills[0]
    if question.form == "text":
        return [(first, text)]
    if question.form == "word":
        return [(first, _word(question, text))]
    if question.form == "list":
        return _list(question, text)
    if question.form == "sizes":
        return [(first, [size_of(part) for part in text.split(";") if part.strip()])]
    if question.form == "seat":
        return [(first, SEATS.get(text.strip("\"' in")) or number_of(first, text))]
    if question.form == "row":
        return list(zip(question.fills, _row(question.fills, text), strict=False))
    if question.form == "ends":
        return list(zip(question.fills, _ends(question.fills, text), strict=True))
    if question.form == "range":
        low, high = _ends(("bike.leverage.travel_mm",) * 2, text)
        return [(first, {"must": [_in_mm(low), _in_mm(high)]})]
    if question.form == "most":
        return [(first, {"must": _plain(text)})]
    if question.name == "sag":
        return [(first, _plain(text.rstrip("% ")))]
    return [(first, number_of(first, text))]


def _unknown(question: Question) -> list[tuple[str, Any]]:
    """'Don't know' as the file keeps it: whatever the model takes for unset."""
    first = question.fills[0]
    if question.name == "sag":
        return [(first, Wishes().sag_target_percent)]
    if question.name in ("name", "rider"):
        return [(first, "the bike" if question.name == "name" else "the rider")]
    if question.form == "text":
        return [(first, "")]
    if question.name == "tools":
        return [(first, [])]
    if question.form in ("most", "range", "list"):
        return [(first, {})]
    return [(first, [])] if question.form == "sizes" else [(place, "?") for place in question.fills]


def number_of(place: str, text: str) -> Any:
    """A number as the file keeps it: bare if it is, else the text with its unit or tolerance."""
    clean = _COMMA.sub(".", text.replace("’", "'"))
    field = field_at(place)
    if not isinstance(field, Number):
        raise TypeError(f"{place} is no number")
    got = field.parse(clean)
    bare = got.kind == "exact" and _UNIT_LESS.search(clean) is not None
    return _tidy(got.low) if bare else clean


def _row(places: tuple[str, ...], text: str) -> list[Any]:
    """'22.2 x 8' for two places, or the first alone; a unit at the end goes for all."""
    parts = _BY.split(text)
    if len(parts) > len(places) or not all(parts):
        most = {2: "two", 3: "up to three", 4: "up to four"}[len(places)]
        raise ValueError(f"accepted: one number, or {most} as in '22.2 x 8'")
    tail = _TAIL.search(parts[-1])
    if tail:
        bare = [_UNIT_LESS.search(_COMMA.sub(".", part)) for part in parts]
        parts = [f"{part} {tail[1]}" if one else part
                 for part, one in zip(parts, bare, strict=True)]  # fmt: skip
    return [number_of(place, part) for place, part in zip(places, parts, strict=False)]


def size_of(text: str) -> dict[str, Any]:
    """One approved size from '210 x 55' or '8.5 x 2.5 in'; ValueError tells what is accepted."""
    if len(text) > MOST_LETTERS:
        raise ValueError(f"a size of {len(text)} letters; at most {MOST_LETTERS} are accepted")
    length, *stroke = _BY.split(text.strip())
    if len(stroke) > 1 or not all((length, *stroke)):
        raise ValueError("accepted: length x stroke, as in '210 x 55' or '8.5 x 2.5 in'")
    tail = _TAIL.search(stroke[0]) if stroke else None
    if tail and _UNIT_LESS.search(_COMMA.sub(".", length)):
        length = f"{length} {tail[1]}"
    out = {"length_mm": _sized("length_mm", length)}
    if stroke:
        out["stroke_ceiling_mm"] = _sized("stroke_ceiling_mm", stroke[0])
    return out


def _sized(name: str, text: str) -> Any:
    clean = _COMMA.sub(".", text)
    got = numbers(Size)[name].parse(clean)
    return _tidy(got.low) if got.kind == "exact" and _UNIT_LESS.search(clean) else clean


def _ends(places: tuple[str, ...], text: str) -> list[Any]:
    match = _SPAN.match(_COMMA.sub(".", text))
    if not match:
        raise ValueError("two numbers are wanted, as in '2.9 to 2.3'")
    return [number_of(place, one) for place, one in zip(places, match.groups(), strict=True)]


def _in_mm(value: Any) -> float:
    field = field_at("bike.leverage.travel_mm")
    if not isinstance(field, Number):
        raise TypeError("travel is no number")
    return field.parse(value).low


def _plain(text: str) -> Any:
    try:
        value = float(_COMMA.sub(".", text))
    except ValueError:
        raise ValueError("a plain number is wanted") from None
    if not math.isfinite(value):
        raise ValueError("NaN and infinity are not accepted")
    return _tidy(value)


def _tidy(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _word(question: Question, text: str) -> str:
    field = field_at(question.fills[0])
    if not isinstance(field, Choice):
        raise TypeError(f"{question.fills[0]} is no choice")
    short = {word[0]: word for word in field.values}
    if len(text) == 1 and len(short) == len(field.values) and text.lower() in short:
        return short[text.lower()]
    return field.parse(text) or "?"


def _list(question: Question, text: str) -> list[tuple[str, Any]]:
    listed = [part.strip().lower() for part in re.split("[;,]", text) if part.strip()]
    if listed == ["none"]:
        listed = []
    for part in listed:
        if part not in question.words:
            accepted = "; ".join(question.words)
            raise ValueError(f"{part!r}: accepted: {accepted}{nearest(part, question.words)}")
    if question.name == "adjusters":
        return [(question.fills[0], {"must": listed} if listed else {})]
    return [(question.fills[0], listed)]


def _check(document: Document, question: Question) -> None:
    """What the models themselves say of the table that the answer went into."""
    top = question.fills[0].split(".")[0]
    raw, faults = canonical(document[top], MODELS[top], top, "")
    _, more = validate(raw, MODELS[top], top, "")
    for problem in (*faults, *more):
        raise ValueError(f"{problem.column}: {problem.message}".removeprefix(f"{top}: "))


def bike_of(
    document: Document, frame: Mapping[str, Any] | None = None
) -> tuple[Bike | None, tuple[str, ...]]:
    """The bike as far as it is told, the frame's facts under it; and why it cannot stand, if so."""
    raw, faults = canonical(document.get("bike", {}), Bike, "bike", "")
    bike, more = validate(merge(frame or {}, raw, Bike), Bike, "bike", "")
    problems = tuple(f"{one.column}: {one.message}" for one in (*faults, *more))
    return None if problems else bike, problems


def _get(document: Mapping[str, Any], place: str) -> Any:
    inner: Any = document
    for name in place.split("."):
        if not isinstance(inner, Mapping) or name not in inner:
            return None
        inner = inner[name]
    return inner


def _put(document: Document, place: str, value: Any) -> None:
    *path, last = place.split(".")
    inner = document
    for name in path:
        inner = inner.setdefault(name, {})
    inner[last] = value
