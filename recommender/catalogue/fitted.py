"""What was measured after fitting, put back into a bike's file; its comments and order stay."""

import math
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import Item

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.document import read_toml
from recommender.catalogue.question import Question, read_question
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem

MUCH_FRICTION = 0.15
"""Friction over the mean sag from which the readings are doubted. From memory."""


@dataclass(frozen=True)
class Measured:
    """Lengths in mm: sag at the shaft both ways, the gap bottomed with the air out and eye to eye
    at that moment; `shock` is the part number of a shock newly fitted."""

    sag_down: float | None = None
    sag_up: float | None = None
    gap: float | None = None
    eye_to_eye: float | None = None
    shock: str = ""

    @property
    def sag(self) -> float | None:
        """The mean of the two readings."""
        if self.sag_down is None or self.sag_up is None:
            return None
        return (self.sag_down + self.sag_up) / 2

    @property
    def friction(self) -> float | None:
        """Half the difference of the two readings."""
        if self.sag_down is None or self.sag_up is None:
            return None
        return abs(self.sag_down - self.sag_up) / 2


def against_readings(measured: Measured) -> list[str]:
    """What speaks against the readings: friction holds a rider up while settling down, and down
    while rising up; common practice, no source, that it is a small part of the sag."""
    if measured.sag_down is None or measured.sag_up is None:
        return []
    if measured.sag_down > measured.sag_up:
        return ["Read both once more: against friction, settling down reads less than rising up."]
    if measured.sag_up - measured.sag_down > MUCH_FRICTION * (measured.sag_up + measured.sag_down):
        return ["Much friction: check bushings, bolts and pivot bearings before riding on."]
    return []


def written_back(path: Path, measured: Measured, catalogue: Catalogue) -> tuple[str, list[str]]:
    """The file's new text, read again and found sound, and what was set, in words.

    Raises BadInput: nothing measured, half of a pair, a figure out of bounds, an unknown shock, or
    a file that is no bike's.
    """
    raw, data = read_toml(path)
    before = read_question([path], catalogue.frames)
    _complete(measured, catalogue)
    document: Any = tomlkit.parse(data.decode("utf-8-sig"))
    if "bike" not in raw:
        raise BadInput([Problem(str(path), "no table [bike] to write to")])
    told = [*_put(document["bike"], measured, before), *against_readings(measured)]
    text: str = tomlkit.dumps(document)
    _sound(path, text, catalogue)
    return text, told


_NOTHING = "nothing was measured: give --sag-down and --sag-up, --gap and --eye-to-eye, or --shock"


def _complete(measured: Measured, catalogue: Catalogue) -> None:
    problems = []
    pairs = (
        ("--sag-down", measured.sag_down, "--sag-up", measured.sag_up,
         "the two readings of sag belong together: their mean counts"),
        ("--gap", measured.gap, "--eye-to-eye", measured.eye_to_eye,
         "the gap holds for the eye-to-eye length at that moment: give both"),
    )  # fmt: skip
    for name, value, other, second, why in pairs:
        if (value is None) != (second is None):
            problems.append(Problem(other if second is None else name, f"is missing: {why}"))
        for option, number in ((name, value), (other, second)):
            if number is not None and not math.isfinite(number):
                problems.append(Problem(option, "a number of mm is wanted", value=f"{number}"))
    keys = catalogue.shocks.keys()
    if measured.shock and measured.shock not in keys:
        message = f"no such shock in the catalogue{nearest(measured.shock, keys)}"
        problems.append(Problem("--shock", message, value=measured.shock))
    if measured == Measured():
        problems.append(Problem("fitted", _NOTHING))
    if problems:
        raise BadInput(problems)


def _put(bike: Any, measured: Measured, before: Question) -> list[str]:
    told = []
    if measured.shock:
        present = before.bike.present_shock
        if present is None or present.part_number != measured.shock:
            # What stood there was said of the shock that came off.
            old = [name for name in bike.get("present_shock", ()) if name != "part_number"]
            bike["present_shock"] = tomlkit.table()
            if old:
                names = ", ".join(old)
                told.append(f"bike.present_shock: taken out, said of another shock: {names}")
        _table(bike, "present_shock")["part_number"] = measured.shock
        told.append(f"bike.present_shock.part_number = {measured.shock}")
    if measured.sag is not None and measured.friction is not None:
        _table(bike, "present_shock")["sag_mm"] = round(measured.sag, 2)
        told.append(
            f"bike.present_shock.sag_mm = {measured.sag:g}, friction {measured.friction:g} mm"
        )
    if measured.gap is not None:
        tyre = _table(bike, "tyre")
        tyre["gap_mm"], tyre["gap_eye_to_eye_mm"] = measured.gap, measured.eye_to_eye
        told.append(f"bike.tyre.gap_mm = {measured.gap:g} at {measured.eye_to_eye:g} mm eye to eye")
        width, then = before.bike.tyre.width_mm, before.bike.tyre.measured_width_mm
        if width.known and then.known and width != then and width.low == width.high:
            tyre["measured_width_mm"] = width.low
            told.append(f"bike.tyre.measured_width_mm = {width.low:g}: the tyre that is ridden")
    return told


def _table(bike: Any, name: str) -> Any:
    """A table inside the bike's, made where there is none."""
    if not isinstance(bike.get(name), Mapping | Item):
        bike[name] = tomlkit.table()
    return bike[name]


def _sound(path: Path, text: str, catalogue: Catalogue) -> None:
    """Reads the new text as the file would be read; problems name the file itself."""
    with tempfile.TemporaryDirectory() as folder:
        aside = Path(folder) / path.name
        aside.write_text(text, encoding="utf-8")
        try:
            read_question([aside], catalogue.frames)
        except BadInput as bad:
            raise BadInput([replace(one, file=str(path)) for one in bad.problems]) from None
