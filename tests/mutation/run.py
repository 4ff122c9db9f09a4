"""Does a test notice a change? `python -m tests.mutation.run --sample 200 --seed 1`.

Each mutant is one small change to one module, made in memory; the tests that belong to the module
run against it in a process of their own, those that name the module first. A mutant no test fails
on is a survivor and is printed.

    --sample N --seed S       N mutants, evenly over the packages asked for
    --changed main~1          only on lines changed since then; the tests are taken to pass
    --seen FILE               run what executes the changed line, quick tests first (`seen`); FILE
                              keeps what was measured: delete it when code or tests change
    --quick                   with --seen: only tests that execute the line themselves, so that more
                              may survive than with the files' other tests
    --wider                   with --seen: tests of other folders too, for what survived

Not mutmut: it leaves decorated functions alone, and every rule is one. Not cosmic-ray: it writes
the changes into the files that others read meanwhile, has one set of tests for all modules, and
starts an interpreter for each mutant, which takes longer than most of the tests.
"""

import argparse
import importlib.abc
import importlib.machinery
import importlib.util
import os
import random
import re
import resource
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Sequence
from math import ceil
from pathlib import Path

from tests.mutation.mutants import Mutant, changed_code, mutants
from tests.mutation.seen import PLAIN, Chosen, Seen, measured, order

ROOT = Path(__file__).resolve().parents[2]
APPROVED = "tests/approved/test_questions.py"
TESTS = {
    "mechanics": (("tests/mechanics", "tests/approved/test_mechanics.py",
                   "tests/approved/test_rules.py", "tests/rules",
                   "tests/outside/test_published_gas.py",
                   "tests/outside/test_published_springs.py",
                   "tests/outside/test_published_vibration.py"), (APPROVED,)),
    "rules": (("tests/approved/test_rules.py", "tests/approved/test_asked.py", "tests/rules"),
              (APPROVED,), ("tests/scenarios",),
              ("tests/search/test_margins.py", "tests/search/test_pinned.py")),
    "search": ((APPROVED,), ("tests/search/test_margins.py", "tests/scenarios"),
               ("tests/search/test_pinned.py", "tests/search/test_verdicts.py")),
    "explain": ((APPROVED,), ("tests/explain",)),
    "ranking": ((APPROVED,), ("tests/ranking",), ("tests/scenarios",)),
    "fleet": (("tests/approved/test_fleets.py", "tests/approved/test_fleet_files.py"),
              ("tests/fleet",)),
}  # fmt: skip
"""Package -> tests in stages; a mutant that one stage kills does not meet the next."""
WIDER = ("tests/answer", "tests/advice", "tests/certificate/test_accepted.py", "tests/catalogs",
         "tests/explain", "tests/fleet", "tests/search", "tests/scenarios", "tests/rules",
         "tests/outside", "tests/files")  # fmt: skip
"""What else may notice: tests of the packages that build on the one changed."""
HEAVY = (
    "numpy", "pandas", "scipy.optimize", "scipy.stats", "scipy.interpolate", "scipy.sparse",
    "networkx", "pydantic", "constraint", "tomlkit", "openpyxl", "jinja2", "typer", "rich.console",
    "pytest", "_pytest.assertion.rewrite", "hypothesis", "hypothesis.strategies", "paretoset",
    "pysat.solvers", "ortools.sat.python.cp_model",
)  # fmt: skip
"""Loaded once; every mutant's process is a fork that has them."""


TIMED = (signal.SIGXCPU, signal.SIGKILL)


class _Changed(importlib.machinery.SourceFileLoader):
    """Loads a module with its mutant's code."""

    number = 0

    def get_code(self, fullname: str):  # type: ignore[no-untyped-def]
        return compile(changed_code(Path(self.path), self.number), self.path, "exec")


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant
        self.name = ".".join(mutant.path.with_suffix("").parts)

    def find_spec(self, name, path, target=None):  # type: ignore[no-untyped-def]
        if name != self.name:
            return None
        loader = _Changed(name, str(ROOT / self.mutant.path))
        loader.number = self.mutant.number
        return importlib.util.spec_from_file_location(name, ROOT / self.mutant.path, loader=loader)


def files_of(stage: Sequence[str], module: Path) -> list[str]:
    """The test files of a stage, those that name the module first."""
    found: list[Path] = []
    for place in stage:
        path = ROOT / place
        found += sorted(path.rglob("test_*.py")) if path.is_dir() else [path]
    name = re.compile(rf"\b{re.escape('.'.join(module.with_suffix('').parts))}\b")
    found.sort(key=lambda one: name.search(one.read_text(encoding="utf-8")) is None)
    return [str(one.relative_to(ROOT)) for one in found if one.exists()]


def tested(
    mutant: Mutant | None, files: Sequence[str], chosen: Sequence[str], seconds: float, left: float
) -> str:
    """'passed', 'failed' or 'timed out': the tests against the mutant, in a fork.

    `chosen`: only these of their tests; none: all. `seconds` are of the processor; by the clock
    eight times as many, for others use the machine too, but never more than are `left`.
    """
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        resource.setrlimit(resource.RLIMIT_CPU, (ceil(seconds), ceil(seconds)))
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        if mutant is not None:
            os.dup2(quiet, 2)
            sys.meta_path.insert(0, _Finder(mutant))
        import pytest

        os._exit(int(pytest.main([*PLAIN, *files], plugins=[Chosen(chosen)] if chosen else [])))
    end = time.monotonic() + min(8 * seconds, left)
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            out_of_time = os.WIFSIGNALED(status) and os.WTERMSIG(status) in TIMED
            return "passed" if status == 0 else "timed out" if out_of_time else "failed"
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "timed out"


def stages_of(mutant: Mutant) -> list[list[str]]:
    return [files_of(stage, mutant.path) for stage in TESTS[mutant.path.parts[1]]]


def by_line(mutant: Mutant, seen: dict[str, Seen], quick: bool, left: float) -> str:
    """As `tested`: every test of every file that executes the line, the likeliest first."""
    tests = order(f"{mutant.path.as_posix()}:{mutant.line}", seen, quick)
    files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
    if not tests:
        return "passed"
    took = sum(seconds for file in files for seconds in seen[file].seconds.values())
    return tested(mutant, files, tests, 10.0 + took, left)


def changed_lines(since: str) -> dict[Path, set[int]]:
    """Lines added or changed since a commit, by file."""
    folders = [f"recommender/{name}" for name in TESTS]
    text = subprocess.run(["git", "diff", "-U0", since, "--", *folders], cwd=ROOT, check=True,
                          capture_output=True, text=True).stdout  # fmt: skip
    out: dict[Path, set[int]] = {}
    path = Path()
    for line in text.splitlines():
        if line.startswith("+++ b/"):
            path = Path(line[6:])
        elif match := re.match(r"@@ -\S+ \+(\d+)(?:,(\d+))? @@", line):
            first, count = int(match[1]), int(match[2] or 1)
            out.setdefault(path, set()).update(range(first, first + count))
    return out


def chosen(packages: Sequence[str], sample: int, seed: int, since: str | None) -> list[Mutant]:
    """The mutants to test, shuffled; the packages share the sample evenly."""
    rng = random.Random(seed)
    lines = changed_lines(since) if since else None
    every: list[list[Mutant]] = []
    for package in packages:
        paths = sorted((ROOT / "recommender" / package).glob("*.py"))
        relative = [path.relative_to(ROOT) for path in paths]
        if lines is not None:
            relative = [path for path in relative if path in lines]
        found = [one for path in relative for one in mutants(path)]
        if lines is not None:
            found = [one for one in found if one.line in lines[one.path]]
        rng.shuffle(found)
        every.append(found[: -(-sample // len(packages))])
    out = [one for found in every for one in found]
    rng.shuffle(out)
    return out[:sample]


def _seen(some: Sequence[Mutant], kept: Path, wider: bool) -> dict[str, dict[str, Seen]]:
    """Package -> test file -> what it executes."""
    sources = [f"recommender/{name}" for name in TESTS]
    out = {}
    for package in dict.fromkeys(one.path.parts[1] for one in some):
        places = [place for stage in TESTS[package] for place in stage]
        files = files_of([*places, *(WIDER if wider else ())], Path("recommender", package))
        out[package] = measured(list(dict.fromkeys(files)), sources, kept)
    return out


def main() -> None:
    """The command; exit code 1 where fewer are killed than `--least`."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sample", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--package", action="append", choices=[*TESTS], help="repeatable")
    parser.add_argument("--changed", metavar="COMMIT")
    parser.add_argument("--skip", type=int, default=0, help="go on after so many of the sample")
    parser.add_argument("--seconds", type=float, default=1e9, help="stop after so long")
    parser.add_argument("--least", type=float, default=0.0, help="share that must be killed")
    parser.add_argument("--seen", type=Path, metavar="FILE")
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--wider", action="store_true")
    parser.add_argument("--survivors", type=Path, help="only the mutants this list has (a log)")
    told = parser.parse_args()
    os.chdir(ROOT)
    os.environ |= {
        "HYPOTHESIS_PROFILE": "brief",
        "PYTHONDONTWRITEBYTECODE": "1",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }
    sys.dont_write_bytecode = True
    start = time.monotonic()
    some = chosen(told.package or [*TESTS], told.sample, told.seed, told.changed)
    if told.survivors:
        listed = told.survivors.read_text(encoding="utf-8")
        every = [
            one
            for name in TESTS
            for path in sorted(Path("recommender", name).glob("*.py"))
            for one in mutants(path)
        ]
        some = [one for one in every if f"survived {one}" in listed]
    some = some[told.skip :]
    for name in HEAVY:
        try:
            importlib.import_module(name)
        except ImportError:
            continue
    seen = _seen(some, told.seen, told.wider) if told.seen else {}
    usual: dict[tuple[str, ...], float] = {}
    counts: Counter[str] = Counter()
    for mutant in some:
        if time.monotonic() - start > told.seconds:
            break
        left = told.seconds - (time.monotonic() - start)
        result = "passed"
        if told.seen:
            result = by_line(mutant, seen[mutant.path.parts[1]], told.quick, left)
        for files in [] if told.seen else stages_of(mutant):
            key = tuple(sorted(files))
            if told.changed:
                usual[key] = 10.0
            if key not in usual:
                begun = time.monotonic()
                if tested(None, files, (), 900.0, 1800.0) != "passed":
                    sys.exit(f"the tests fail without any change: {' '.join(files)}")
                usual[key] = time.monotonic() - begun
            left = told.seconds - (time.monotonic() - start)
            result = tested(mutant, files, (), 20.0 + 4 * usual[key], left)
            if result != "passed":
                break
        if time.monotonic() - start > told.seconds:
            break  # the last one was not tested to its end
        counts[result] += 1
        word = {"passed": "survived", "failed": "killed"}.get(result, "timed out, killed")
        print(f"{word} {mutant}", flush=True)
    done = counts.total()
    killed = done - counts["passed"]
    print(f"{done} mutants of {len(some)}: {killed} killed ({counts['timed out']} by time), "
          f"{counts['passed']} survived; {100 * killed / max(done, 1):.1f} %")  # fmt: skip
    sys.exit(1 if done and killed / done < told.least else 0)


if __name__ == "__main__":
    main()
