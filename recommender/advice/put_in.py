"""Parts that were put into a bike, laid into its document by what the catalogue tells of them.

The file then tells what is on the bike: sizes of the hardware, rate and mass of a coil, and the
shock's own facts where work has changed what the catalogue tells of its number.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from recommender.advice.asking import Document
from recommender.advice.delivered import TUNE
from recommender.advice.named import Found
from recommender.answer.records import KEPT, PutIn
from recommender.catalogue.foreign import written
from recommender.facts.bike import Bike, Mount, PresentShock, Sleeve
from recommender.facts.fields import field_of, numbers
from recommender.facts.parts import Shock
from recommender.facts.quantity import Quantity
from recommender.rules.tune_options import COEFFICIENTS

_ENDS = ("head", "shaft")
_SPRING = ("spring_rate_n_per_mm", "spring_mass_g", "spring_outer_diameter_mm")
_BARE = ("none", None)


def put(bike: Document, parts: PutIn, found: Found, frame: Bike) -> list[str]:
    """Lays the parts into the document's table of the bike; what was set, in words. `frame` is the
    bike as it was, with its frame's facts."""
    if parts == PutIn():
        return []
    present = bike.setdefault("present_shock", {})
    told = _new(present, parts) if found.new else _same(parts)
    before = dict(present)
    for end in _ENDS:
        told += _hardware(bike, end, getattr(parts, f"{end}_kit"), found)
    _spring(present, parts, found)
    _by_work(present, parts, found, frame)
    return [*told, *_set("bike.present_shock", before, present)]


def _new(present: Document, parts: PutIn) -> list[str]:
    """What stood there was said of the shock that came off."""
    gone = [f"{name} = {_words(value)}" for name, value in present.items() if name != "part_number"]
    present.clear()
    present |= {"part_number": parts.shock, "condition": "good"}
    told = [f"bike.present_shock.part_number = {parts.shock}, condition = good"]
    if gone:
        told.insert(0, f"bike.present_shock: taken out, said of another shock: {'; '.join(gone)}")
    return told


def _same(parts: PutIn) -> list[str]:
    told = (
        f"{parts.shock} is on the bike already and taken as the same one; only a broken one would "
        "count as replaced by another of its number."
    )
    return [told] if parts.shock else []


def _hardware(bike: Document, end: str, named: str, found: Found) -> list[str]:
    """The hardware at an end, by its sizes; what is told of the frame's own bolts."""
    if not named:
        return []
    present, kit = bike["present_shock"], found.kits.get(end)
    present.pop(f"{end}_sleeve", None)
    if kit is None:
        facts = known(getattr(found.old, f"{named.removeprefix('from-')}_sleeve"), Sleeve)
    else:
        facts = known(kit, Sleeve) | known(kit, Sleeve, diameter_mm="sleeve_diameter_mm")
        facts["condition"] = "good"
    bolts: Document = {}
    if kit is not None and kit.kind == "trunnion bolts":
        facts = {name: value for name, value in facts.items() if name == "mass_g"}
        bolts = known(kit, Mount, trunnion_thread="thread", bolt_protrusion_mm="protrusion_mm")
    if facts:
        present[f"{end}_sleeve"] = facts
    if not bolts:
        return []
    before = dict(bike.get("head", {}))
    mount = bike.setdefault("head", {})
    for name, value in bolts.items():
        set_field(mount, Mount, name, value)
    return [*_set("bike.head", before, mount)]


def _spring(present: Document, parts: PutIn, found: Found) -> None:
    """The coil, or how many spacers are in it; a sag that was measured with another spring goes."""
    facts: Document = {}
    if parts.spacers is not None:
        facts = {"volume_spacers": parts.spacers}
    elif found.spring is not None:
        facts = known(found.spring, PresentShock, **{
            name: name.removeprefix("spring_") for name in _SPRING
        })  # fmt: skip
    elif parts.spring == KEPT and found.new:
        facts = {name: value for name, value in known(found.old, PresentShock).items()
                 if name in _SPRING}  # fmt: skip
    for name, value in facts.items():
        if value != plain(getattr(found.old, name)):
            set_field(present, PresentShock, "sag_mm", None)
        set_field(present, PresentShock, name, value)


def _by_work(present: Document, parts: PutIn, found: Found, frame: Bike) -> None:
    """What work on the shock has changed of its own facts, over what the catalogue tells."""
    shock, changed = found.shock, Document()
    if parts.service:
        set_field(present, PresentShock, "condition", "good")
    if found.service is not None:
        # What was measured of the damper was measured of the tune it had.
        present["own_tune"] = "yes"
        changed |= {name: getattr(found.service, name) for name in TUNE}
        changed |= dict.fromkeys(COEFFICIENTS)
    if parts.stroke_mm is not None:
        changed["stroke_mm"] = parts.stroke_mm
    if parts.eye_turned:
        changed["eyelet_axis"] = frame.eyelet_axis
    for end, kit in found.kits.items():
        # A kit with its own bushing leaves that in the eye, and with it the sleeve it takes.
        name, brings = f"{end}_sleeve_diameter_mm", kit.sleeve_diameter_mm
        if kit.bushing not in _BARE and brings.known and brings != getattr(shock, name, None):
            changed[name] = plain(brings)
    facts = present.get("facts", {})
    for name, value in changed.items():
        set_field(facts, Shock, name, value)
    if facts:
        present["facts"] = facts


def _set(place: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
    """What differs, in words."""
    for name in dict.fromkeys((*before, *after)):
        old, new = before.get(name), after.get(name)
        if isinstance(new, Mapping) and name == "facts":
            yield from _set(f"{place}.{name}", old if isinstance(old, Mapping) else {}, new)
        elif old != new:
            yield f"{place}.{name}: taken out" if new is None else f"{place}.{name} = {_words(new)}"


def _words(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {inner}" for name, inner in value.items()) or "nothing"
    return str(value)


def set_field(table: Document, model: type[BaseModel], name: str, value: Any) -> None:
    """The field under its own name, in whatever unit it stood before; None: not told any more."""
    for written_as in list(table):
        meant = field_of(written_as, model)
        if meant is not None and meant[0] == name:
            del table[written_as]
    if value is not None:
        table[name] = value


def known(record: BaseModel, model: type[BaseModel], **names: str) -> Document:
    """What is told of the record that a file's table of that model can hold; `names`: the model's
    fields, each with the record's (none: those that both have)."""
    both = names or {name: name for name in model.model_fields if name in type(record).model_fields}
    out: Document = {}
    for name, own in both.items():
        value, bounds = getattr(record, own), numbers(model).get(name)
        if isinstance(value, Quantity) and bounds is not None and value.high > bounds.high:
            continue
        if plain(value) not in (None, "") and not isinstance(value, BaseModel):
            out[name] = plain(value)
    return out


def plain(value: Any) -> Any:
    """A quantity as a file holds it; None: unknown."""
    if not isinstance(value, Quantity):
        return value
    if value.kind == "exact":
        return int(value.low) if value.low.is_integer() else value.low
    return written(value) or None
