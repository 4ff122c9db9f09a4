"""What was fitted, and measured after it, put back into a bike's file; its comments and order
stay."""

import tempfile
from copy import deepcopy
from dataclasses import replace
from pathlib import Path

from recommender.advice.asking import Document
from recommender.advice.named import looked_up, on_the_bike
from recommender.advice.put_in import plain, put, set_field
from recommender.advice.readings import Measured, against_riding, impossible
from recommender.advice.writing import NOT_LAID, NotLaid, toml_text
from recommender.answer.records import PutIn
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.document import read_toml
from recommender.catalogue.question import Question, read_question
from recommender.facts.bike import PresentShock, Tyre
from recommender.facts.problems import BadInput, Problem


def written_back(
    path: Path, parts: PutIn, measured: Measured, catalogue: Catalogue
) -> tuple[str, list[str]]:
    """The file's new text, read again and found sound, and what was set, in words.

    Raises BadInput: nothing put in or measured, half of a pair, a figure that cannot be, a part
    that is unknown or cannot be on the shock, or a file that is no bike's.
    """
    raw, data = read_toml(path)
    before = read_question([path], catalogue.frames)
    _complete(parts, measured)
    found = looked_up(parts, before, catalogue)
    if "bike" not in raw:
        raise BadInput([Problem(str(path), "no table [bike] to write to")])
    document = deepcopy(raw)
    bike = document["bike"]
    told = [*put(bike, parts, found, before.bike), *_readings(bike, measured, before)]
    try:
        text = toml_text(document, data.decode("utf-8-sig"))
    except NotLaid:
        raise BadInput([Problem(str(path), NOT_LAID)]) from None
    after = _sound(path, text, catalogue)
    shock = on_the_bike(after, catalogue)
    if shock is not None and (wrong := [*impossible(measured, shock)]):
        raise BadInput(wrong)
    return text, [*told, *against_riding(measured, after.bike, shock)]


MOST_MM = 1000.0
_NOTHING = (
    "nothing to write: give what was put in, such as --shock, or what was measured: --sag-down and "
    "--sag-up, --gap and --eye-to-eye"
)


def _complete(parts: PutIn, measured: Measured) -> None:
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
            if number is not None and not 0 <= number <= MOST_MM:
                message = f"accepted: 0 to {MOST_MM:g} mm"
                problems.append(Problem(option, message, value=f"{number:g}"))
    if parts == PutIn() and measured == Measured():
        problems.append(Problem("fitted", _NOTHING))
    if problems:
        raise BadInput(problems)


def _readings(bike: Document, measured: Measured, before: Question) -> list[str]:
    """Lays the readings into the table of the bike."""
    told = []
    if measured.sag is not None and measured.friction is not None:
        present = bike.setdefault("present_shock", {})
        set_field(present, PresentShock, "sag_mm", round(measured.sag, 2))
        told.append(
            f"bike.present_shock.sag_mm = {measured.sag:g}, friction {measured.friction:g} mm"
        )
    if measured.gap is not None:
        tyre = bike.setdefault("tyre", {})
        set_field(tyre, Tyre, "gap_mm", measured.gap)
        set_field(tyre, Tyre, "gap_eye_to_eye_mm", measured.eye_to_eye)
        told.append(f"bike.tyre.gap_mm = {measured.gap:g} at {measured.eye_to_eye:g} mm eye to eye")
        width, then = before.bike.tyre.width_mm, before.bike.tyre.measured_width_mm
        if width.known and then.known and width != then:
            set_field(tyre, Tyre, "measured_width_mm", plain(width))
            told.append(
                f"bike.tyre.measured_width_mm = {plain(width)}: the tyre that is ridden"
            )
    return told


def _sound(path: Path, text: str, catalogue: Catalogue) -> Question:
    """The new text read as the file would be; problems name the file itself."""
    with tempfile.TemporaryDirectory() as folder:
        aside = Path(folder) / path.name
        aside.write_text(text, encoding="utf-8")
        try:
            return read_question([aside], catalogue.frames)
        except BadInput as bad:
            raise BadInput([replace(one, file=str(path)) for one in bad.problems]) from None
