"""What a reader may not do while it reads: run on, take too much memory, write elsewhere."""

import contextlib
import os
import resource
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

SECONDS = 5.0
"""Of the processor's time: a busy machine is no hang."""
WAITING = 60.0
"""Seconds by the clock, for a reader that waits for something."""
MEBIBYTES = 1024
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGES = {
    "os.remove",
    "os.rename",
    "os.mkdir",
    "os.rmdir",
    "os.symlink",
    "os.link",
    "os.chmod",
    "os.chown",
    "os.truncate",
    "shutil.rmtree",
    "shutil.move",
    "subprocess.Popen",
    "os.system",
    "socket.connect",
    "os.exec",
    "os.spawn",
    "os.posix_spawn",
}
"""Audit events (PEP 578) that change something outside the process."""


class Broken(BaseException):
    """A promise broken. No reader's `except Exception` may swallow it."""


_allowed: list[Path] | None = None
_hooked = False


def _hook(event: str, arguments: tuple[Any, ...]) -> None:
    if _allowed is None or (event not in _CHANGES and event != "open"):
        return
    if event == "open" and not _to_write(*arguments[1:3]):
        return
    where = arguments[0]
    if isinstance(where, int) or where is None:
        return
    path = Path(os.path.realpath(_beside(event, arguments) / os.fsdecode(where)))
    if event.startswith(("os.", "shutil.", "open")) and any(
        path.is_relative_to(one) for one in _allowed
    ):
        return
    raise Broken(f"{event} of {path}")


def _beside(event: str, arguments: tuple[Any, ...]) -> Path:
    """The folder that a relative path counts from: an open folder's, where one is handed over."""
    last = arguments[-1]
    if event in ("os.remove", "os.rmdir", "os.mkdir") and isinstance(last, int) and last >= 0:
        with contextlib.suppress(OSError):
            return Path(os.readlink(f"/proc/self/fd/{last}"))
    return Path.cwd()


def _to_write(mode: Any, flags: Any) -> bool:
    if isinstance(mode, str):
        return any(letter in mode for letter in "wax+")
    return isinstance(flags, int) and bool(flags & _WRITES)


def _too_long(*_: object) -> None:
    raise Broken(f"still at it after {SECONDS:g} s of work or {WAITING:g} s of waiting")


@contextlib.contextmanager
def watched(allowed: list[Path]) -> Iterator[None]:
    """Raises Broken where a promise is broken within; writes are allowed in those folders only."""
    global _allowed, _hooked
    if not _hooked:
        sys.addaudithook(_hook)
        _hooked = True
    clocks = (
        (signal.SIGPROF, signal.ITIMER_PROF, SECONDS),
        (signal.SIGALRM, signal.ITIMER_REAL, WAITING),
    )
    before = [signal.signal(one, _too_long) for one, _, _ in clocks]
    for _, clock, seconds in clocks:
        signal.setitimer(clock, seconds)
    _allowed = [Path(os.path.realpath(one)) for one in allowed]
    try:
        yield
    finally:
        _allowed = None
        for (one, clock, _), old in zip(clocks, before, strict=True):
            signal.setitimer(clock, 0)
            signal.signal(one, old)


def limit_memory() -> None:
    """From here on the process may take 1 GiB more address space than it has; else MemoryError."""
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    most = pages * os.sysconf("SC_PAGE_SIZE") + MEBIBYTES * 2**20
    resource.setrlimit(resource.RLIMIT_AS, (most, resource.getrlimit(resource.RLIMIT_AS)[1]))


def peak_mebibytes() -> float:
    """The most memory that the process has held at once."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
