"""Parsed tables kept in the user's cache folder, under a key that no other content can have.

The key covers the bytes of every table and the code that reads them, so what is kept is never
stale; the file carries a digest of itself and belongs to the user, so what is broken, cut off or
foreign is noticed and left alone. It holds arrays and texts, nothing that could run. Only tables
without a fault are kept. Whatever goes wrong here means no cache, never a failure.

The environment variable RECOMMENDER_CACHE names another folder; 'off' switches it off.
"""

import hashlib
import io
import os
import stat
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import (
    UNKNOWN_CODE,
    ChoiceColumn,
    Column,
    Floats,
    NumberColumn,
    Table,
    TextColumn,
)
from recommender.catalogue.version import code_digest
from recommender.facts.fields import choice_of, numbers
from recommender.facts.problems import BadInput
from recommender.facts.tables import OPTIONAL, TABLES
from recommender.files.whole import ASIDE, write_whole

VARIABLE = "RECOMMENDER_CACHE"
SUFFIX = ".tables"
MAGIC = b"shock-recommender tables\n"
WORTH = 2**20
"""Catalogues of fewer bytes are read as fast as they are fetched from here."""
MOST_KEPT = 8
ABANDONED = 3600.0
"""Seconds after which an unfinished file is nobody's work any more."""
_DIGEST = hashlib.sha256().digest_size
_MODELS = TABLES | OPTIONAL
_Arrays = dict[str, npt.NDArray[np.generic]]


def cache_folder() -> Path | None:
    """Where tables are kept; None: switched off."""
    told = os.environ.get(VARIABLE, "").strip()
    if told.lower() in ("off", "no", "0"):
        return None
    if told:
        return Path(told)
    from platformdirs import user_cache_path

    return user_cache_path("shock-recommender", appauthor=False)


def key_of(data: Mapping[str, bytes]) -> str:
    """The key of those tables' bytes, as this program would read them."""
    whole = hashlib.sha256()
    whole.update(code_digest("catalogue", "facts", "mechanics").encode())
    whole.update(f"numpy {np.__version__}".encode())
    for name in sorted(data):
        digest = hashlib.sha256(data[name]).digest()
        whole.update(name.encode() + b"\0" + len(data[name]).to_bytes(8, "big") + digest)
    return whole.hexdigest()


def fetched(data: Mapping[str, bytes], files: Mapping[str, str]) -> dict[str, Table] | None:
    """The tables of those bytes as kept earlier, as read from `files`; None: not kept, or not to
    be trusted."""
    path = _path(data)
    if path is None:
        return None
    try:
        with open(path, "rb") as stream:
            if not _own(os.fstat(stream.fileno())):
                return None
            content = stream.read()
        payload = memoryview(content)[len(MAGIC) + _DIGEST :]
        if not content.startswith(MAGIC + _seal(path.stem, payload)):
            return None
        with np.load(io.BytesIO(payload), allow_pickle=False) as arrays:
            held = {name: arrays[name] for name in arrays.files}
        found = {name: _table(name, file, held) for name, file in files.items()}
    except Exception:
        # Whatever is wrong with a file of the cache, the catalogue itself is there to be read.
        return None
    with suppress(OSError):
        os.utime(path)
    return found


def put_by(data: Mapping[str, bytes], tables: Mapping[str, Table]) -> None:
    """Keep the tables that were read from those bytes without a fault. A full disk or a folder
    that cannot be written means not kept."""
    path = _path(data)
    if path is None:
        return
    held: _Arrays = {}
    for table in tables.values():
        held |= _arrays(table)
    stream = io.BytesIO()
    np.savez(stream, allow_pickle=False, **held)
    payload = stream.getbuffer()
    with suppress(OSError, BadInput):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(path, b"".join((MAGIC, _seal(path.stem, payload), payload)))
        # Where new files are the group's too, it would never be believed.
        path.chmod(stat.S_IRUSR | stat.S_IWUSR)
        _forget_old(path.parent)


def _path(data: Mapping[str, bytes]) -> Path | None:
    """Where the tables of those bytes are kept; None: nowhere."""
    if sum(map(len, data.values())) < WORTH:
        return None
    folder = cache_folder()
    return None if folder is None else folder / (key_of(data) + SUFFIX)


def _seal(key: str, payload: memoryview) -> bytes:
    whole = hashlib.sha256(key.encode())
    whole.update(payload)
    return whole.digest()


def _own(told: os.stat_result) -> bool:
    """Whether a regular file of this user's, that nobody else may write."""
    if not stat.S_ISREG(told.st_mode):
        return False
    if not hasattr(os, "getuid"):
        return True
    return told.st_uid == os.getuid() and not told.st_mode & (stat.S_IWGRP | stat.S_IWOTH)


def _forget_old(folder: Path) -> None:
    """Of the files kept, those unused for longest beyond MOST_KEPT go; so does what a killed run
    left unfinished long ago."""
    paths = sorted(folder.glob("*" + SUFFIX), key=lambda path: -path.stat().st_mtime)
    left = [one for one in folder.glob(ASIDE) if one.stat().st_mtime < time.time() - ABANDONED]
    for path in [*paths[MOST_KEPT:], *left]:
        path.unlink(missing_ok=True)


def _arrays(table: Table) -> _Arrays:
    out: _Arrays = {f"{table.name}/lines": _small(table.lines)} if table.lines is not None else {}
    for field, column in table.columns.items():
        at = f"{table.name}/{field}"
        if isinstance(column, NumberColumn):
            out |= _packed(f"{at}/low", column.low)
            if len(column.loose):
                out |= _packed(f"{at}/top", column.top)
            if column.known is not None:
                out[f"{at}/known"] = column.known
        else:
            out[f"{at}/codes"] = _small(column.codes)
            if isinstance(column, TextColumn):
                out[f"{at}/words"] = _bytes(column.words)
    return out


def _table(name: str, file: str, held: Mapping[str, npt.NDArray[np.generic]]) -> Table:
    """Raises any exception where the arrays are not those of such a table."""
    model, key = _MODELS[name]
    lines = held[f"{name}/lines"].astype(np.int64)
    columns: dict[str, Column] = {}
    for field, info in model.model_fields.items():
        at, choice = f"{name}/{field}", choice_of(info)
        if field in numbers(model):
            column: Column = NumberColumn.of(
                _unpacked(f"{at}/low", held),
                _unpacked(f"{at}/top", held) if f"{at}/top/values" in held else None,
                held[f"{at}/known"].astype(bool) if f"{at}/known" in held else None,
            )
        elif choice is not None:
            column = ChoiceColumn(held[f"{at}/codes"].astype(np.int16), choice.values)
            _within(column.codes, UNKNOWN_CODE, len(choice.values))
        else:
            column = TextColumn(held[f"{at}/codes"].astype(np.int32), _words(held[f"{at}/words"]))
            _within(column.codes, 0, len(column.words))
        if len(column.low if isinstance(column, NumberColumn) else column.codes) != len(lines):
            raise ValueError(f"{at} has another number of rows")
        columns[field] = column
    return Table(name, key, columns, file, lines)


def _packed(at: str, values: Floats) -> _Arrays:
    """Numbers as their distinct values and codes of those: of most columns a quarter. The values
    are told apart by their bits, so that what comes out is what went in."""
    bits, codes = np.unique(values.view(np.int64), return_inverse=True)
    return {f"{at}/values": bits.view(np.float64), f"{at}/codes": _small(codes)}


def _unpacked(at: str, held: Mapping[str, npt.NDArray[np.generic]]) -> Floats:
    out: Floats = held[f"{at}/values"].astype(np.float64)[held[f"{at}/codes"]]
    return out


def _within(codes: npt.NDArray[np.signedinteger], low: int, size: int) -> None:
    if len(codes) and not (codes.min() >= low and codes.max() < size):
        raise ValueError("a code without a word")


def _small(values: npt.NDArray[np.signedinteger]) -> npt.NDArray[np.integer]:
    """The same whole numbers in the narrowest type that holds them."""
    for kind in (np.uint8, np.int16, np.uint16, np.int32):
        bounds = np.iinfo(kind)
        if not len(values) or (values.min() >= bounds.min and values.max() <= bounds.max):
            return values.astype(kind)
    return values


def _bytes(words: tuple[str, ...]) -> npt.NDArray[np.uint8]:
    """Texts, each with a NUL after it: no text of a catalogue holds one."""
    return np.frombuffer("".join(word + "\0" for word in words).encode(), np.uint8)


def _words(data: npt.NDArray[np.generic]) -> tuple[str, ...]:
    return tuple(data.tobytes().decode().split("\0")[:-1])
