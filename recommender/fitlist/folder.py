"""The folder of a fit list: parts that are whole or not there, and what is known of them.

A part is written aside and renamed, then told in the manifest with its digest: a killed run leaves
whole parts alone, and a run that goes on makes again whatever the manifest does not vouch for.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

from recommender.catalogue.source import MEBIBYTE, read_bytes
from recommender.facts.problems import BadInput, Problem
from recommender.files.whole import ASIDE, write_whole

MANIFEST = "fit-list.json"
LOCK = ".in-use"
LARGEST = 256 * MEBIBYTE


class _Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Made(_Record):
    """A finished part: the digest of its file, and each bike's number of shocks in each state."""

    sha256: str
    counts: dict[str, list[int]]


class Manifest(_Record):
    """What a list is made of (digests and settings by name), its states, and the finished parts."""

    made_of: dict[str, str]
    states: list[str]
    parts_in_all: int
    parts: dict[str, Made]


@dataclass
class Folder:
    """An open folder; one run at a time holds it."""

    path: Path
    manifest: Manifest

    def add(self, name: str, made: Made) -> None:
        """Tell a part that stands in the folder whole."""
        parts = {**self.manifest.parts, name: made}
        self.manifest = self.manifest.model_copy(update={"parts": dict(sorted(parts.items()))})
        _write(self.path, self.manifest)


@contextmanager
def opened(
    path: Path, made_of: Mapping[str, str], states: Sequence[str], parts: Mapping[str, set[str]]
) -> Iterator[Folder]:
    """The folder, made if it is not there, with the parts that a run of the same inputs finished.

    `parts` names the bikes of every part by its file.

    Raises BadInput where other inputs began it, where it holds other things, and where another run
    is at work in it.
    """
    from filelock import FileLock, Timeout

    fresh = Manifest(made_of=dict(made_of), states=list(states), parts_in_all=len(parts), parts={})
    try:
        path.mkdir(parents=True, exist_ok=True)
        foreign = [one.name for one in path.iterdir() if one.name != LOCK]
        if foreign and not (path / MANIFEST).exists() and any(not _aside(n) for n in foreign):
            message = "other files stand there and no fit list: name a folder of its own"
            raise BadInput([Problem(str(path), message)])
        lock = FileLock(path / LOCK)
        lock.acquire(blocking=False)
    except Timeout:
        message = "another run is writing this fit list: wait for it, or name another folder"
        raise BadInput([Problem(str(path), message)]) from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise BadInput([Problem(str(path), f"cannot be written: {reason}")]) from None
    try:
        for left in path.glob(ASIDE):
            with suppress(OSError):
                left.unlink()
        yield Folder(path, _begun(path, fresh, parts))
    finally:
        lock.release()


def _aside(name: str) -> bool:
    return name.startswith(ASIDE.rstrip("*"))


def _begun(path: Path, fresh: Manifest, parts: Mapping[str, set[str]]) -> Manifest:
    """The manifest to go on from: an earlier run's, with the parts that are as it left them."""
    file = path / MANIFEST
    if not file.exists():
        _write(path, fresh)
        return fresh
    try:
        told = Manifest.model_validate_json(read_bytes(file, LARGEST))
    except ValidationError:
        message = "this is no manifest of a fit list: delete the folder, or name another"
        raise BadInput([Problem(str(file), message)]) from None
    changed = [
        name for name in dict.fromkeys([*fresh.made_of, *told.made_of])
        if fresh.made_of.get(name) != told.made_of.get(name)
    ]  # fmt: skip
    if changed:
        message = (
            f"begun with other inputs; changed since: {', '.join(changed)}. Go on with those it "
            "was begun with, delete the folder, or name another"
        )
        raise BadInput([Problem(str(path), message)])
    whole = {
        name: told.parts[name] for name, bikes in parts.items()
        if name in told.parts and _is_whole(path / name, told.parts[name], bikes, told.states)
    }  # fmt: skip
    return fresh.model_copy(update={"parts": whole})


def _is_whole(file: Path, made: Made, bikes: set[str], states: Sequence[str]) -> bool:
    if set(made.counts) != bikes or any(len(n) != len(states) for n in made.counts.values()):
        return False
    try:
        with open(file, "rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest() == made.sha256
    except OSError:
        return False


def _write(path: Path, manifest: Manifest) -> None:
    told: dict[str, Any] = manifest.model_dump()
    write_whole(path / MANIFEST, json.dumps(told, ensure_ascii=False) + "\n")
