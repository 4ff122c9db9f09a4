"""The JSON Schema of everything that is printed with --json."""

from typing import Any

from recommender.answer.records import Answer, BundleRecord, Record, Turned
from recommender.answer.replies import Clash, Comparison, Holdings, Measures

ANSWERS: dict[str, type[Record]] = {
    "answer": Answer, "bundle": BundleRecord, "turned-down": Turned, "comparison": Comparison,
    "holdings": Holdings, "clash": Clash, "measures": Measures,
}  # fmt: skip
"""What the commands print with --json, by the name under which its schema is exported."""


def json_schema(name: str = "answer") -> dict[str, Any]:
    """JSON Schema 2020-12 of one kind of answer."""
    schema = ANSWERS[name].model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
