"""Files taken in whole, bounded in size, so that what is digested is what is read."""

import os
import stat
from pathlib import Path

from recommender.facts.problems import BadInput, Problem

MEBIBYTE = 2**20


def read_bytes(path: Path, most: int, file: str = "") -> bytes:
    """The bytes of a regular file of at most `most` bytes; BadInput under the name `file`."""
    name = file or str(path)
    try:
        # Asked before opening: opening a pipe would wait for somebody to write.
        if not stat.S_ISREG(os.stat(path).st_mode):
            raise BadInput([Problem(name, "this is no file: a folder or a device stands there")])
        with open(path, "rb") as stream:
            before = os.fstat(stream.fileno())
            data = stream.read(most + 1)
            after = os.fstat(stream.fileno())
    except FileNotFoundError:
        raise BadInput([Problem(name, "no such file")]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput([Problem(name, f"cannot be read: {reason}")]) from None
    if (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns):
        raise BadInput([Problem(name, "it was changed while it was read: read it again")])
    if len(data) > most:
        limit = f"{most / MEBIBYTE:g} MiB"
        raise BadInput([Problem(name, f"the file is too large; at most {limit} are accepted")])
    return data


def decode(data: bytes, file: str) -> str:
    """The text of UTF-8 bytes, less a byte order mark; BadInput names the line that is not."""
    nul = data.find(b"\0")
    if nul >= 0:
        line = data.count(b"\n", 0, nul) + 1
        raise BadInput([Problem(file, "a NUL byte: this is no text file", row=line)])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        shown = f"0x{error.object[error.start]:02X}"
        raise BadInput(
            [Problem(file, f"byte {shown} is no UTF-8; save the file as UTF-8", row=line)]
        ) from None
