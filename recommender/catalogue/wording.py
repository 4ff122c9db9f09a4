"""What a failed validation means, in words for whoever wrote the file."""

from typing import TYPE_CHECKING

from recommender.facts.fields import pattern_meaning
from recommender.facts.quantity import TOO_LARGE

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails


def message_of(fault: "ErrorDetails") -> str:
    """The message for one entry of pydantic's `ValidationError.errors()`."""
    kind, context = fault["type"], fault.get("ctx", {})
    if kind in ("value_error", "assertion_error"):
        return str(context.get("error", fault["msg"]))
    if kind == "string_pattern_mismatch":
        return pattern_meaning(context["pattern"], str(fault["input"])[:80])
    if kind == "float_type" and isinstance(fault["input"], int):
        return TOO_LARGE
    if kind == "model_type":
        return _table_wanted(str(context.get("class_name", "")))
    template = _TEMPLATES.get(kind)
    return template.format(**context) if template else fault["msg"]


def _table_wanted(model: str) -> str:
    if model == "Band":
        return "a range is wanted, such as [25, 32]"
    if model.startswith("Wish["):
        return "a wish is wanted: {must = ...}, {prefer = ...} or both"
    return "a table of fields is wanted"


_TEMPLATES = {
    "missing": "must be given",
    "extra_forbidden": "no such field",
    "dict_type": "a table is wanted",
    "tuple_type": "a list is wanted",
    "list_type": "a list is wanted",
    "too_long": "at most {max_length} entries are accepted, not {actual_length}",
    "string_type": "a text in quotation marks is wanted",
    "string_too_long": "at most {max_length} letters are accepted",
    "string_too_short": "a blank is not accepted here",
    "string_unicode": "not valid text",
    "float_type": "a number is wanted",
    "float_parsing": "a number is wanted",
    "finite_number": "NaN and infinity are not accepted",
    "bool_type": "true or false is wanted",
    "bool_parsing": "true or false is wanted",
    "greater_than": "must be more than {gt:g}",
    "greater_than_equal": "must be {ge:g} or more",
    "less_than": "must be less than {lt:g}",
    "less_than_equal": "must be {le:g} or less",
}
"""pydantic's kinds of fault that the models can meet -> message, with its context filled in."""
