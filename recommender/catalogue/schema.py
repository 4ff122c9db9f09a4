"""The open description of a catalogue folder: Table Schema in a Data Package.

Frictionless Data Package v1 and Table Schema v1 (specs.frictionlessdata.io), made from the models
that the reader itself uses, for the columns that the files have.
"""

import json
import re
from pathlib import Path
from typing import Any

from pandas.errors import ParserError

from recommender.catalogue.cells import PLAIN_NUMBER
from recommender.catalogue.faults import Faults
from recommender.catalogue.header import Origin, origins
from recommender.catalogue.read import largest
from recommender.catalogue.rows import header_of, read_fast, read_slow
from recommender.catalogue.source import decode, read_bytes
from recommender.facts.fields import choice_of, numbers, text_of
from recommender.facts.parts import Row
from recommender.facts.quantity import Number
from recommender.facts.tables import OPTIONAL, TABLES
from recommender.facts.units import UNITS, convert
from recommender.files.whole import write_whole

_SIGN = r"\s*(?:\+/-|\+-|±)\s*"
_UNIT = r"(?:\s*[A-Za-z%°\"]\S*)?"
IMPRECISE = (
    rf"(?:{PLAIN_NUMBER}(?:(?:{_SIGN}|\s*(?:\.\.|to)\s*){PLAIN_NUMBER})?{_UNIT}"
    r"|\?|[Uu][Nn][Kk][Nn][Oo][Ww][Nn])"
)
"""What a number's cell may hold beside a plain number: tolerance, range, own unit, unknown."""

FILE = "datapackage.json"


def write_datapackage(folder: Path) -> None:
    """Write `datapackage.json` beside the tables it describes. Raises BadInput."""
    package = datapackage(folder)
    write_whole(folder / FILE, json.dumps(package, indent=2, ensure_ascii=False) + "\n")


def datapackage(folder: Path) -> dict[str, Any]:
    """The folder's Data Package: a resource for each table, fields in the file's own order.

    A numeric column that holds plain numbers alone is a `number` with bounds in the column's unit;
    one with a tolerance, a range or a unit in some cell is a `string` with a pattern, since the
    standard knows no such number. Raises BadInput if a table cannot be read.
    """
    return {
        "profile": "tabular-data-package",
        "name": "shock-catalogue",
        "title": "Rear shocks, mounting hardware, services and springs",
        "resources": [_resource(folder, name) for name in (*TABLES, *_there(folder))],
    }


def _there(folder: Path) -> list[str]:
    """The optional tables that the folder has."""
    return [name for name in OPTIONAL if (folder / f"{name}.csv").is_file()]


def _resource(folder: Path, name: str) -> dict[str, Any]:
    model, key = (TABLES | OPTIONAL)[name]
    path = folder / f"{name}.csv"
    data = read_bytes(path, largest(name))
    faults = Faults(str(path))
    names = header_of(decode(data, str(path)), faults)
    faults.stop()
    found = origins(names, model, key, faults)
    faults.stop()
    precise = _precise(data, found, model, len(names), faults)
    fields = sorted(found, key=lambda field: found[field].position)
    schema: dict[str, Any] = {
        "fields": [_field(model, field, found[field], field in precise) for field in fields],
        "missingValues": [""],
        "primaryKey": key,
    }
    if foreign := _foreign_keys(name, found):
        schema["foreignKeys"] = foreign
    return {
        "profile": "tabular-data-resource",
        "name": name,
        "description": " ".join((model.__doc__ or "").split()),
        "path": path.name,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema,
    }


def _precise(
    data: bytes, found: dict[str, Origin], model: type[Row], width: int, faults: Faults
) -> set[str]:
    """The numeric fields whose cells are all plain numbers or blank."""
    plain = re.compile(PLAIN_NUMBER).fullmatch
    precise = set(numbers(model)) & set(found)
    try:
        chunks = list(read_fast(data, width))
    except ParserError:
        chunks = list(read_slow(decode(data, faults.file), width, faults))
        faults.stop()
    for chunk in chunks:
        for field in tuple(precise):
            texts = chunk.columns[found[field].position].texts
            if not all(text == "" or plain(text) for text in texts):
                precise.discard(field)
    return precise


def _field(model: type[Row], field: str, origin: Origin, precise: bool) -> dict[str, Any]:
    info = model.model_fields[field]
    told = [] if info.description is None else [info.description]
    number, choice = numbers(model).get(field), choice_of(info)
    constraints: dict[str, Any] = {}
    if origin.required:
        constraints = {"required": True, "unique": True}
    if number is not None:
        unit = origin.unit or number.unit
        told.append(f"in {unit}" if unit in UNITS else f"a plain number ({unit})")
        if precise:
            constraints |= _bounds(number, unit)
        else:
            constraints["pattern"] = IMPRECISE
            told.append(
                number.accepted if number.counted
                else "12.5, '12.5 +/- 0.5' measured, '10 to 15', blank for unknown"
            )  # fmt: skip
    elif choice is not None:
        constraints["enum"] = list(choice.values)
    else:
        text = text_of(info)
        constraints["maxLength"] = text.most
        if text.pattern is not None:
            constraints["pattern"] = text.pattern.removeprefix("^").removesuffix("$")
    described: dict[str, Any] = {
        "name": origin.name,
        "type": "number" if number is not None and precise else "string",
    }
    if told:
        described["description"] = "; ".join(told)
    if constraints:
        described["constraints"] = constraints
    return described


def _bounds(number: Number, unit: str) -> dict[str, float]:
    if unit == number.unit:
        return {"minimum": number.low, "maximum": number.high}
    return {
        "minimum": convert(number.low, number.unit, unit),
        "maximum": convert(number.high, number.unit, unit),
    }


def _foreign_keys(name: str, found: dict[str, Origin]) -> list[dict[str, Any]]:
    """Keys into other tables; '' names the table itself."""
    keys = []
    if "supplier" in found and name != "suppliers":
        keys.append(_reference("supplier", "suppliers", "supplier"))
    if "pairs_with" in found:
        keys.append(_reference("pairs_with", "", "part_number"))
    if name == "delivered_tunes" and "shock" in found:
        keys.append(_reference("shock", "shocks", "part_number"))
    return keys


def _reference(field: str, resource: str, target: str) -> dict[str, Any]:
    return {"fields": field, "reference": {"resource": resource, "fields": target}}
