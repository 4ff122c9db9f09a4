"""How long a question takes against what it must take, all in one process.

    python -m tests.bench.run --shocks 100000 --kits 5000 --services 2000
    python -m tests.bench.run --growth --memory --reading --answer --minimum

Every contestant answers the same question of the same catalogue, and no time is printed unless all
name the same shocks. Times are medians of several runs, contestants in turn, in processor seconds:
wall time would measure what else the machine does. Ratios and exponents are what counts.
"""

import math
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import typer

import recommender.rules  # noqa: F401  (fills the register)
from recommender.answer.answer import Case, answer
from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.explain.accounts import accounts
from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, Verdicts
from tests.bench.floor import Columns, Feasible, feasible
from tests.bench.generate import make_catalogue, write_folder
from tests.bench.parts import Parts
from tests.bench.question import question
from tests.bench.rivals import RIVALS, Rival

RIVAL_SPRINGS = 20
FIRST_RIVAL = 500.0
RIVAL_SHARES = (1.0, 0.1, 0.05)
MIB = 2**20


class Disagreement(Exception):
    """Two contestants name different shocks, so no time counts."""


def timed(work: Callable[[], Any], runs: int) -> tuple[float, Any]:
    """Median processor seconds of several runs, and the last result."""
    seconds = []
    for _ in range(runs):
        begin = time.process_time()
        result = work()
        seconds.append(time.process_time() - begin)
    return statistics.median(seconds), result


def in_turn(works: Sequence[Callable[[], Any]], runs: int) -> list[tuple[float, Any]]:
    """Each work's median processor seconds and last result; they take turns, run by run."""
    rounds = [[timed(work, 1) for work in works] for _ in range(runs)]
    return [
        (statistics.median(one[k][0] for one in rounds), rounds[-1][k][1])
        for k in range(len(works))
    ]


def agree(found: Feasible, verdicts: Verdicts) -> int:
    """How many shocks fit; raises Disagreement where the floor finds others."""
    for mine, theirs in ((found.fits, [FITS]), (found.possible, [FITS, OPEN])):
        other = np.isin(verdicts.state, theirs)
        if (mine != other).any():
            rows = np.flatnonzero(mine != other)[:5].tolist()
            raise Disagreement(f"floor and engine differ on shocks {rows}")
    return int(found.fits.sum())


def measure(catalogue: Catalogue, runs: int) -> tuple[float, float, int]:
    """Median seconds of the floor and of the verdicts, and how many shocks fit."""
    asked = question()
    market = open_market(asked, catalogue)
    columns = Columns(market)
    (floor, found), (ours, verdicts) = in_turn(
        [lambda: feasible(columns), lambda: judge(market, asked.wishes)], runs
    )
    return floor, ours, agree(found, verdicts)


def against_floor(shocks: int, kits: int, services: int, runs: int) -> None:
    catalogue = make_catalogue(shocks, kits, services)
    floor, ours, fits = measure(catalogue, runs)
    print(f"{shocks:,} shocks, {kits:,} kits, {services:,} services, 5 % loose cells, {fits} fit")
    line("floor, both ends of every margin", floor, floor)
    line("verdicts and bit sets", ours, floor)


def line(name: str, seconds: float, unit: float) -> None:
    print(f"  {name:<42} {seconds:9.3f} s  {seconds / unit:9.2f} x")


def against_rivals(patience: float) -> None:
    """Each rival at the largest size that it finishes in the time given, step by step."""
    print(f"exact catalogues, the largest size finished within {patience:g} s")
    for name, rival in RIVALS.items():
        one = furthest(rival, patience)
        line(name, one.seconds, one.ours)
        line(f"  verdicts, {one.told}", one.ours, one.ours)


@dataclass(frozen=True)
class Contest:
    """A rival's processor seconds and the engine's at one size, and what both found there."""

    size: float
    seconds: float
    ours: float
    told: str


def contest(rival: Rival, size: float) -> Contest:
    """One question, once by the rival and by the engine; raises Disagreement."""
    counts = [round(size * one) for one in RIVAL_SHARES]
    catalogue = make_catalogue(*counts, springs=RIVAL_SPRINGS, loose=0.0)
    parts, asked = Parts.of(catalogue), question()
    seconds, fits = timed(lambda: rival(parts), 1)
    market = open_market(asked, catalogue)
    ours, verdicts = timed(lambda: judge(market, asked.wishes), 3)
    if fits != set(np.flatnonzero(verdicts.state == FITS).tolist()):
        raise Disagreement(f"{rival.__name__} and engine differ at {counts}")
    told = " x ".join(f"{count:,}" for count in counts)
    return Contest(size, seconds, ours, f"{told}, {len(fits)} fit")


def furthest(rival: Rival, patience: float) -> Contest:
    """The largest contest within the patience: doubled while that is sure to be finished, then
    once as far as its own growth says."""
    last, steep = contest(rival, FIRST_RIVAL), 3.0
    while True:
        factor = min(2.0, (0.9 * patience / last.seconds) ** (1 / steep))
        if factor < 1.1:
            return last
        after = contest(rival, factor * last.size)
        if after.seconds > patience:
            return last
        steep = max(1.0, math.log(after.seconds / last.seconds) / math.log(factor))
        last = after


def growth(kits: int, services: int, runs: int, sizes: Sequence[int]) -> None:
    """Exponent of the verdicts' time from one size to the next."""
    before: tuple[int, float] | None = None
    print(f"growth, {kits:,} kits, {services:,} services")
    for size in sizes:
        asked = question()
        market = open_market(asked, make_catalogue(size, kits, services))
        seconds, _ = timed(lambda: judge(market, asked.wishes), runs)  # noqa: B023
        steep = ""
        if before is not None:
            power = math.log(seconds / before[1]) / math.log(size / before[0])
            steep = f"  n^{power:.2f}"
        print(f"  {size:>9,} shocks {seconds:9.3f} s{steep}")
        before = size, seconds


def memory(shocks: int, kits: int, services: int) -> None:
    """Peak of a process of its own, beyond its imports, step by step."""
    code = f"from tests.bench.run import _peaks; _peaks({shocks}, {kits}, {services})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    print(f"peak memory beyond imports, {shocks:,} shocks")
    print(done.stdout, end="")


def _peaks(shocks: int, kits: int, services: int) -> None:
    start = _peak()
    catalogue, asked = make_catalogue(shocks, kits, services), question()
    made = _peak()
    market = open_market(asked, catalogue)
    opened = _peak()
    judge(market, asked.wishes)
    for name, peak in (("catalogue's columns", made), ("with the market", opened),
                       ("with all verdicts", _peak())):  # fmt: skip
        print(f"  {name:<42} {peak - start:9.0f} MiB")


def _peak() -> float:
    """Most memory that this program held, MiB; `ru_maxrss` would be at least its parent's."""
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def reading(shocks: int, kits: int, services: int) -> None:
    """What reading and checking the catalogue's CSV files costs."""
    catalogue = make_catalogue(shocks, kits, services)
    with tempfile.TemporaryDirectory() as folder:
        write_folder(catalogue, Path(folder))
        size = sum(path.stat().st_size for path in Path(folder).iterdir()) / MIB
        seconds, read = timed(lambda: read_catalogue(Path(folder)), 1)
    if len(read.shocks) != shocks:
        raise Disagreement("the folder read back has another number of shocks")
    print(f"reading {size:.0f} MiB of CSV, {shocks:,} shocks: {seconds:.2f} s")


def whole_answer(shocks: int, kits: int, services: int, runs: int) -> None:
    """What the complete answer costs: every verdict, looked at along what is not exactly known;
    every conflict and least change of every shock; the best bundle of each that is not ruled out,
    in order; and the records of the first places and the nearest misses."""
    catalogue, asked = make_catalogue(shocks, kits, services), question()
    columns = Columns(open_market(asked, catalogue))

    def complete() -> tuple[Verdicts, float, int]:
        case = Case(asked, catalogue)
        found = case.verdicts
        explaining, _ = timed(lambda: accounts(found), 1)
        answer(case)
        return found, explaining, len(case.order)

    works = [lambda: feasible(columns), lambda: judge(columns.market, asked.wishes), complete]
    (floor, found), (ours, _), (whole, (verdicts, explaining, ranked)) = in_turn(works, runs)
    agree(found, verdicts)
    print(f"complete answer, {shocks:,} x {kits:,} x {services:,}, {ranked:,} shocks ranked")
    line("floor", floor, floor)
    line("verdicts and bit sets", ours, floor)
    line("complete answer", whole, floor)
    line("  of it every conflict and least change", explaining, floor)
    print(f"  explaining every rejection costs {explaining / ours:.2f} times finding them")


def with_an_order_minimum(shocks: int, kits: int, services: int, runs: int) -> None:
    """What the verdicts cost where one of the suppliers takes no order below 60: then whole orders
    have to be looked at."""
    asked = question()
    market = open_market(asked, make_catalogue(shocks, kits, services))
    supplier = next(name for name in market.kits.supplier.words if name)
    ordered = replace(market, order_minimum={**market.order_minimum, supplier: 60.0})
    (plain, _), (whole, _) = in_turn(
        [lambda: judge(market, asked.wishes), lambda: judge(ordered, asked.wishes)], runs
    )
    print("one supplier of six with an order minimum")
    line("verdicts and bit sets without", plain, plain)
    line("with it", whole, plain)


def main(
    shocks: Annotated[int, typer.Option(min=1, max=1_000_000)] = 100_000,
    kits: Annotated[int, typer.Option(min=1, max=100_000)] = 5_000,
    services: Annotated[int, typer.Option(min=1, max=100_000)] = 2_000,
    runs: Annotated[int, typer.Option(min=1, max=99)] = 5,
    rivals: bool = True,
    patience: Annotated[float, typer.Option(help="seconds a rival may take")] = 120.0,
    with_growth: Annotated[bool, typer.Option("--growth")] = False,
    largest: Annotated[int, typer.Option(help="most shocks of --growth and --memory")] = 1_000_000,
    with_memory: Annotated[bool, typer.Option("--memory")] = False,
    with_reading: Annotated[bool, typer.Option("--reading")] = False,
    with_answer: Annotated[bool, typer.Option("--answer")] = False,
    with_minimum: Annotated[bool, typer.Option("--minimum")] = False,
) -> None:
    """Measure the engine against its floor and its rivals; example: --shocks 20000 --no-rivals"""
    against_floor(shocks, kits, services, runs)
    if rivals:
        against_rivals(patience)
    if with_growth:
        sizes = [10**k for k in range(4, 7) if 10**k <= largest]
        growth(kits, services, min(runs, 3), sizes)
    if with_memory:
        memory(largest, kits, services)
    if with_reading:
        reading(shocks, kits, services)
    if with_answer:
        whole_answer(shocks, kits, services, runs)
    if with_minimum:
        with_an_order_minimum(shocks, kits, services, runs)


if __name__ == "__main__":
    typer.run(main)
