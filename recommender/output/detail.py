"""Terminal screens of one bundle, one comparison, and what the catalogue holds."""

from rich.console import Group, RenderableType
from rich.table import Table

from recommender.answer import answer
from recommender.answer.cautions import USUAL
from recommender.answer.numbers import amount
from recommender.answer.records import BundleRecord
from recommender.answer.replies import Comparison, Holdings
from recommender.output.parts import total, yearly
from recommender.output.screen import INVENTED, bullets, heading, line, row, table
from recommender.output.terminal import STATE_STYLE, STATE_WORDS, counted, doubts, parts_table
from recommender.output.written_back import words

FIGURE_WORDS = {
    "travel_mm": "wheel travel", "sag_mm": "sag at the shaft",
    "sag_percent": "sag, share of stroke",
    "wheel_sag_mm": "sag at the wheel", "wheel_sag_percent": "sag, share of travel",
    "fill_psi": "start pressure", "rate_n_per_mm": "spring rate", "preload_mm": "least preload",
    "sag_if_soft_mm": "sag, spring 5 % softer", "sag_if_stiff_mm": "sag, spring 5 % stiffer",
    "reserve_mm": "bottom-out reserve", "wheel_rate_n_per_mm": "rate at the wheel at sag",
    "needed_rebound_n_s_per_m": "rebound needed",
    "rebound_low_n_s_per_m": "rebound the tune gives, from",
    "rebound_high_n_s_per_m": "rebound the tune gives, to",
    "needed_compression_n_s_per_m": "compression needed",
    "compression_low_n_s_per_m": "compression the tune gives, from",
    "compression_high_n_s_per_m": "compression the tune gives, to",
    "tyre_gap_mm": "tyre gap at full stroke", "least_air_mm": "least clearance around the shock",
    "length_difference_mm": "length over nominal", "bottom_bracket_rise_mm": "bottom bracket rise",
}  # fmt: skip
"""Figures in words, in the order of the records."""


def bundle(
    record: BundleRecord, present: BundleRecord | None, currency: str, catalogue: str = ""
) -> RenderableType:
    """One bundle in full, beside keeping the fitted shock where that is possible. `catalogue` names
    it to a further command."""
    known = STATE_WORDS[record.state]
    if record.state == "open":
        known += ": measure before you buy (`recommender measure`)"
    out: list[RenderableType] = [
        heading(f"{record.shock}: {f'{record.maker} {record.model}'.strip()}, {record.size}"),
        line(f"{known}; place {record.rank}, {record.total_points:.2f} of "
             f"{record.most_points:.2f} points", STATE_STYLE[record.state]),
    ]  # fmt: skip
    if record.beaten_by:
        out.append(line(f"On every count {record.beaten_by} is as good or better."))
    ways = ["end for end"] * record.turned + ["turned 180 degrees about its axis"] * record.clocked
    if ways:
        out.append(line(f"It goes in {' and '.join(ways)}."))
    out.append(heading("What to buy, and what is reused"))
    out.append(parts_table(record, currency))
    more = "more than " if "days" in record.blank else ""
    out.append(
        line("; ".join(one for one in (f"{more}{record.days:g} days until it can ride",
                                       yearly(record)) if one) + ".")
    )  # fmt: skip
    if record.blank:
        out.append(
            line(f"Not told by every supplier, so not in the sums: {', '.join(record.blank)}.")
        )
    if record.alternatives:
        out.append(line("As good, for a difference in price:"))
        out += bullets(record.alternatives)
    out.append(heading("What it does"))
    out.append(_figures(record, present))
    if record.jobs:
        out.append(heading("Jobs in order"))
        out.append(_jobs(record, currency))
    if put_in := words(record.put_in, catalogue):
        out.append(heading("Once it is on the bike"))
        out.append(line("This writes it into the bike's file, with what was measured:"))
        # A line to an option, so that none breaks where the screen ends.
        first, *rest = put_in
        told = [first, *(f"  {one}" for one in rest)]
        out += [line(f"{one} \\") for one in told[:-1]] + [line(told[-1])]
    out.append(heading("Points"))
    out.append(_points(record))
    out.append(heading("How sure"))
    if record.doubts:
        out += doubts(record)
    else:
        out.append(line("It fits whatever the unmeasured facts turn out to be."))
    out.append(heading("Cautions"))
    out += bullets((*record.cautions, *USUAL))
    if answer.INVENTED in record.sources:
        out.append(line(INVENTED, "italic"))
    return Group(*out)


def _figures(record: BundleRecord, present: BundleRecord | None) -> Table:
    other = {one.name: one.text for one in present.figures} if present else {}
    kept: tuple[str, ...] = ()
    if present:
        work = f", for {total(present)}" if present.price else ""
        kept = (f"the fitted shock{work}",)
    made = table(("figure", "this bundle", *kept))
    for one in record.figures:
        beside = (other.get(one.name, ""),) if present else ()
        row(made, (FIGURE_WORDS.get(one.name, one.name), one.text, *beside))
    return made


def _jobs(record: BundleRecord, currency: str) -> Table:
    made = table(("", "job", "where", "tools", "minutes", "price"))
    for k, job in enumerate(record.jobs, 1):
        price = amount(job.price_ends, currency)
        price += ", not in the sum" if job.price and not job.in_total else ""
        row(made, (k, job.job, job.place, ", ".join(job.tools), f"{job.minutes:g}", price))
    return made


def _points(record: BundleRecord) -> Table:
    numbers = ("figure", "value", "weight", "points")
    foot = {"criterion": "sum", "points": f"{record.total_points:.2f}"}
    made = table(("criterion", *numbers), numbers, foot)
    for one in record.points:
        figures = f"{one.value:.2f}", f"{one.weight:g}", f"{one.points:.2f}"
        row(made, (one.criterion, counted(one.quantity, one.unit), *figures))
    return made


def comparison(made: Comparison, currency: str) -> RenderableType:
    """Why the first stands above the second, and what would turn it round."""
    first, second = made.first, made.second
    out: list[RenderableType] = [
        heading(f"{first.shock} stands above {second.shock} by {made.lead:.2f} points.")
    ]
    if made.certainty_decides:
        out = [heading(f"{first.shock} fits; {second.shock} can't be said yet.")]
    numbers = (first.shock, second.shock, "points")
    made_of = table(("criterion", *numbers), numbers)
    told = [one for one in made.differences if abs(one.points) >= 0.005]
    for one in told:
        sides = counted(one.first, one.unit), counted(one.second, one.unit)
        row(made_of, (one.criterion, *sides, f"{one.points:+.2f}"))
    out.append(made_of)
    same = [one.criterion for one in made.differences if one not in told]
    if same:
        out.append(line(f"Level on: {', '.join(same)}."))
    if made.turns:
        out.append(heading(f"What alone would put {second.shock} level"))
        out += bullets(
            f"{turn.what}: {turn.needed:.4g} {currency if 'price of' in turn.what else ''}".rstrip()
            + f" instead of {turn.now:.4g}"
            for turn in made.turns
        )
    elif not made.certainty_decides:
        out.append(line(f"No single weight or price puts {second.shock} first."))
    return Group(*out)


def holdings(made: Holdings, currency: str) -> RenderableType:
    """Counts by size family, then the shocks."""
    families = table(("family", *(STATE_WORDS[state] for state in made.counts)))
    for family, counts in made.families.items():
        row(families, (family, *counts.values()))
    row(families, ("together", *made.counts.values()))
    shocks = table(("shock", "size", "mount", "spring", f"price, {currency}", "verdict"))
    for one in made.shocks:
        verdict = line(STATE_WORDS[one.state], STATE_STYLE[one.state])
        row(shocks, (one.shock, one.size, one.mount, one.spring_kind, one.price, verdict))
    return Group(families, shocks)
