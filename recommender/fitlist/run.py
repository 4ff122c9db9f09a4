"""Makes a fit list part by part, on all cores, going on where an earlier run was stopped."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from recommender.advice.delivered import with_delivered
from recommender.catalogue.version import code_digest
from recommender.facts.problems import BadInput, Problem
from recommender.fitlist.bikes import Listed
from recommender.fitlist.fits import STATES
from recommender.fitlist.folder import Folder, opened
from recommender.fitlist.parts import Batch, Job, asked, made
from recommender.rules.asked import scalars
from recommender.rules.fitted import fitted_shock
from recommender.rules.market import open_market

ROWS_OF_A_PART = 1_000_000


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
        with made(job, left, processes) as finished:
            for batch, part in finished:
                folder.add(batch.file, part)
                through += len(batch.bikes)
                done(through, len(bikes))
        return _in_order(folder, bikes)


def _in_order(folder: Folder, bikes: Sequence[Listed]) -> dict[str, list[int]]:
    counts = {
        name: states for part in folder.manifest.parts.values()
        for name, states in part.counts.items()
    }  # fmt: skip
    return {one.name: counts[one.name] for one in bikes}


def ready(job: Job, bikes: Sequence[Listed]) -> list[Listed]:
    """The bikes with what their fitted shocks left the factory with, as for a bike alone. BadInput,
    before the long work begins, with what would stop any of them."""
    problems: list[Problem] = []
    out: list[Listed] = []
    for one in bikes:
        try:
            question = with_delivered(asked(job, one), job.catalogue)
            if not out:
                open_market(question, job.catalogue)
            fitted = fitted_shock(question, job.catalogue)
            tables = job.catalogue.tune_classes, job.catalogue.tastes
            scalars(question.bike, job.rider, job.wishes, *tables, fitted)
            out.append(replace(one, bike=question.bike))
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
