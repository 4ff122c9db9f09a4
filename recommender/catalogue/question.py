"""The question: bike, rider and wishes, from one TOML file or several."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from recommender.catalogue.document import (
    Model,
    Raw,
    canonical,
    merge,
    read_toml,
    shown,
    top_tables,
    validate,
)
from recommender.catalogue.frames import FrameFile
from recommender.facts.bike import Bike
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes

TABLES = ("bike", "rider", "wishes")


@dataclass(frozen=True)
class Question:
    """What is asked. `digest` is the SHA-256 over the files' bytes in the order given."""

    bike: Bike
    rider: Rider
    wishes: Wishes
    digest: str


def read_question(
    paths: Sequence[Path], frames: Mapping[str, FrameFile], bike_wanted: bool = True
) -> Question:
    """The question told by the files' tables [bike], [rider] and [wishes], each in one file.

    No [rider] or [wishes]: their defaults. `bike.frame` names a frame whose facts stand where
    the bike's table is silent or blank; not `bike_wanted`: no [bike] is one of which nothing is
    known. Raises BadInput with the problems of all files.
    """
    found: dict[str, tuple[Raw, str]] = {}
    problems: list[Problem] = []
    digest = hashlib.sha256()
    unread = False
    for path in paths:
        file = str(path)
        try:
            raw, data = read_toml(path)
        except BadInput as bad:
            problems.extend(bad.problems)
            unread = True
            continue
        digest.update(len(data).to_bytes(8, "big") + data)
        tables, more = top_tables(raw, TABLES, file)
        unread = unread or ("bike" in raw and "bike" not in tables)
        problems.extend(more)
        for name, table in tables.items():
            if name in found:
                message = f"a table [{name}] stands in {found[name][1]} already"
                problems.append(Problem(file, message, column=name))
            else:
                found[name] = table, file
    if not bike_wanted:
        found.setdefault("bike", ({}, ""))
    if "bike" not in found and not unread:
        names = ", ".join(str(path) for path in paths) or "no file given"
        message = 'no table [bike]: the bike\'s facts are wanted, or frame = "id" of a known frame'
        problems.append(Problem(names, message))
    bike = _bike(*found["bike"], frames, problems) if "bike" in found else None
    rider = _plain(Rider, "rider", found, problems)
    wishes = _plain(Wishes, "wishes", found, problems)
    if problems or bike is None or rider is None or wishes is None:
        order = {str(path): i for i, path in enumerate(paths)}
        raise BadInput(sorted(problems, key=lambda problem: order.get(problem.file, -1)))
    return Question(bike, rider, wishes, digest.hexdigest())


def _plain(
    model: type[Model],
    name: str,
    found: Mapping[str, tuple[Raw, str]],
    problems: list[Problem],
) -> Model | None:
    raw, file = found.get(name, ({}, ""))
    facts, faults = canonical(raw, model, name, file)
    record, more = validate(facts, model, name, file)
    problems.extend([*faults, *more])
    return record


def _of_the_same_shock(frame: Mapping[str, Any], bike: Mapping[str, Any]) -> Mapping[str, Any]:
    """The frame's facts, less those of a shock that is not the one on the bike."""
    stock, own = (facts.get("present_shock") for facts in (frame, bike))
    if not isinstance(stock, Mapping) or not isinstance(own, Mapping):
        return frame
    if own.get("part_number") in (None, "", stock.get("part_number")):
        return frame
    return {name: value for name, value in frame.items() if name != "present_shock"}


def _bike(
    raw: Raw, file: str, frames: Mapping[str, FrameFile], problems: list[Problem]
) -> Bike | None:
    facts, faults = canonical(raw, Bike, "bike", file)
    problems.extend(faults)
    under: Mapping[str, Any] = {}
    frame = facts.get("frame")
    if isinstance(frame, str) and frame.strip():
        facts["frame"] = frame = frame.strip()
        if frame in frames:
            under = _of_the_same_shock(frames[frame].facts, facts)
        else:
            near = nearest(frame[:80], list(frames))
            message = f"no frame of the catalogue has this id{near}"
            if not frames:
                message = "the catalogue holds no frames"
            problems.append(Problem(file, message, column="bike.frame", value=shown(frame)))
    bike, more = validate(merge(under, facts, Bike), Bike, "bike", file)
    problems.extend(more)
    return bike
