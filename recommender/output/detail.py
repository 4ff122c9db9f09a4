"""Terminal screens of one bundle, one comparison, and what the catalogue holds."""

from rich.box import SIMPLE
from rich.console import Group, RenderableType
from rich.table import Table

from recommender.answer.answer import INVENTED
from recommender.answer.cautions import USUAL
from recommender.answer.records import BundleRecord
from recommender.answer.replies import Comparison, Holdings
from recommender.answer.wording import rule_label
from recommender.output.terminal import (
    STATE_STYLE,
    STATE_WORDS,
    bullets,
    counted,
    heading,
    line,
    money,
    parts_table,
    safe,
)

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
    "tyre_gap_mm": "tyre gap at full stroke", "least_air_mm": "least air around the shock",
    "length_difference_mm": "length over nominal", "bottom_bracket_rise_mm": "bottom bracket rise",
}  # fmt: skip
"""Figures in words, in the order of the records."""


def bundle(record: BundleRecord, present: BundleRecord | None, currency: str) -> RenderableType:
    """One bundle in full, beside keeping the fitted shock where that is possible."""
    known = STATE_WORDS[record.state]
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
        line(f"{more}{record.days:g} days until it can ride; {money(record.per_year, currency)} a "
             "year of use.")
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
    out.append(heading("Points"))
    out.append(_points(record))
    out.append(heading("How sure"))
    if record.doubts:
        out += bullets(f"{rule_label(one.rule)}: {one.text}" for one in record.doubts)
    else:
        out.append(line("It fits whatever the loose measurements turn out to be."))
    out.append(heading("Cautions"))
    out += bullets((*record.cautions, *USUAL))
    if INVENTED in record.sources:
        out.append(line("The catalogue is invented for the demonstration.", "italic"))
    return Group(*out)


def _figures(record: BundleRecord, present: BundleRecord | None) -> Table:
    table = Table(box=SIMPLE, pad_edge=False)
    table.add_column("figure")
    table.add_column("this bundle", overflow="fold")
    other = {one.name: one.text for one in present.figures} if present else {}
    if present:
        table.add_column("the fitted shock", overflow="fold")
    for one in record.figures:
        row = [FIGURE_WORDS.get(one.name, one.name), safe(one.text)]
        if present:
            row.append(safe(other.get(one.name, "")))
        table.add_row(*row)
    return table


def _jobs(record: BundleRecord, currency: str) -> Table:
    table = Table(box=SIMPLE, pad_edge=False)
    for name in ("", "job", "where", "tools", "minutes", "price"):
        table.add_column(name, overflow="fold")
    for k, job in enumerate(record.jobs, 1):
        table.add_row(
            str(k), line(job.job), job.place, line(", ".join(job.tools)), f"{job.minutes:g}",
            "not told" if job.price is None else money(job.price, currency),
        )  # fmt: skip
    return table


def _points(record: BundleRecord) -> Table:
    table = Table(box=SIMPLE, pad_edge=False, show_footer=True)
    table.add_column("criterion", footer="sum")
    table.add_column("figure", justify="right")
    table.add_column("value", justify="right")
    table.add_column("weight", justify="right")
    table.add_column("points", justify="right", footer=f"{record.total_points:.2f}")
    for one in record.points:
        table.add_row(
            line(one.criterion), line(counted(one.quantity, one.unit)), f"{one.value:.2f}",
            f"{one.weight:g}", f"{one.points:.2f}",
        )  # fmt: skip
    return table


def comparison(made: Comparison, currency: str) -> RenderableType:
    """Why the first stands above the second, and what would turn it round."""
    first, second = made.first, made.second
    out: list[RenderableType] = [
        heading(f"{first.shock} stands above {second.shock} by {made.lead:.2f} points.")
    ]
    if made.certainty_decides:
        out = [heading(f"{first.shock} fits; {second.shock} can't be said yet.")]
    table = Table(box=SIMPLE, pad_edge=False)
    table.add_column("criterion")
    for name in (first.shock, second.shock, "points"):
        table.add_column(safe(name), justify="right", overflow="fold")
    told = [one for one in made.differences if abs(one.points) >= 0.005]
    for one in told:
        table.add_row(
            line(one.criterion), line(counted(one.first, one.unit)),
            line(counted(one.second, one.unit)), f"{one.points:+.2f}",
        )  # fmt: skip
    out.append(table)
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


def holdings(made: Holdings) -> RenderableType:
    """Counts by size family, then the shocks."""
    table = Table(box=SIMPLE, pad_edge=False)
    for name in ("family", *(STATE_WORDS[state] for state in made.counts)):
        table.add_column(name)
    for family, counts in made.families.items():
        table.add_row(line(family), *(str(count) for count in counts.values()))
    table.add_row("together", *(str(count) for count in made.counts.values()))
    shocks = Table(box=SIMPLE, pad_edge=False)
    for name in ("shock", "size", "mount", "spring", "price", "verdict"):
        shocks.add_column(name, overflow="fold")
    for one in made.shocks:
        shocks.add_row(
            line(one.shock), one.size, one.mount, one.spring_kind, one.price,
            line(STATE_WORDS[one.state], STATE_STYLE[one.state]),
        )  # fmt: skip
    return Group(table, shocks)
