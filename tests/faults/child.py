"""A command run in a fork of the test's process: no start-up time, and it may be killed."""

import contextlib
import os
import resource
import signal
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

# Loaded before the fork, for the commands load them only when they run.
import recommender.certify.certify
import recommender.fleet.charts
import recommender.fleet.rollout
import recommender.fleet.spare_parts
import recommender.output.order_list
import recommender.output.page.page
import recommender.output.page_fleet
import recommender.output.papers.papers  # noqa: F401
from recommender.cli.main import main


@dataclass(frozen=True)
class Ended:
    """How a command ended; `code` is -9 where it was killed."""

    code: int
    out: str
    err: str


def start(arguments: list[str], folder: Path, before: Callable[[], None] = lambda: None) -> int:
    """The child's process id; its output goes to files in `folder`."""
    sys.stdout.flush()
    child = os.fork()
    if child:
        return child
    try:
        for number, name in ((1, "out.txt"), (2, "err.txt")):
            handle = os.open(folder / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(handle, number)
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.argv = ["recommender", *arguments]
        before()
        main()
        code = 0
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 1
    except BaseException:
        import traceback

        traceback.print_exc()
        code = 99
    with contextlib.suppress(Exception):
        sys.stdout.flush()
    with contextlib.suppress(Exception):
        sys.stderr.flush()
    os._exit(code)


def ended(child: int, folder: Path) -> Ended:
    """Waits for it."""
    _, status = os.waitpid(child, 0)
    texts = [(folder / name).read_text("utf-8") if (folder / name).exists() else ""
             for name in ("out.txt", "err.txt")]  # fmt: skip
    return Ended(os.waitstatus_to_exitcode(status), *texts)


def run(arguments: list[str], folder: Path, before: Callable[[], None] = lambda: None) -> Ended:
    """The command from start to end."""
    return ended(start(arguments, folder, before), folder)


def killed(arguments: list[str], folder: Path, watch: Path, delay: float) -> Ended:
    """The command, killed `delay` seconds after it began to write in `watch`."""
    for old in _unfinished(watch):
        old.unlink()
    child = start(arguments, folder, slow_disk)
    while not any(_unfinished(watch)):
        if os.waitid(os.P_PID, child, os.WEXITED | os.WNOHANG | os.WNOWAIT):
            return ended(child, folder)
        time.sleep(0.0005)
    time.sleep(delay)
    os.kill(child, signal.SIGKILL)
    return ended(child, folder)


def _unfinished(folder: Path) -> Iterator[Path]:
    return folder.glob(".unfinished-*")


def slow_disk() -> None:
    """Every sync and rename takes a while, so that there is something to interrupt."""
    sync, rename = os.fsync, os.replace

    def slowly(handle: int) -> None:
        time.sleep(0.01)
        sync(handle)
        time.sleep(0.01)

    def renamed(*names: object) -> None:
        rename(*names)  # type: ignore[arg-type]
        time.sleep(0.005)

    os.fsync = slowly  # type: ignore[assignment]
    os.replace = renamed  # type: ignore[assignment]


def small_disk(most: int = 600) -> Callable[[], None]:
    """No file may grow beyond so many bytes: what a full disk does to a writer."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    return limit
