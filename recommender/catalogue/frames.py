"""The frames of a catalogue: one TOML file each, its stem the frame's id."""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from recommender.catalogue.document import canonical, read_toml, top_tables, validate
from recommender.facts.bike import Bike
from recommender.facts.problems import BadInput, Problem

MOST_FRAMES = 5000
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}")


@dataclass(frozen=True)
class FrameFile:
    """A frame: what its file states (canonical names and units), and as a bike on its own.

    `facts` goes under a bike file that names the frame, before that is validated. `digest` is
    the SHA-256 of the file's bytes.
    """

    id: str
    file: str
    facts: Mapping[str, Any]
    bike: Bike
    digest: bytes


def read_frames(folder: Path) -> Mapping[str, FrameFile]:
    """Frame id -> frame, of every *.toml in the folder, in name order.

    No such folder: no frames. Raises BadInput with the problems of all files.
    """
    try:
        paths = sorted(p for p in folder.glob("*.toml") if not p.name.startswith("."))
    except OSError as error:
        raise BadInput([Problem(str(folder), f"cannot be read: {error.strerror}")]) from None
    if len(paths) > MOST_FRAMES:
        message = f"{len(paths)} frame files; at most {MOST_FRAMES} are accepted"
        raise BadInput([Problem(str(folder), message)])
    frames: dict[str, FrameFile] = {}
    problems: list[Problem] = []
    for path in paths:
        try:
            frame = _read_frame(path)
        except BadInput as bad:
            problems.extend(bad.problems)
        else:
            frames[frame.id] = frame
    if problems:
        raise BadInput(problems)
    return frames


def _read_frame(path: Path) -> FrameFile:
    raw, data = read_toml(path)
    file = str(path)
    tables, problems = top_tables(raw, ("bike",), file)
    if not _ID.fullmatch(path.stem):
        message = "the file's name is the frame's id: letters, digits and . _ - are accepted"
        problems.append(Problem(file, message, value=path.name))
    if "bike" not in raw:
        problems.append(Problem(file, "a table [bike] with the frame's facts is wanted"))
    facts, more = canonical(tables.get("bike", {}), Bike, "bike", file)
    problems.extend(more)
    if facts.get("frame"):
        message = "a frame of the catalogue stands for itself and names no other"
        problems.append(Problem(file, message, column="bike.frame", value=str(facts["frame"])))
    bike, more = validate(facts, Bike, "bike", file)
    if problems or bike is None:
        raise BadInput([*problems, *more])
    digest = hashlib.sha256(data).digest()
    return FrameFile(path.stem, file, facts, bike, digest)
