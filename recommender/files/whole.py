"""Files written whole or not at all."""

import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from recommender.facts.problems import BadInput, Problem

ASIDE = ".unfinished-*"
"""Names of files that are being written, or that a killed run left."""


def write_whole(path: Path, content: str | bytes) -> None:
    """Write text (as UTF-8) or bytes: aside in the same folder, synced, then renamed into place.

    A file that stood there keeps its permissions and stays as it was if anything fails. Raises
    BadInput naming the path: no such folder, not writable, a folder or a device in its place.
    """
    write_together({path: content})


def write_together(contents: Mapping[Path, str | bytes]) -> None:
    """Files that belong together: all are written aside before the first is renamed into place, so
    that a full disk leaves every one as it was. As `write_whole` otherwise."""
    aside: list[tuple[str, Path]] = []
    at = Path()
    try:
        for at, content in contents.items():
            data = content.encode("utf-8") if isinstance(content, str) else content
            # A link stays a link: what it points to is replaced.
            target = Path(os.path.realpath(at))
            aside.append((_written_aside(target, data), target))
        for at in contents:  # noqa: B007 (named where it fails)
            name, target = aside[0]
            os.replace(name, target)
            del aside[0]
    except FileNotFoundError:
        reason = f"the folder {at.parent} does not exist"
        raise BadInput([Problem(str(at), f"cannot be written: {reason}")]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput([Problem(str(at), f"cannot be written: {reason}")]) from None
    finally:
        for name, _ in aside:
            with suppress(OSError):
                os.unlink(name)
    for folder in {Path(os.path.realpath(path)).parent for path in contents}:
        _sync_folder(folder)


def _written_aside(target: Path, data: bytes) -> str:
    """The name of a file beside the target that holds the data, with the target's permissions."""
    mode = _mode(target)
    handle, aside = tempfile.mkstemp(prefix=ASIDE.rstrip("*"), dir=target.parent)
    try:
        with open(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(aside, mode)
    except BaseException:
        with suppress(OSError):
            os.unlink(aside)
        raise
    return aside


def _mode(target: Path) -> int:
    """Permissions for the new file; OSError where something else than a file stands there."""
    try:
        there = target.stat()
    except FileNotFoundError:
        umask = os.umask(0)
        os.umask(umask)
        return 0o666 & ~umask
    if stat.S_ISDIR(there.st_mode):
        raise IsADirectoryError(0, "a folder of that name stands there")
    if not stat.S_ISREG(there.st_mode):
        raise OSError(0, "a device, not a file, stands there")
    # The rename would succeed against a file that is marked read-only.
    if not os.access(target, os.W_OK):
        raise PermissionError(0, "the file is read-only")
    return stat.S_IMODE(there.st_mode)


def _sync_folder(folder: Path) -> None:
    """Make the rename itself last; some systems cannot sync a folder, which is no failure."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
