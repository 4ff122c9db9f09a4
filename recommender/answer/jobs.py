"""The jobs of a bundle in the order of the work."""

from recommender.answer.records import JobLine
from recommender.catalogue.columns import Table
from recommender.rules.choices import DELIVERED, REUSED_HEAD, REUSED_SHAFT, SERVICED, Market
from recommender.rules.fact import blank_span
from recommender.rules.work import Work
from recommender.search.completion import Completion

FIT, TURN = "fit shock", "turn eyelet"


def job_lines(completion: Completion, jobs: Table, market: Market) -> tuple[JobLine, ...]:
    """The jobs of a bundle in the order of the work, with tools, place and price."""
    names = _jobs(completion, market)
    keys = jobs.keys()
    out = []
    for name in names:
        row = keys.index(name)
        work = market.works[name]
        tools = tuple(t.strip() for t in jobs.text("tools")[row].split(";") if t.strip())
        out.append(
            JobLine(
                job=_told(name, completion), tools=tools,
                place="workshop" if work.workshop else "home",
                minutes=float(jobs.number("minutes").top[row]), price=_price(work),
                price_ends=None if _price(work) is None else work.labour,
                in_total=not (name == FIT and completion.whole.shock == market.present),
            )
        )  # fmt: skip
    return tuple(out)


def _told(name: str, completion: Completion) -> str:
    """The job, with what it waits for."""
    if name == TURN and completion.frames.fact("shock_eyelet_turned").loose is not None:
        return f"{name}, only if it lies crosswise and the manual allows it"
    return name


def _price(work: Work) -> float | None:
    """The middle of what it may cost; None: nobody priced it."""
    low, high = work.labour
    return None if high - low >= blank_span("job_labour") else round((low + high) / 2, 2)


def _jobs(completion: Completion, market: Market) -> list[str]:
    kept = completion.whole.shock == market.present
    tune = completion.label("tune")
    frames = completion.frames
    names = []
    if tune == SERVICED:
        names.append("service shock")
    elif tune != DELIVERED:
        names.append("send for revalve")
    if frames.fact("stroke_changed").low[0]:
        names.append("change stroke")
    if frames.fact("shock_eyelet_turned").high[0]:
        names.append(TURN)
    if frames.fact("spring_changed").low[0]:
        coil = bool(frames.fact("spring_is_coil").low[0])
        names.append("fit spring" if coil else "set volume spacers")
    for end in ("head", "shaft"):
        if frames.fact(f"{end}_kit_pressed").low[0]:
            names.append("press bushing")
    bought = any(
        completion.label(f"{end}_kit") not in (REUSED_HEAD, REUSED_SHAFT)
        for end in ("head", "shaft")
    )
    if not kept or names or bought:
        names.append(FIT)
    return names
