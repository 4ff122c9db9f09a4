"""A catalogue: its tables and frames, read once and checked."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from recommender.catalogue.check import check_tables
from recommender.catalogue.columns import ChoiceColumn, Table
from recommender.catalogue.frames import FrameFile, read_frames
from recommender.catalogue.read import largest, parsed
from recommender.catalogue.source import read_bytes
from recommender.facts.parts import OPTIONAL, TABLES
from recommender.facts.problems import BadInput, Problem


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
    tables: dict[str, Table] = {}
    frames: Mapping[str, FrameFile] = {}
    digests: dict[str, bytes] = {}
    problems: list[Problem] = []
    for name in (*TABLES, *OPTIONAL):
        path = folder / f"{name}.csv"
        if name in OPTIONAL and not path.exists():
            continue
        try:
            data = read_bytes(path, largest(name))
            digests[path.name] = hashlib.sha256(data).digest()
            table, faults = parsed(data, str(path), name)
            problems.extend(faults)
            if _whole(table, faults):
                tables[name] = table
        except BadInput as bad:
            problems.extend(bad.problems)
    try:
        frames = read_frames(folder / "frames")
    except BadInput as bad:
        problems.extend(bad.problems)
    told = {(one.file, one.row, one.column) for one in problems}
    found = check_tables(tables)
    problems += [one for one in found if (one.file, one.row, one.column) not in told]
    if problems:
        files = list(dict.fromkeys(one.file for one in problems))
        raise BadInput(sorted(problems, key=lambda one: files.index(one.file)))
    digests.update({f"frames/{frame.id}.toml": frame.digest for frame in frames.values()})
    whole = hashlib.sha256()
    for file in sorted(digests):
        whole.update(file.encode() + b"\0" + digests[file])
    return Catalogue(**tables, frames=frames, folder=folder, digest=whole.hexdigest())


def _whole(table: Table, faults: list[Problem]) -> bool:
    """Whether no row is missing, so that other tables, and words that must be there, can be looked
    up in it though some cells are wrong."""
    keyed = isinstance(table.columns[table.key], ChoiceColumn)
    return all(one.column and not (keyed and one.column == table.key) for one in faults)
