"""Which column of a file fills which field of a model."""

from dataclasses import dataclass

from pydantic import BaseModel

from recommender.catalogue.faults import Faults
from recommender.facts.fields import field_of, unknown_field


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a field's cells come from: position and name in the header, the name's unit if any.

    `required`: no cell may be blank or unknown.
    """

    position: int
    name: str
    unit: str | None
    required: bool = False


def origins(
    names: list[str], model: type[BaseModel], key: str, faults: Faults
) -> dict[str, Origin]:
    """Field -> its column. Faults: unknown, repeated and nameless columns, no key column.

    Nameless columns at the end are left out, as spreadsheets write them; a cell in one is not
    looked at.
    """
    while names and not names[-1]:
        names = names[:-1]
    found: dict[str, Origin] = {}
    for position, name in enumerate(names):
        if not name:
            faults.add(f"column {position + 1} has no name", row=1, kind="nameless")
            continue
        meant = field_of(name, model)
        if meant is None:
            faults.add(unknown_field(name, model), row=1, column=name, kind="unknown")
            continue
        field, unit = meant
        first = found.setdefault(field, Origin(position, name, unit, field == key))
        if first.position == position:
            continue
        if first.name == name:
            faults.add("this column stands twice", row=1, column=name, kind="twice")
        else:
            faults.add(
                f"{first.name} and {name} both give {field}: keep one", row=1, column=name,
                kind="twice",
            )  # fmt: skip
    if key not in found:
        hint = ""
        if len(names) == 1 and (separator := next((c for c in ";\t|" if c in names[0]), "")):
            hint = f"; cells are separated by commas here, not by {separator!r}"
        faults.add(f"the column {key} is missing: it names the row{hint}", row=1, kind="no key")
    return found
