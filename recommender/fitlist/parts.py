"""The parts of a fit list, each judged and written by itself, by several processes if it pays."""

import hashlib
import os
import signal
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context, parent_process
from pathlib import Path

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.facts.problems import BadInput, Problem
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes
from recommender.files.whole import write_whole
from recommender.fitlist.bikes import Listed
from recommender.fitlist.fits import Judge
from recommender.fitlist.folder import Made
from recommender.fitlist.sheet import csv_bytes, parquet_bytes


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


def asked(job: Job, one: Listed) -> Question:
    """The question of one bike."""
    return Question(one.bike, job.rider, job.wishes, "")


@contextmanager
def made(
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
    rows = [(one.name, judge.fits(asked(job, one))) for one in batch.bikes]
    encode = parquet_bytes if job.format == "parquet" else csv_bytes
    content = encode(rows, judge.rules)
    write_whole(job.folder / batch.file, content)
    counts = {name: list(fits.counts()) for name, fits in rows}
    return Made(sha256=hashlib.sha256(content).hexdigest(), counts=counts)
