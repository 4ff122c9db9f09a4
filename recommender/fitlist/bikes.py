"""Many bikes at once: the catalogue's frames, a folder of bike files, or one row each of a CSV.

    bike,frame,mount,sizes,head.gap_mm,head.bolt_mm,allows.coil
    B-1,corbetch-addle,,,,,
    B-2,,eyelet,210 x 52.5; 210 x 55,30,8,yes

A CSV's columns are the fields of a bike file, those of its tables after a dot; every field but
tables of readings may stand there.
"""

import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from recommender.catalogue.document import canonical, merge, validate
from recommender.catalogue.faults import Faults
from recommender.catalogue.foreign import shown
from recommender.catalogue.frames import FrameFile
from recommender.catalogue.grid import Cell, csv_grid
from recommender.catalogue.question import read_question
from recommender.facts.bike import Bike
from recommender.facts.fields import field_of, model_in, unknown_field
from recommender.facts.lookalike import foreign_letter, looks
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes

MOST_BIKES = 100_000
KEY = "bike"
SIZES = "sizes"
_SIZE = re.compile(r"\s*([0-9.]+)\s*[x×]\s*([0-9.]+)\s*", re.IGNORECASE)


@dataclass(frozen=True)
class Listed:
    """A bike under the name that the list gives it; `place` tells where it was read, in words."""

    name: str
    bike: Bike
    place: str


@dataclass(frozen=True)
class Bikes:
    """The bikes in their order; `digest` is over everything that was read for them."""

    bikes: Sequence[Listed]
    digest: str


def read_bikes(path: Path | None, frames: Mapping[str, FrameFile]) -> Bikes:
    """The bikes of a folder of TOML files or of a CSV; None: the catalogue's frames.

    Each may name a frame whose facts stand where it is silent. Raises BadInput.
    """
    if path is None:
        return _of_frames(frames)
    found = _of_folder(path, frames) if path.is_dir() else _of_rows(path, frames)
    if not found.bikes:
        raise BadInput([Problem(str(path), "no bike stands there")])
    if len(found.bikes) > MOST_BIKES:
        raise BadInput([Problem(str(path), f"over {MOST_BIKES} bikes; at most as many are taken")])
    return found


def _of_frames(frames: Mapping[str, FrameFile]) -> Bikes:
    if not frames:
        raise BadInput([Problem("the catalogue", "it holds no frames: name a folder or a CSV")])
    listed = [Listed(frame.id, frame.bike, frame.file) for frame in frames.values()]
    return Bikes(listed, _digest(frame.id.encode() + frame.digest for frame in frames.values()))


def _of_folder(folder: Path, frames: Mapping[str, FrameFile]) -> Bikes:
    listed: list[Listed] = []
    digests: list[bytes] = []
    problems: list[Problem] = []
    paths = sorted(path for path in folder.glob("*.toml") if not path.name.startswith("."))
    for path in paths:
        try:
            told = read_question([path], frames)
        except BadInput as bad:
            problems.extend(bad.problems)
            continue
        if told.rider != Rider() or told.wishes != Wishes():
            message = "a list has one rider and one set of wishes: tell them in a file of their own"
            problems.append(Problem(str(path), message))
        listed.append(Listed(path.stem, told.bike, str(path)))
        digests.append(path.stem.encode() + bytes.fromhex(told.digest))
    if problems:
        raise BadInput(problems)
    return Bikes(listed, _digest(digests))


def _digest(parts: Any) -> str:
    whole = hashlib.sha256()
    for part in parts:
        whole.update(len(part).to_bytes(8, "big") + part)
    return whole.hexdigest()


def _of_rows(path: Path, frames: Mapping[str, FrameFile]) -> Bikes:
    grid = csv_grid(path)
    faults = Faults(str(path))
    names = [shown(cell) for cell in grid.rows[0]]
    paths = _columns(names, grid.lines[0], faults)
    faults.stop()
    listed: list[Listed] = []
    first: dict[str, tuple[int, str]] = {}
    for line, cells in zip(grid.lines[1:], grid.rows[1:], strict=True):
        raw = _document(cells, paths, line, faults)
        name = str(raw.pop(KEY, ""))
        if not name:
            faults.add("a blank is not accepted here: it names the row", line, KEY)
        elif (there := first.setdefault(looks(name), (line, name)))[0] != line:
            message = f"stands in row {there[0]} already"
            if there[1] != name:
                message = f"looks like that of row {there[0]}{foreign_letter(name + there[1])}"
            faults.add(message, line, KEY, name, "twice")
        bike = _bike(raw, name, frames, line, faults)
        if bike is not None:
            listed.append(Listed(name, bike, f"{path}, row {line}"))
    faults.stop()
    text = [repr(row).encode() for row in zip(grid.lines, map(tuple, grid.rows), strict=True)]
    used = sorted({one.bike.frame for one in listed} - {""})
    return Bikes(listed, _digest([*text, *(frames[name].digest for name in used)]))


def _columns(names: Sequence[str], line: int, faults: Faults) -> dict[int, tuple[str, ...]]:
    """Position -> steps of the field that the column fills."""
    out: dict[int, tuple[str, ...]] = {}
    for position, name in enumerate(names):
        if name == KEY:
            steps: tuple[str, ...] = (KEY,)
        elif fault := _misnamed(name):
            faults.add(fault, line, name or f"column {position + 1}", kind="unknown")
            continue
        else:
            steps = tuple(name.split("."))
        if steps in out.values():
            faults.add("this column stands twice", line, name, kind="twice")
        out[position] = steps
    if (KEY,) not in out.values():
        faults.add(f"the column {KEY} is missing: it names the row", line, kind="no key")
    return out


def _misnamed(name: str) -> str:
    """What is wrong with a column's name, '' if nothing is."""
    model: type[BaseModel] = Bike
    *tables, last = name.split(".")
    for step in tables:
        inner = _model_in(model, step)
        if inner is None:
            accepted = [name for name, field in model.model_fields.items() if model_in(field)]
            return f"no such table of a bike{nearest(step[:80], accepted)}"
        model = inner
    meant = field_of(last, model)
    if meant is None:
        return unknown_field(last, model)
    if last == SIZES:
        return ""
    if _model_in(model, last) is not None or last == "table":
        return "this is a table: its fields have a column each, such as head.gap_mm"
    return ""


def _model_in(model: type[BaseModel], name: str) -> type[BaseModel] | None:
    field = model.model_fields.get(name)
    return None if field is None else model_in(field)


def _document(
    cells: Sequence[Cell], paths: Mapping[int, tuple[str, ...]], line: int, faults: Faults
) -> dict[str, Any]:
    """A row as the nested document a bike file would hold; blank cells are left out."""
    out: dict[str, Any] = {}
    for position, cell in enumerate(cells):
        text = shown(cell)
        if not text:
            continue
        if position not in paths:
            faults.add("more cells than the header has names", line, value=text)
            continue
        *tables, last = paths[position]
        inner = out
        for step in tables:
            inner = inner.setdefault(step, {})
        if paths[position] == (SIZES,):
            inner[last] = _sizes(text, line, faults)
        else:
            inner[last] = text
    return out


def _sizes(text: str, line: int, faults: Faults) -> list[dict[str, str]]:
    out = []
    for part in text.split(";"):
        match = _SIZE.fullmatch(part)
        if match is None:
            message = "accepted: length x longest stroke in mm, '210 x 52.5; 210 x 55'"
            faults.add(message, line, SIZES, text)
            return []
        out.append({"length_mm": match[1], "stroke_ceiling_mm": match[2]})
    return out


def _bike(
    raw: dict[str, Any], name: str, frames: Mapping[str, FrameFile], line: int, faults: Faults
) -> Bike | None:
    facts, problems = canonical({"name": name, **raw}, Bike, "", faults.file)
    frame = str(facts.get("frame", ""))
    under: Mapping[str, Any] = {}
    if frame in frames:
        under = frames[frame].facts
    elif frame:
        message = f"no frame of the catalogue has this id{nearest(frame[:80], list(frames))}"
        faults.add(message, line, "frame", frame)
    bike, more = validate(merge(under, facts, Bike), Bike, "", faults.file)
    for problem in [*problems, *more]:
        told = replace(problem, column=problem.column.lstrip("."))
        faults.add(told.message, line, told.column, told.value)
    return bike
