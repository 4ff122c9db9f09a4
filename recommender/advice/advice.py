"""What to change on the fitted shock, with this bike's figures, before anything is bought."""

from collections.abc import Sequence

from recommender.advice.bench import Bench, Setup
from recommender.advice.complaints import Step, cautions, tries
from recommender.advice.reach import reach
from recommender.answer.answer import Case
from recommender.answer.numbers import number
from recommender.answer.records import SCHEMA, Record
from recommender.facts.problems import BadInput, Problem
from recommender.facts.units import convert
from recommender.rules.asked import sag_band
from recommender.rules.fitted import fitted_shock

SAG_STEP = 2.0
"""Change of shaft sag that a rider feels, per cent of the stroke. From memory."""
OFF = 0.1
"""Share by which a measured sag may differ from the figures' before they are doubted. From memory.
"""
BELOW = {"rebound": "too slow", "compression": "too firm"}
ABOVE = {"rebound": "too fast", "compression": "too soft"}
"""What a damper is whose least (most) coefficient lies above (below) the one that is needed."""
RATE_STEP = convert(25.0, "lbf_per_in", "n_per_mm")
"""Coils are made in steps of 25 lbf/in. Common practice, no source."""


class Told(Record):
    """One step with its figures ('' where none can be given); whether they speak against it."""

    step: str
    figures: str
    against: bool


class Advice(Record):
    """For each complaint its steps, those that the figures speak against last; the setting they
    start from; the cautions that belong to them; what is missing for figures."""

    schema_version: str = SCHEMA
    bike: str
    rider: str
    shock: str
    now: str
    damping: tuple[str, ...]
    complaints: dict[str, tuple[Told, ...]]
    cautions: tuple[str, ...]
    missing: tuple[str, ...]


def bench_of(case: Case) -> Bench:
    """The fitted shock's bench. BadInput where no shock is told or no rider's mass is known."""
    question = case.question
    shock = fitted_shock(question, case.catalogue)
    problems = []
    if shock is None or question.bike.present_shock is None:
        message = "the shock fitted now is wanted: its part number or its facts"
        problems.append(Problem("bike", message, column="bike.present_shock"))
    if not question.rider.mass_with_kit_kg.known:
        message = "the rider's mass with kit is wanted"
        problems.append(Problem("rider", message, column="rider.mass_with_kit_kg"))
    if problems or shock is None or question.bike.present_shock is None:
        raise BadInput(problems)
    scalars = case.market.scalars
    nominal_length = scalars["bike_nominal_length_mm"].nominal
    shift = shock.length_mm.mid - nominal_length if shock.length_mm.known else 0.0
    rider = question.rider
    mass = rider.rear_share.mid * rider.mass_with_kit_kg.mid + question.bike.rear_sprung_mass_kg.mid
    return Bench(
        scalars["bike_leverage"].nominal, shift, mass, shock.stroke_mm.mid, shock,
        question.bike.present_shock,
    )  # fmt: skip


def advice(case: Case, complaints: Sequence[str]) -> Advice:
    """The steps for each complaint (by its full words), cheapest first."""
    bench = bench_of(case)
    missing = bench.missing()
    target = float(case.market.scalars["wish_sag_target_percent"].nominal)
    start = None if missing else _start(bench, target)
    shock = bench.shock
    count = bench.now.volume_spacers
    tried = {name: tries(name, shock, count.mid if count.known else None) for name in complaints}
    return Advice(
        bike=case.question.bike.name,
        rider=case.question.rider.name,
        shock=" ".join(one for one in (shock.maker, shock.model, shock.part_number) if one),
        now="" if start is None else
        _setting(start) + _assumed(bench) + _measured(bench, start),
        damping=() if start is None else _damping(case, bench, start),
        complaints={
            name: tuple(
                sorted(
                    (_told(step, bench, start, case) for step in steps),
                    key=lambda told: told.against,
                )
            )
            for name, steps in tried.items()
        },
        cautions=cautions((step for steps in tried.values() for step in steps), shock),
        missing=missing,
    )


def _start(bench: Bench, target: float) -> Setup:
    """The setting at the sag aimed at; a coil at the sag that its rate gives."""
    if bench.is_air:
        return bench.air(target, bench.spacers)
    return bench.coil(bench.now.spring_rate_n_per_mm.mid)


def _assumed(bench: Bench) -> str:
    unsure = bench.is_air and not bench.now.volume_spacers.known
    return "; how many spacers are in it is unknown, none are taken" if unsure else ""


def _measured(bench: Bench, start: Setup) -> str:
    """What the sag that was measured says of the setting."""
    sag = bench.now.sag_mm
    if not sag.known:
        return ""
    share = 100 * sag.mid / bench.stroke_mm
    told = f"; measured on the bike: sag {number(sag.mid, 'mm')} mm ({number(share, 'percent')} %)"
    if bench.is_air:
        fill = bench.air(share, start.spacers).fill_psi or 0.0
        return f"{told}, by the figures {number(fill, 'psi')} psi"
    if abs(sag.mid - start.sag_mm) <= OFF * start.sag_mm:
        return told
    return f"{told}, so check the coil's rate, the rider's mass and the leverage"


def _told(step: Step, bench: Bench, start: Setup | None, case: Case) -> Told:
    figures, against = ("", False) if start is None else _figures(step, bench, start, case)
    return Told(step=step.text, figures=figures, against=against)


def _figures(step: Step, bench: Bench, start: Setup, case: Case) -> tuple[str, bool]:
    """What the step comes to, and whether that speaks against it."""
    change = step.change
    if change in ("more sag", "less sag", "more pressure", "less pressure"):
        more = change in ("more sag", "less pressure")
        return _sag_change(bench, start, SAG_STEP if more else -SAG_STEP, case)
    if change in ("one more spacer", "one spacer less"):
        return _spacer_change(bench, start, 1 if change == "one more spacer" else -1)
    if change in ("stiffer spring", "softer spring") and start.rate_n_per_mm is not None:
        way = RATE_STEP if change == "stiffer spring" else -RATE_STEP
        return _arrow(start, bench.coil(start.rate_n_per_mm + way))
    side = "rebound" if "rebound" in change else "compression" if "compression" in change else ""
    if not side:
        return "", False
    beyond, told = _damped(case, bench, start, side)
    opens = change in ("faster rebound", "lighter compression")
    return told, beyond == (1 if opens else -1)


def _sag_change(bench: Bench, start: Setup, by: float, case: Case) -> tuple[str, bool]:
    if not bench.is_air:
        return "", False
    low, high = sag_band(case.question.wishes)
    wanted = start.sag_percent + by
    if not low - 1e-9 <= wanted <= high + 1e-9:
        return f"not within the sag allowed of {low:g} to {high:g} %", True
    return _arrow(start, bench.air(wanted, start.spacers))


def _spacer_change(bench: Bench, start: Setup, by: int) -> tuple[str, bool]:
    count = start.spacers + by
    if count < 0:
        return "if one is in it", False
    if count > bench.most_spacers:
        return "no figures: how many the shock takes, or how large they are, is not known", False
    return _arrow(start, bench.air(start.sag_percent, count))


def _arrow(start: Setup, end: Setup) -> tuple[str, bool]:
    beyond = "" if end.in_range else "; beyond the pressure the shock may hold: leave it"
    return f"{_setting(end)} instead of {start.reserve_mm:.0f} mm{beyond}", not end.in_range


def _setting(setup: Setup) -> str:
    """'171 psi, 1 spacer: 15 mm sag (30 %), 41.7 mm at the wheel, reserve 101 mm'."""
    if setup.fill_psi is not None:
        spacers = {0: "no spacer", 1: "1 spacer"}.get(setup.spacers, f"{setup.spacers} spacers")
        spring = f"{number(setup.fill_psi, 'psi')} psi, {spacers}"
    else:
        rate = setup.rate_n_per_mm or 0.0
        stamped = convert(rate, "n_per_mm", "lbf_per_in")
        spring = f"{number(rate, 'n_per_mm')} N/mm ({stamped:.0f} lbf/in)"
    return (
        f"{spring}: sag {number(setup.sag_mm, 'mm')} mm "
        f"({number(setup.sag_percent, 'percent')} %), "
        f"{number(setup.wheel_sag_mm, 'mm')} mm at the wheel, bottom-out reserve "
        f"{setup.reserve_mm:.0f} mm"
    )


def _damping(case: Case, bench: Bench, start: Setup) -> tuple[str, ...]:
    """What the rider needs of the damper, against what the delivered tune covers."""
    return tuple(_damped(case, bench, start, side)[1] for side in ("rebound", "compression"))


def _damped(case: Case, bench: Bench, start: Setup, side: str) -> tuple[int, str]:
    """Whether the need lies below what the tune covers (-1), above it (1) or neither (0, also where
    the class is unknown), and that in words."""
    wanted = start.critical_n_s_per_m * float(case.market.scalars[f"rider_{side}_ratio"].nominal)
    need = f"the rider needs about {wanted:.0f} N s/m of {side}"
    spanned = reach(case, bench.shock, side)
    if spanned is None:
        return 0, f"{need}; the tune's {side} class is unknown"
    low, high = spanned
    beyond = -1 if wanted < low else 1 if wanted > high else 0
    verdict = {
        -1: f"{BELOW[side]} even fully open", 0: "within it", 1: f"{ABOVE[side]} even fully closed"
    }[beyond]
    tune = getattr(bench.shock, f"{side}_class") or "the tune"
    return beyond, f"{need}; {tune} covers {low:.0f} to {high:.0f}: {verdict}"
