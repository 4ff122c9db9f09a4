"""Makes a fit list part by part, on all cores, going on where an earlier run was stopped."""

import hashlib
import os
import signal
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import get_context, parent_process
from pathlib import Path

from recommender.advice.delivered import with_delivered
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.catalogue.version import code_digest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes
from recommender.files.whole import write_whole
from recommender.fitlist.bikes import Listed
from recommender.fitlist.fits import STATES, Judge
from recommender.fitlist.folder import Folder, Made, opened
from recommender.fitlist.sheet import csv_bytes, parquet_bytes
from recommender.rules.asked import scalars
from recommender.rules.market import fitted_shock, open_market

ROWS_OF_A_PART = 1_000_000


@dataclass(frozen=True)
class Job:
    """What every part shares."""

    catalogue: Catalogue
    rider: Rider
    wishes: Wishes
    closer: bool
    format: str
    folder: Path


@dataclass(frozen=True)
class Batch:
    """The bikes of one part, in the part's order."""

    file: str
    bikes: tuple[Listed, ...]


def make_list(
    job: Job,
    bikes: Sequence[Listed],
    made_of: Mapping[str, str],
    processes: int,
    done: Callable[[int, int], None] = lambda bikes, of: None,
) -> dict[str, list[int]]:
    """Every bike's number of shocks in each of STATES; the rows stand in the job's folder.

    Bikes of one size stand together. `made_of` tells everything the list depends on besides the
    program. `done` hears how many bikes are through, and of how many. Raises BadInput.
    """
    bikes = ready(job, bikes)
    batches = batched(job, bikes)
    told = {**made_of, "the program": code_digest(), "format": job.format,
            "closer look": str(job.closer)}  # fmt: skip
    parts = {batch.file: {one.name for one in batch.bikes} for batch in batches}
    with opened(job.folder, told, STATES, parts) as folder:
        left = [batch for batch in batches if batch.file not in folder.manifest.parts]
        through = len(bikes) - sum(len(batch.bikes) for batch in left)
        done(through, len(bikes))
        with _made(job, left, processes) as finished:
            for batch, made in finished:
                folder.add(batch.file, made)
                through += len(batch.bikes)
                done(through, len(bikes))
        return _in_order(folder, bikes)


def _in_order(folder: Folder, bikes: Sequence[Listed]) -> dict[str, list[int]]:
    counts = {
        name: states for made in folder.manifest.parts.values()
        for name, states in made.counts.items()
    }  # fmt: skip
    return {one.name: counts[one.name] for one in bikes}


def ready(job: Job, bikes: Sequence[Listed]) -> list[Listed]:
    """The bikes with what their fitted shocks left the factory with, as for a bike alone. BadInput,
    before the long work begins, with what would stop any of them."""
    problems: list[Problem] = []
    out: list[Listed] = []
    for one in bikes:
        try:
            asked = with_delivered(_question(job, one), job.catalogue)
            if not out:
                open_market(asked, job.catalogue)
            fitted = fitted_shock(asked, job.catalogue)
            tables = job.catalogue.tune_classes, job.catalogue.tastes
            scalars(asked.bike, job.rider, job.wishes, *tables, fitted)
            out.append(replace(one, bike=asked.bike))
        except BadInput as bad:
            problems += [
                replace(problem, file=one.place) if problem.file == "bike" else problem
                for problem in bad.problems
            ]
    if problems:
        raise BadInput(problems)
    return out


def batched(job: Job, bikes: Sequence[Listed]) -> list[Batch]:
    """The bikes in parts of about a million rows, those of one size together."""
    ordered = sorted(bikes, key=lambda one: _size_key(one))
    each = max(1, ROWS_OF_A_PART // max(1, len(job.catalogue.shocks)))
    return [
        Batch(f"part-{k // each + 1:05d}.{job.format}", tuple(ordered[k : k + each]))
        for k in range(0, len(ordered), each)
    ]


def _size_key(one: Listed) -> tuple[str, tuple[tuple[float, float], ...]]:
    sizes = tuple((size.length_mm.mid, size.stroke_ceiling_mm.mid) for size in one.bike.sizes)
    return one.bike.mount or "", sizes


def _question(job: Job, one: Listed) -> Question:
    return Question(one.bike, job.rider, job.wishes, "")


@contextmanager
def _made(
    job: Job, batches: Sequence[Batch], processes: int
) -> Iterator[Iterator[tuple[Batch, Made]]]:
    """The parts as they are finished; by other processes where that pays."""
    processes = min(processes, len(batches))
    if processes <= 1:
        judge = _judge(job)
        yield ((batch, _part(job, judge, batch)) for batch in batches)
        return
    # Started afresh, not forked: a fork of a process with threads may stand still.
    pool = ProcessPoolExecutor(processes, get_context("spawn"), _begin, (job,))
    try:
        waiting: dict[Future[Made], Batch] = {
            pool.submit(_part_of_process, batch): batch for batch in batches
        }
        yield ((waiting[one], one.result()) for one in as_completed(waiting))
    except BrokenProcessPool:
        message = "a process was ended from outside, perhaps for want of memory: run it again"
        raise BadInput([Problem(str(job.folder), message)]) from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


_own: dict[str, tuple[Job, Judge]] = {}
"""Of a worker process: what it was begun with."""


def _begin(job: Job) -> None:
    """Begins a worker. It ends with its parent, even if that one is killed, and says nothing."""
    signal.signal(signal.SIGINT, lambda *_: os._exit(1))
    _own["job"] = job, _judge(job)
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _part_of_process(batch: Batch) -> Made:
    job, judge = _own["job"]
    return _part(job, judge, batch)


def _judge(job: Job) -> Judge:
    return Judge(job.catalogue, job.wishes, job.closer)


def _part(job: Job, judge: Judge, batch: Batch) -> Made:
    """One part, judged and written."""
    rows = [(one.name, judge.fits(_question(job, one))) for one in batch.bikes]
    encode = parquet_bytes if job.format == "parquet" else csv_bytes
    content = encode(rows, judge.rules)
    write_whole(job.folder / batch.file, content)
    counts = {name: list(fits.counts()) for name, fits in rows}
    return Made(sha256=hashlib.sha256(content).hexdigest(), counts=counts)
