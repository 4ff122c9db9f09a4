"""The jobs of a bundle in the order of the work."""

from typing import NamedTuple

from recommender.answer.numbers import number
from recommender.answer.records import JobLine
from recommender.catalogue.columns import Table
from recommender.rules.choices import DELIVERED, REUSED_HEAD, REUSED_SHAFT, SERVICED, Market
from recommender.rules.fact import blank_span
from recommender.rules.work import Ends
from recommender.search.completion import Completion

FIT, SERVICE = "fit shock", "service shock"


class Job(NamedTuple):
    """A job by its name in the catalogue, with what is said of it. `sure`: that it is needed.
    `in_total`: the bundle's price has it."""

    name: str
    said: str = ""
    sure: bool = True
    in_total: bool = True


def job_lines(completion: Completion, jobs: Table, market: Market) -> tuple[JobLine, ...]:
    """The jobs of a bundle in the order of the work, with tools, place and price."""
    keys = jobs.keys()
    out = []
    for job in _jobs(completion, market):
        row = keys.index(job.name)
        work = market.works[job.name]
        tools = tuple(t.strip() for t in jobs.text("tools")[row].split(";") if t.strip())
        # What may not be needed may cost nothing.
        ends = told((work.labour[0] if job.sure else 0.0, work.labour[1]))
        out.append(
            JobLine(
                job=f"{job.name}{job.said}", tools=tools,
                place="workshop" if work.workshop else "home",
                minutes=float(jobs.number("minutes").top[row]),
                price=None if ends is None else round(sum(ends) / 2, 2), price_ends=ends,
                asked_ends=told(work.asked), in_total=job.in_total,
            )
        )  # fmt: skip
    return tuple(out)


def told(labour: Ends) -> Ends | None:
    """What it may cost, in cents; None: nobody priced it."""
    low, high = labour
    return None if high - low >= blank_span("job_labour") else (round(low, 2), round(high, 2))


def service_is_due(completion: Completion) -> bool:
    """Whether the fitted shock is kept, and not serviced, although its service is due."""
    market = completion.whole.market
    now = market.bike.present_shock
    kept = completion.whole.shock == market.present and completion.label("tune") != SERVICED
    return kept and now is not None and now.condition == "service due"


def _jobs(completion: Completion, market: Market) -> list[Job]:
    kept = completion.whole.shock == market.present
    tune = completion.label("tune")
    out = []
    if tune == SERVICED:
        out.append(Job(SERVICE))
    elif tune != DELIVERED:
        out.append(Job("send for revalve"))
    stroke = number(completion.number("stroke_mm"), "mm")
    out += _needed(
        completion, "stroke_changed", "change stroke", f", only if it is not set to {stroke} mm yet"
    )
    out += _needed(
        completion, "shock_eyelet_turned", "turn eyelet",
        ", only if it lies crosswise and the manual allows it",
    )  # fmt: skip
    if completion.frames.fact("spring_is_coil").low[0]:
        out += _needed(completion, "spring_changed", "fit spring", "")
    else:
        count = round(completion.number("spring_spacers"))
        wanted = f"{count or 'none'} {'is' if count < 2 else 'are'} wanted"
        out += _needed(
            completion, "spring_changed", "set volume spacers",
            f": see how many are in it; {wanted}",
        )  # fmt: skip
    for end in ("head", "shaft"):
        out += _needed(
            completion, f"{end}_kit_pressed", "press bushing",
            f", only if that of the {end} kit is pressed in",
        )  # fmt: skip
    bought = any(
        completion.label(f"{end}_kit") not in (REUSED_HEAD, REUSED_SHAFT)
        for end in ("head", "shaft")
    )
    if not kept or out or bought:
        out.append(Job(FIT, in_total=not kept))
    if tune == DELIVERED and service_is_due(completion):
        out.insert(0, Job(SERVICE, ", which is due, if it is ordered", in_total=False))
    return out


def _needed(completion: Completion, fact: str, name: str, waits: str) -> list[Job]:
    """The job where the fact says that it is needed; with what it waits for where it may be."""
    needed = completion.frames.fact(fact)
    if needed.low[0]:
        return [Job(name)]
    return [Job(name, waits, sure=False)] if needed.high[0] else []
