"""TOML files: read, brought to the models' own field names and units, validated.

A document stays a nested mapping until it is validated, so that one can stand under another.
"""

import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

from recommender.catalogue.source import MEBIBYTE, decode, read_bytes
from recommender.catalogue.toml_fault import fault_of
from recommender.catalogue.wording import message_of
from recommender.facts.fields import field_of, numbers, plains, unknown_field
from recommender.facts.nearest import nearest
from recommender.facts.plain import Plain
from recommender.facts.problems import BadInput, Problem, shorten
from recommender.facts.quantity import Quantity

LARGEST = MEBIBYTE
MOST_VALUES = 5000
"""Values, tables and lists of a document counted together; a bike's file has some dozens."""
Model = TypeVar("Model", bound=BaseModel)
Raw = Mapping[str, Any]
_LIMITS = ("must", "prefer", "low", "high")
# The library's time grows with the square of a key's parts.
_LONG_KEY = re.compile(
    r"(?<![A-Za-z0-9_-])(?:(?:[A-Za-z0-9_-]++|\"[^\"\n]*+\"|'[^'\n]*+')[ \t]*+\.[ \t]*+){20}"
)


def read_toml(path: Path) -> tuple[dict[str, Any], bytes]:
    """The file's tables and its bytes; BadInput with the line of a fault in the writing."""
    data = read_bytes(path, LARGEST)
    file = str(path)
    text = decode(data, file)
    if key := _LONG_KEY.search(text):
        line = text.count("\n", 0, key.start()) + 1
        raise BadInput([Problem(file, "nested too deeply: a key of over 20 parts", row=line)])
    try:
        raw = tomllib.loads(text)
        count = _count(raw)
    except (ValueError, RecursionError) as error:
        raise BadInput([fault_of(error, text, file)]) from None
    if count > MOST_VALUES:
        raise BadInput([Problem(file, f"{count} values; at most {MOST_VALUES} are accepted")])
    return raw, data


def _count(value: Any) -> int:
    """The values in a document, tables and lists included."""
    if isinstance(value, Mapping):
        return 1 + sum(map(_count, value.values()))
    return 1 + sum(map(_count, value)) if isinstance(value, list) else 1


def top_tables(
    raw: Raw, accepted: Sequence[str], file: str
) -> tuple[dict[str, Raw], list[Problem]]:
    """The accepted top tables of a document, and problems for whatever else it holds."""
    tables: dict[str, Raw] = {}
    problems = []
    names = ", ".join(f"[{name}]" for name in accepted)
    for name, value in raw.items():
        if name not in accepted:
            message = f"no such table; accepted: {names}{nearest(name[:80], list(accepted))}"
            problems.append(Problem(file, message, column=shorten(name)))
        elif not isinstance(value, Mapping):
            message = f"a table [{name}] is wanted"
            if isinstance(value, list):
                message += f", not a list: write [{name}] with one pair of brackets, once"
            problems.append(Problem(file, message, column=name, value=shown(value)))
        else:
            tables[name] = value
    return tables, problems


def canonical(
    raw: Raw, model: type[BaseModel], path: str, file: str
) -> tuple[dict[str, Any], list[Problem]]:
    """The document under the model's own field names, its numbers parsed to `Quantity`.

    Names in another unit (`gap_in`) convert, at any depth. What is wrong is left out and told.
    """
    out: dict[str, Any] = {}
    written: dict[str, str] = {}
    problems: list[Problem] = []
    for name, value in raw.items():
        place = f"{path}.{shorten(name)}"
        meant = field_of(name, model)
        if meant is None:
            message = unknown_field(name, model)
            problems.append(Problem(file, message, column=place, value=shown(value)))
            continue
        field, unit = meant
        if field in written:
            message = f"{written[field]} and {name} both give {field}: keep one"
            problems.append(Problem(file, message, column=place, value=shown(value)))
            continue
        written[field] = name
        try:
            number = numbers(model).get(field)
            out[field] = number.parse(value, unit) if number else value
        except ValueError as error:
            problems.append(Problem(file, str(error), column=place, value=shown(value)))
            continue
        more: list[Problem] = []
        plain = plains(model).get(field)
        if plain:
            out[field], more = _plain(out[field], plain, unit, place, file)
        if not more:
            annotation = model.model_fields[field].annotation
            out[field], more = _nested(out[field], annotation, place, file)
        problems.extend(more)
        if more and (plain or isinstance(out[field], list)):
            del out[field]
    return out, problems


def merge(under: Raw, over: Raw, model: type[BaseModel]) -> dict[str, Any]:
    """`over` upon `under`, both canonical: where `over` is silent or blank, `under` stands.

    Tables merge field by field, lists replace whole.
    """
    out = dict(under)
    for field, value in over.items():
        below = out.get(field)
        sub = _model_in(model.model_fields[field].annotation)
        if sub is not None and isinstance(value, Mapping) and isinstance(below, Mapping):
            out[field] = merge(below, value, sub)
        elif below is None or not _blank(value):
            out[field] = value
    return out


def validate(
    raw: Raw, model: type[Model], path: str, file: str
) -> tuple[Model | None, list[Problem]]:
    """The validated record, or every problem with its dotted place (list items from 1)."""
    try:
        return model.model_validate(dict(raw)), []
    except ValidationError as error:
        return None, [
            Problem(
                file,
                message_of(fault),
                column=path + "".join(_step(part) for part in fault["loc"]),
                value=shown(fault["input"]) if fault["type"] != "missing" else None,
            )
            for fault in error.errors(include_url=False)
        ]
    except RecursionError:
        return None, [Problem(file, "nested too deeply", column=path)]


def shown(value: Any) -> str | None:
    """A scalar as a message shows it; None for tables and lists, which the place names."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Mapping | list | tuple | Quantity | BaseModel):
        return None
    try:
        return shorten(str(value), 200)
    except ValueError:  # an integer of more digits than str() writes
        return "a very long number"


def _plain(
    value: Any, plain: Plain, unit: str | None, place: str, file: str
) -> tuple[Any, list[Problem]]:
    """The value with its plain numbers in the field's unit: alone, in a list, or the limits of a
    wish or a range."""
    if isinstance(value, list):
        steps: list[tuple[Any, str]] = [(k, f"{place}[{k + 1}]") for k in range(len(value))]
        out: Any = list(value)
    elif isinstance(value, Mapping):
        steps = [(key, f"{place}.{key}") for key in _LIMITS if key in value]
        out = dict(value)
    else:
        try:
            return plain.parse(value, unit), []
        except ValueError as error:
            return value, [Problem(file, str(error), column=place, value=shown(value))]
    problems: list[Problem] = []
    for key, where in steps:
        out[key], more = _plain(value[key], plain, unit, where, file)
        problems.extend(more)
    return out, problems


def _nested(value: Any, annotation: Any, place: str, file: str) -> tuple[Any, list[Problem]]:
    """A field's value with the tables inside it made canonical."""
    sub = _model_in(annotation)
    if isinstance(value, Mapping) and sub is not None:
        return canonical(value, sub, place, file)
    if isinstance(value, list) and sub is not None:
        items: list[Any] = []
        problems = _no_tables(value, sub, place, file) if _is_list(annotation) else []
        for i, item in enumerate(value):
            inner: Any = item
            more: list[Problem] = []
            if isinstance(item, Mapping):
                inner, more = canonical(item, sub, f"{place}[{i + 1}]", file)
            elif isinstance(item, bool) and not problems:
                more = [_no_number(item, f"{place}[{i + 1}]", file)]
            problems.extend(more)
            items.append(inner)
        return items, problems
    wants_number = _takes(annotation, float) and not _takes(annotation, bool)
    inside = value if isinstance(value, Mapping) else {"": value}
    problems = [
        _no_number(item, f"{place}.{shorten(key)}" if key else place, file)
        for key, item in inside.items()
        if wants_number and isinstance(item, bool)
    ]
    return value, problems


def _no_tables(
    value: list[Any], model: type[BaseModel], place: str, file: str
) -> list[Problem]:
    """The items of a list of tables that are none: the first, and how many like it."""
    wrong = [i for i, item in enumerate(value) if not isinstance(item, Mapping)]
    if not wrong:
        return []
    fields = ", ".join(f"{name} = ..." for name in model.model_fields)
    rest = f"; {len(wrong) - 1} more entries likewise" if len(wrong) > 1 else ""
    message = f"a table of fields is wanted: {{ {fields} }}{rest}"
    where = f"{place}[{wrong[0] + 1}]"
    return [Problem(file, message, column=where, value=shown(value[wrong[0]]))]


def _is_list(annotation: Any) -> bool:
    """Whether the field takes a list of tables."""
    return get_origin(annotation) is tuple or any(map(_is_list, get_args(annotation)))


def _no_number(value: bool, place: str, file: str) -> Problem:
    """pydantic would take true for 1; in a file it is a slip."""
    return Problem(file, "a number is wanted", column=place, value=shown(value))


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The model that an annotation names, alone, as optional or as a tuple's items."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (_model_in(part) for part in get_args(annotation))
    return next((model for model in found if model is not None), None)


def _takes(annotation: Any, kind: type) -> bool:
    if annotation is kind:
        return True
    return any(_takes(part, kind) for part in get_args(annotation) if part is not Ellipsis)


def _blank(value: Any) -> bool:
    if isinstance(value, Quantity):
        return not value.known
    return isinstance(value, str) and value.strip().lower() in ("", "?", "unknown")


def _step(part: int | str) -> str:
    return f"[{part + 1}]" if isinstance(part, int) else f".{shorten(part)}"
