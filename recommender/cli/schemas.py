"""The JSON Schemas of what the commands print with --json, by name."""

from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pydantic import BaseModel

_RECORDS: Mapping[str, tuple[str, str, str]] = MappingProxyType({
    "answer": ("answer.records", "Answer", "shortlist, rejections"),
    "bundle": ("answer.replies", "BundleAnswer", "bundle"),
    "turned-down": ("answer.replies", "TurnedAnswer", "why"),
    "comparison": ("answer.replies", "Comparison", "compare"),
    "holdings": ("answer.replies", "Holdings", "holds"),
    "clash": ("answer.replies", "Clash", "give-up"),
    "measures": ("answer.replies", "Measures", "measure"),
    "find": ("advice.find", "FindAccount", "find"),
    "served": ("advice.reverse", "Reverse", "serves"),
    "fit-list": ("advice.told", "FitList", "fit-list"),
    "advice": ("advice.advice", "Advice", "advise"),
    "brief": ("advice.brief", "Brief", "brief"),
    "import": ("advice.told", "ImportReport", "import-stock"),
    "checked": ("advice.told", "Checked", "check-catalogue"),
    "doubts": ("advice.told", "Doubts", "doubts"),
    "changes": ("advice.told", "Changes", "changes"),
    "written-back": ("advice.told", "WrittenBack", "fitted"),
    "fleet-plan": ("fleet.records", "PlanRecord", "fleet plan, fleet bikes"),
    "fleet-without": ("fleet.records", "DropRecord", "fleet without"),
    "fleet-spares": ("fleet.records", "SparesRecord", "fleet spares"),
    "fleet-rollout": ("fleet.rollout_records", "RolloutRecord", "fleet rollout"),
    "fleet-charts": ("fleet.records", "ChartsRecord", "fleet charts"),
})  # fmt: skip
"""Name -> module and class of the record, and the commands that print it. Imported when asked."""

COMMANDS: Mapping[str, str] = MappingProxyType({name: one[2] for name, one in _RECORDS.items()})
"""Name of a schema -> the commands whose --json keeps to it."""


def record(name: str) -> "type[BaseModel]":
    """The record of that name."""
    module, kind, _ = _RECORDS[name]
    found: type[BaseModel] = getattr(import_module(f"recommender.{module}"), kind)
    return found


def json_schema(name: str) -> dict[str, Any]:
    """JSON Schema 2020-12 of one kind of answer; its id carries the version."""
    kind = record(name)
    version = kind.model_fields["schema_version"].default
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:recommender:{name}:{version}",
        **kind.model_json_schema(mode="serialization"),
    }
