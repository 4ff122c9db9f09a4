"""Which lines each test executes: what can't see a change need not run against it.

Each test file runs in a process of its own under coverage.py, so lines that only the first user
of a cached value executes are still the file's; within the file, the tests that execute a line
themselves are known too and go first.
"""

import json
import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
PLAIN = ("-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist")


@dataclass(frozen=True)
class Seen:
    """What one test file executes. `lines`: 'module path:line' -> its tests; '' while importing."""

    seconds: dict[str, float] = field(default_factory=dict)
    lines: dict[str, list[str]] = field(default_factory=dict)


class Chosen:
    """A pytest plugin: only these tests, in this order."""

    def __init__(self, tests: Sequence[str]) -> None:
        self.place = {name: k for k, name in enumerate(tests)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (one for one in items if one.nodeid in self.place),
            key=lambda one: self.place[one.nodeid],
        )


class _Timed:
    def __init__(self, measured: Any) -> None:
        self.measured = measured
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.measured.switch_context(item.nodeid)
        start = time.process_time()
        yield
        self.seconds[item.nodeid] = time.process_time() - start
        self.measured.switch_context("")


def seen_by(file: str, sources: Sequence[str]) -> Seen:
    """Runs a test file in a fork; its tests must pass. Raises RuntimeError where they fail."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "seen.json")
        child = os.fork()
        if child == 0:
            os._exit(_measure(file, sources, out))
        _, status = os.waitpid(child, 0)
        if status != 0 or not out.exists():
            raise RuntimeError(f"the tests fail without any change: {file}")
        return Seen(**json.loads(out.read_text(encoding="utf-8")))


def _measure(file: str, sources: Sequence[str], out: Path) -> int:
    import coverage

    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    measured = coverage.Coverage(
        data_file=None, config_file=False, include=[str(ROOT / one / "*") for one in sources]
    )
    measured.start()
    timed = _Timed(measured)
    status = int(pytest.main([*PLAIN, file], plugins=[timed]))
    measured.stop()
    data = measured.get_data()
    lines = {
        f"{Path(path).relative_to(ROOT).as_posix()}:{line}": sorted(tests)
        for path in data.measured_files()
        for line, tests in data.contexts_by_lineno(path).items()
    }
    out.write_text(json.dumps(asdict(Seen(timed.seconds, lines))), encoding="utf-8")
    sys.stdout.flush()
    return status


def measured(files: Sequence[str], sources: Sequence[str], kept: Path) -> dict[str, Seen]:
    """What each of the files executes; kept beside, so that another run need not measure."""
    told: dict[str, Any] = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    for file in files:
        if file not in told:
            told[file] = asdict(seen_by(file, sources))
            kept.write_text(json.dumps(told), encoding="utf-8")
    return {file: Seen(**told[file]) for file in files}


def order(line: str, seen: dict[str, Seen], own_only: bool = False) -> list[str]:
    """The tests of every file that executes the line: those that do so themselves first, quick
    ones before slow ones. A line that none is seen on (it was folded into another) counts as all
    lines of its module.

    `own_only`: without those that only share a cached value with one that executes it, if some do.
    """
    if not any(line in one.lines for one in seen.values()):
        module = line.rpartition(":")[0] + ":"
        seen = {
            file: Seen(one.seconds, {line: []})
            for file, one in seen.items()
            if any(key.startswith(module) for key in one.lines)
        }
    found: list[tuple[bool, float, str]] = []
    for one in seen.values():
        if line in one.lines:
            own = set(one.lines[line])
            found += [(test not in own, took, test) for test, took in one.seconds.items()]
    found.sort()
    if own_only and found and not found[0][0]:
        found = [one for one in found if not one[0]]
    return [test for *_, test in found]
