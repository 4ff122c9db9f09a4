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

from recommender.catalogue.columns import Table
from recommender.catalogue.packed import Arrays, packed, unpacked
from recommender.catalogue.version import code_digest
from recommender.facts.problems import BadInput
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
        found = {name: unpacked(name, file, held) for name, file in files.items()}
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
    held: Arrays = {}
    for table in tables.values():
        held |= packed(table)
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
