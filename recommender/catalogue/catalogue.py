"""A catalogue: its tables and frames, read once and checked."""

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from recommender.catalogue.cache import fetched, put_by
from recommender.catalogue.check import check_tables
from recommender.catalogue.columns import ChoiceColumn, Table
from recommender.catalogue.frames import FrameFile, read_frames
from recommender.catalogue.read import largest, parsed
from recommender.catalogue.source import read_bytes
from recommender.facts.problems import BadInput, Problem
from recommender.facts.tables import OPTIONAL, TABLES


@dataclass(frozen=True, eq=False)
class Catalogue:
    """`digest` is the SHA-256 over name and SHA-256 of each file, in name order."""

    shocks: Table
    kits: Table
    services: Table
    springs: Table
    tune_classes: Table
    tastes: Table
    jobs: Table
    suppliers: Table
    frames: Mapping[str, FrameFile]
    folder: Path
    digest: str
    delivered_tunes: Table | None = None


def read_catalogue(folder: Path) -> Catalogue:
    """Read and check the CSV of every table in the folder, optional ones and frames/*.toml if there
    are any.

    Raises BadInput with the problems of all files: of cells, between columns, between tables.
    """
    if not folder.is_dir():
        raise BadInput([Problem(str(folder), "no such folder: a catalogue's folder is wanted")])
    before = _stamps(folder)
    data: dict[str, bytes] = {}
    frames: Mapping[str, FrameFile] = {}
    problems: list[Problem] = []
    for name in (*TABLES, *OPTIONAL):
        path = folder / f"{name}.csv"
        if name in OPTIONAL and not path.exists():
            continue
        try:
            data[name] = read_bytes(path, largest(name))
        except BadInput as bad:
            problems.extend(bad.problems)
    try:
        frames = read_frames(folder / "frames")
    except BadInput as bad:
        problems.extend(bad.problems)
    _check_unchanged(before, _stamps(folder))
    files = {name: str(folder / f"{name}.csv") for name in data}
    digests = {f"{name}.csv": hashlib.sha256(one).digest() for name, one in data.items()}
    tables = fetched(data, files)
    if tables is None:
        tables, faults = _tables(data, files)
        if not faults:
            put_by(data, tables)
        problems += faults
    if problems:
        order = [*(str(folder / f"{name}.csv") for name in (*TABLES, *OPTIONAL)),
                 *dict.fromkeys(one.file for one in problems)]  # fmt: skip
        raise BadInput(sorted(problems, key=lambda one: order.index(one.file)))
    digests.update({f"frames/{frame.id}.toml": frame.digest for frame in frames.values()})
    whole = hashlib.sha256()
    for file in sorted(digests):
        whole.update(file.encode() + b"\0" + digests[file])
    return Catalogue(**tables, frames=frames, folder=folder, digest=whole.hexdigest())


def _tables(
    data: Mapping[str, bytes], files: Mapping[str, str]
) -> tuple[dict[str, Table], list[Problem]]:
    """The tables of those bytes, and every problem of cells, between columns, between tables."""
    tables: dict[str, Table] = {}
    problems: list[Problem] = []
    for name, one in data.items():
        try:
            table, faults = parsed(one, files[name], name)
        except BadInput as bad:
            problems.extend(bad.problems)
            continue
        problems.extend(faults)
        if _whole(table, faults):
            tables[name] = table
    told = {(one.file, one.row, one.column) for one in problems}
    found = check_tables(tables)
    problems += [one for one in found if (one.file, one.row, one.column) not in told]
    return tables, problems


def _whole(table: Table, faults: list[Problem]) -> bool:
    """Whether no row is missing, so that other tables, and words that must be there, can be looked
    up in it though some cells are wrong."""
    keyed = isinstance(table.columns[table.key], ChoiceColumn)
    return all(one.column and not (keyed and one.column == table.key) for one in faults)


def _stamps(folder: Path) -> dict[str, tuple[int, int, int]]:
    """What tells that a file of the catalogue was written to: its time, size and place."""
    paths = (path for pattern in ("*.csv", "frames/*.toml") for path in folder.glob(pattern))
    out = {}
    for path in paths:
        with suppress(OSError):
            told = path.stat()
            out[str(path)] = told.st_mtime_ns, told.st_size, told.st_ino
    return out


def _check_unchanged(
    before: Mapping[str, tuple[int, int, int]], after: Mapping[str, tuple[int, int, int]]
) -> None:
    """BadInput for every file that came, went or changed between the two."""
    changed = [name for name in sorted({*before, *after}) if before.get(name) != after.get(name)]
    if changed:
        message = "changed while the catalogue was read: run it again when it is done"
        raise BadInput(Problem(name, message) for name in changed)
