"""What a model says of its fields, as readers, checks and schemas ask for it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, TypeVar, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from recommender.facts.lookalike import foreign_letter
from recommender.facts.marks import Blank, Only
from recommender.facts.nearest import nearest
from recommender.facts.plain import Plain
from recommender.facts.quantity import Choice, Number
from recommender.facts.units import UNITS, Measured, split_unit, units_of

Kind = TypeVar("Kind")


@dataclass(frozen=True, slots=True)
class Text:
    """Bounds of a text field; `pattern` is matched against the whole text."""

    least: int = 0
    most: int = 200
    pattern: str | None = None

    def fault(self, text: str) -> str | None:
        """What is wrong with the text, None if nothing is."""
        if len(text) > self.most:
            return f"a text of {len(text)} letters; at most {self.most} are accepted"
        if len(text) < self.least:
            return "a blank is not accepted here"
        if self.pattern is not None and not re.fullmatch(self.pattern, text):
            return pattern_meaning(self.pattern, text)
        # Tabs and line ends may stand in a spreadsheet's cell; other control characters may not.
        if any((c < " " and c not in "\t\n\r") or c == "\x7f" for c in text):
            return "control characters are not accepted"
        return None


@cache
def numbers(model: type[BaseModel]) -> Mapping[str, Number]:
    """The model's numeric fields, in its order."""
    found = {name: _first(field, Number) for name, field in model.model_fields.items()}
    return MappingProxyType({name: number for name, number in found.items() if number})


@cache
def plains(model: type[BaseModel]) -> Mapping[str, Plain]:
    """The model's fields of plain numbers in a unit, in its order."""
    found = {name: _first(field, Plain) for name, field in model.model_fields.items()}
    return MappingProxyType({name: plain for name, plain in found.items() if plain})


def units(model: type[BaseModel]) -> Mapping[str, Measured]:
    """Every field that a unit belongs to, with its declaration."""
    return {**numbers(model), **plains(model)}


@cache
def only(model: type[BaseModel]) -> Mapping[str, Only]:
    """The fields that parts of one kind alone have."""
    found = {name: _first(field, Only) for name, field in model.model_fields.items()}
    return MappingProxyType({name: mark for name, mark in found.items() if mark})


@cache
def blanks(model: type[BaseModel]) -> Mapping[str, Blank]:
    """The fields in which a blank says something."""
    found = {name: _first(field, Blank) for name, field in model.model_fields.items()}
    return MappingProxyType({name: mark for name, mark in found.items() if mark})


@cache
def own(model: type[BaseModel], base: type[BaseModel]) -> tuple[str, ...]:
    """The numbers and choices that the model has beyond those of a base, in its order."""
    return tuple(
        name for name, field in model.model_fields.items()
        if name not in base.model_fields and (name in numbers(model) or choice_of(field))
    )  # fmt: skip


def model_in(field: FieldInfo) -> type[BaseModel] | None:
    """The model that a field holds, alone or where it is told at all; None where it holds none."""
    kinds = (field.annotation, *get_args(field.annotation))
    return next((k for k in kinds if isinstance(k, type) and issubclass(k, BaseModel)), None)


def number_of(field: FieldInfo) -> Number | None:
    """Unit and bounds of the field, None for a field of another kind."""
    return _first(field, Number)


def choice_of(field: FieldInfo) -> Choice | None:
    """The words the field takes, None for a field of another kind."""
    return _first(field, Choice)


def text_of(field: FieldInfo) -> Text:
    """The text bounds of a field that is neither number nor choice."""
    least = most = pattern = None
    for part in field.metadata:
        least = getattr(part, "min_length", least)
        most = getattr(part, "max_length", most)
        pattern = getattr(part, "pattern", pattern)
    return Text(least or 0, 200 if most is None else most, pattern)


def unknown_field(name: str, model: type[BaseModel]) -> str:
    """Message for a name the model has no field for: its other units, or the nearest field."""
    for field, number in units(model).items():
        stem = field.removesuffix(number.unit)
        if number.unit in UNITS and name.startswith(stem) and stem != field:
            accepted = ", ".join(stem + unit for unit in units_of(UNITS[number.unit][0]))
            if name not in accepted.split(", ") and "_" not in name.removeprefix(stem):
                return f"unknown unit; accepted: {accepted}"
    accepted_names = list(model.model_fields)
    near = _nearest_in(name[:80], model) or nearest(name[:80], accepted_names)
    if near or len(accepted_names) > 16:
        return f"no such field{near}"
    return f"no such field; accepted: {', '.join(accepted_names)}"


def _nearest_in(name: str, model: type[BaseModel]) -> str:
    """The nearest name that ends in the unit typed, of the fields that accept it."""
    unit = name.rpartition("_")[2]
    same = [
        field.removesuffix(number.unit) + unit
        for field, number in units(model).items()
        if number.unit in UNITS and field.endswith("_" + number.unit)
        and unit in units_of(UNITS[number.unit][0]) and unit != number.unit
    ]  # fmt: skip
    return nearest(name, same)


def field_of(name: str, model: type[BaseModel]) -> tuple[str, str | None] | None:
    """Field and unit that a written name stands for: itself, or a field in another unit."""
    if name in model.model_fields:
        return name, None
    return split_unit(name, units(model))


def pattern_meaning(pattern: str, text: str = "") -> str:
    """An error message for a text that does not follow one of the models' patterns."""
    if pattern == r"^[A-Z]{3}$":
        return "a currency code of three capital letters is wanted, such as EUR"
    return (
        "accepted: a letter or digit first, then letters, digits, blanks and . _ / + - (no accents)"
        + foreign_letter(text)
    )


def _first(field: FieldInfo, kind: type[Kind]) -> Kind | None:
    parts: list[Any] = field.metadata
    return next((part for part in parts if isinstance(part, kind)), None)
