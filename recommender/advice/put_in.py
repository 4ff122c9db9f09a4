"""Parts that were put into a bike, laid into its document by what the catalogue tells of them.

The file then tells what is on the bike: sizes of the hardware, rate and mass of a coil, and the
shock's own facts where work has changed what the catalogue tells of its number.
"""

from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel

from recommender.advice.asking import Document
from recommender.advice.delivered import TUNE
from recommender.advice.named import Found
from recommender.answer.records import KEPT, PutIn
from recommender.catalogue.foreign import written
from recommender.facts.bike import Bike, Mount, PresentShock, Sleeve
from recommender.facts.fields import field_of
from recommender.facts.parts import Shock
from recommender.facts.quantity import Quantity
from recommender.rules.tune_options import COEFFICIENTS

_ENDS = ("head", "shaft")
_SPRING = ("spring_rate_n_per_mm", "spring_mass_g", "spring_outer_diameter_mm")
_BARE = ("none", None)


def put(bike: Document, parts: PutIn, found: Found, frame: Bike) -> list[str]:
    """Lays the parts into the document's table of the bike; what was set, in words."""
    if parts == PutIn():
        return []
    told = []
    present = bike.setdefault("present_shock", {})
    if found.new:
        # What stood there was said of the shock that came off.
        gone = [name for name in present if name != "part_number"]
        present.clear()
        present |= {"part_number": parts.shock, "condition": "good"}
        if gone:
            told.append(
                "bike.present_shock: taken out, said of another shock: " + ", ".join(gone)
            )
        told.append(f"bike.present_shock.part_number = {parts.shock}")
    for end in _ENDS:
        told += _hardware(bike, end, getattr(parts, f"{end}_kit"), found)
    told += _spring(present, parts, found)
    if parts.service:
        set_field(present, PresentShock, "condition", "good")
        told.append("bike.present_shock.condition = good")
    told += _changed(present, _by_work(parts, found, frame))
    return told


def _hardware(bike: Document, end: str, named: str, found: Found) -> list[str]:
    """The hardware at an end, by its sizes."""
    if not named:
        return []
    kit = found.kits.get(end)
    if kit is None:
        sleeve: Sleeve = getattr(found.old, f"{named.removeprefix('from-')}_sleeve")
    else:
        sleeve = Sleeve(
            width_mm=kit.width_mm, bore_mm=kit.bore_mm, diameter_mm=kit.sleeve_diameter_mm,
            condition="good", mass_g=kit.mass_g,
        )  # fmt: skip
    facts = _known(sleeve, Sleeve.model_fields)
    told = []
    if kit is not None and kit.kind == "trunnion bolts":
        facts = _known(sleeve, ("mass_g",))
        mount = bike.setdefault("head", {})
        bolts = {"trunnion_thread": kit.thread, "bolt_protrusion_mm": _plain(kit.protrusion_mm)}
        for name, value in bolts.items():
            set_field(mount, Mount, name, value)
            told.append(f"bike.head.{name} = {'?' if value is None else value}")
    bike["present_shock"][f"{end}_sleeve"] = facts
    told.append(f"bike.present_shock.{end}_sleeve = {_words(facts)}")
    return told


def _spring(present: Document, parts: PutIn, found: Found) -> list[str]:
    """The coil, or how many spacers are in it."""
    facts: Document = {}
    if parts.spacers is not None:
        facts = {"volume_spacers": parts.spacers}
    elif found.spring is not None:
        facts = {
            name: _plain(getattr(found.spring, name.removeprefix("spring_"))) for name in _SPRING
        }
    elif parts.spring == KEPT:
        facts = {name: _plain(getattr(found.old, name)) for name in _SPRING}
    told = []
    if facts and not found.new and present.pop("sag_mm", None) is not None:
        told.append("bike.present_shock.sag_mm: taken out, measured with another spring")
    for name, value in facts.items():
        set_field(present, PresentShock, name, value)
        told.append(f"bike.present_shock.{name} = {'?' if value is None else value}")
    return told


def _by_work(parts: PutIn, found: Found, frame: Bike) -> Document:
    """The shock's own facts that work on it has changed."""
    shock, out = found.shock, Document()
    if shock is None:
        return out
    if found.service is not None:
        out |= {name: getattr(found.service, name) for name in TUNE}
        # What was measured of the damper was measured of the tune it had.
        out |= {name: "unknown" for name in COEFFICIENTS if getattr(shock, name).known}
    if parts.stroke_mm is not None:
        out["stroke_mm"] = parts.stroke_mm
    if parts.eye_turned:
        crosswise = {"crosswise": "parallel", "parallel": "crosswise"}
        out["eyelet_axis"] = frame.eyelet_axis or crosswise.get(shock.eyelet_axis or "")
    for end, kit in found.kits.items():
        # A kit with its own bushing leaves that in the eye, and with it the sleeve it takes.
        takes, brings = getattr(shock, f"{end}_sleeve_diameter_mm"), kit.sleeve_diameter_mm
        if kit.bushing not in _BARE and brings.known and brings != takes:
            out[f"{end}_sleeve_diameter_mm"] = _plain(brings)
    return out


def _changed(present: Document, changed: Document) -> list[str]:
    """Those facts over what the catalogue tells of the shock."""
    facts = present.setdefault("facts", {}) if changed else {}
    for name, value in changed.items():
        set_field(facts, Shock, name, "unknown" if value is None else value)
    return [f"bike.present_shock.facts.{name} = {facts[name]}" for name in changed]


def set_field(table: Document, model: type[BaseModel], name: str, value: Any) -> None:
    """The field under its own name, in whatever unit it stood before; None: not told."""
    for written_as in list(table):
        meant = field_of(written_as, model)
        if meant is not None and meant[0] == name:
            del table[written_as]
    if value is not None:
        table[name] = value


def _known(record: BaseModel, names: Iterable[str]) -> Document:
    """What is told of the record, as a file holds it."""
    found = {name: _plain(getattr(record, name)) for name in names}
    return {name: value for name, value in found.items() if value not in (None, "")}


def _plain(value: Any) -> Any:
    """A quantity as a file holds it; None: unknown."""
    if not isinstance(value, Quantity):
        return value
    if value.kind == "exact":
        return int(value.low) if value.low.is_integer() else value.low
    return written(value) or None


def _words(facts: Document) -> str:
    return ", ".join(f"{name} {value}" for name, value in facts.items()) or "nothing known"
