"""Answers on a terminal: the shortlist, what was turned down, and one shock's account."""

import shlex
import textwrap
from collections.abc import Iterable, Sequence

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from recommender.answer.names import by_text, rule_label
from recommender.answer.numbers import number, span, with_unit
from recommender.answer.records import (
    Answer,
    BrokenRule,
    BundleRecord,
    Doubt,
    Span,
    Standing,
    Turned,
)
from recommender.output.parts import part_words, priced, total
from recommender.output.screen import INVENTED, bullets, heading, line, row, safe, table
from recommender.rules.market import FITTED

WAITS = "fits, the choice waits for a measurement"
MOST_NAME = 20
"""Letters of a shock's name on one line of a table."""
STATE_STYLE = {"fits": "green", "open": "yellow", "ruled out": "red", WAITS: "cyan"}
STATE_WORDS = {
    "fits": "fits", "open": "can't be said yet", "ruled out": "ruled out", WAITS: WAITS,
}  # fmt: skip


def counted(quantity: float, unit: str) -> str:
    """What a criterion looks at, as one says it: '67 %', '1 workshop job', 'no open rule'."""
    if unit == "share":
        return f"{number(100 * quantity, 'psi')} %"
    if unit in ("workshop jobs", "open rules", "days"):
        one = unit.removesuffix("s")
        some = "no" if quantity == 0 and unit != "days" else number(quantity, "place")
        return f"{some} {one if (quantity in (0, 1) and unit != 'days') or quantity == 1 else unit}"
    return with_unit(f"{quantity + 0.0:.4g}", unit)  # never "-0"


def figure(record: BundleRecord, name: str) -> Span | None:
    """The figure of that name, None if the bundle has none."""
    return next((one for one in record.figures if one.name == name), None)


def figure_text(record: BundleRecord, name: str) -> str:
    """The figure to show, without the interval; by its ends where no one number stands for it;
    where an end is open, nothing is sure."""
    one = figure(record, name)
    if one is None or one.said is None or one.wide:
        return "" if one is None else one.text
    return with_unit(number(one.said, one.unit), one.unit)


def spring_setting(record: BundleRecord) -> str:
    """What to set: start pressure and spacers, or the coil."""
    fill = figure(record, "fill_psi")
    if fill is not None:
        return figure_text(record, "fill_psi")
    return figure_text(record, "rate_n_per_mm")


def shortlist(
    answer: Answer, varied: bool = False, stands: bool = False, files: str = "", options: str = ""
) -> RenderableType:
    """Counts, the best bundles in a table, the first one's shopping list, and what is doubtful.

    `varied` lists the best of each kind instead; `stands` adds how far the weights may move.
    `files` and `options` ask the same question of a further command, one that takes files and one
    that takes options.
    """
    parts: list[RenderableType] = [_opening(answer)]
    if not answer.bundles:
        parts.append(line("No bundle meets every must. See what each shock breaks: "
                          f"`recommender rejections{files}`. Which wish to give up: "
                          f"`recommender give-up{files}`", "bold"))  # fmt: skip
        return Group(*parts)
    kinds = [one.bundle for one in answer.alternatives] if varied else list(answer.bundles)
    parts.append(_bundles(kinds, answer.currency))
    if any({"price", "days"} & set(one.blank) for one in kinds):
        parts.append(line("+: not every part's is told, so it is that or more."))
    if varied:
        parts += bullets(f"{one.bundle.shock}: {one.reason}" for one in answer.alternatives)
    beaten = [one for one in kinds if one.beaten_by]
    parts += [line(f"{one.shock} is beaten on every count by {one.beaten_by}.") for one in beaten]
    if stands:
        parts += [heading("How far each weight may move"), standings(answer.stability)]
    parts += _first(answer, answer.bundles[0], options)
    return Group(*parts)


def _opening(answer: Answer) -> RenderableType:
    counts = answer.counts
    total = sum(counts.values())
    text = (
        f"{answer.bike}, {answer.rider}: of {total} shocks {counts['fits']} fit, "
        f"{counts['open']} can't be said yet, {counts['ruled out']} are ruled out."
    )
    if counts.get(WAITS):
        text += f" {counts[WAITS]} fit, but which parts waits for a measurement."
    rows: list[RenderableType] = [heading(text)]
    if answer.invented:
        rows.append(line(INVENTED, "italic"))
    rows += [line(note) for note in answer.notes]
    return Group(*rows)


def _bundles(bundles: Sequence[BundleRecord], currency: str) -> Table:
    numbers = ("travel mm", "sag mm", "set to", currency, "days", "points")
    made = table(("", "shock", "size mm", *numbers), ("", *numbers))
    made.padding = (0, 1, 0, 0)
    names = [one.shock if one.state == "fits" else f"{one.shock} (?)" for one in bundles]
    # A part number is read in one piece: other columns fold first.
    widest = min(max(len(word) for name in names for word in name.split()), MOST_NAME)
    made.columns[1].no_wrap = True
    for name, one in zip(names, bundles, strict=True):
        row(
            made,
            (
                one.rank, _folded(name, widest, STATE_STYLE[one.state]),
                one.size_mm,
                bare(one, "travel_mm"), bare(one, "sag_mm"), spring_setting(one),
                at_least(one, "price", span(*(one.price_ends or (one.price,) * 2), "money")),
                at_least(one, "days", f"{one.days:g}"), f"{one.total_points:.2f}",
            ),
        )  # fmt: skip
    return made


def _folded(text: str, width: int, style: str) -> Text:
    """The text on lines of at most that many letters."""
    return Text("\n").join(line(part, style) for part in textwrap.wrap(safe(text), width))


def at_least(record: BundleRecord, total: str, text: str) -> str:
    """A total, marked where some part's figure is blank and so left out of it."""
    return f"{text}+" if total in record.blank else text


def bare(record: BundleRecord, name: str) -> str:
    """The figure's number alone, or its ends; '?' where it cannot be said."""
    one = figure(record, name)
    if one is None or one.said is None or one.low is None or one.high is None:
        return "?"
    return span(one.low, one.high, one.unit) if one.wide else number(one.said, one.unit)


def _first(answer: Answer, best: BundleRecord, again: str) -> list[RenderableType]:
    known = "" if best.state == "fits" else ", if what is doubtful turns out well"
    out: list[RenderableType] = [heading(f"First: {best.shock}{known}")]
    out.append(parts_table(best, answer.currency))
    out.append(line(_places(answer, best, again)))
    if best.doubts:
        out.append(heading("Not sure yet"))
        out += doubts(best)
    out.append(heading("Cautions"))
    out += bullets((*best.cautions, *answer.cautions))
    return out


def doubts(record: BundleRecord) -> list[RenderableType]:
    """What is not sure yet; rules that wait for the same are told together."""
    return _bullets_of(record.doubts)


def _bullets_of(told: Iterable[BrokenRule | Doubt]) -> list[RenderableType]:
    return bullets(f"{rules}: {text}" for rules, text in by_text((r.rule, r.text) for r in told))


def standings(made: tuple[Standing, ...]) -> RenderableType:
    """How far each weight may move before the first place changes."""
    told = table(("criterion", "weight", "first place stands", "then first"))
    for one in made:
        span = f"from {one.low:.2f} up" if one.high is None else f"{one.low:.2f} to {one.high:.2f}"
        then = " or ".join(dict.fromkeys(n for n in (one.below, one.above) if n))
        row(told, (one.criterion, f"{one.weight:g}", span, then))
    return told


def _places(answer: Answer, best: BundleRecord, again: str) -> str:
    """Where the alternatives of another kind stand, in one sentence."""
    told = [
        f"{one.bundle.shock}, {one.reason} (place {one.bundle.rank}, {total(one.bundle)})"
        for one in answer.alternatives[1:]
    ]
    more = f"`recommender bundle {argument(best.shock)}{again}` shows all of the first."
    return f"Of another kind: {'; '.join(told)}. {more}" if told else more


def parts_table(record: BundleRecord, currency: str) -> Table:
    """The shopping list with its sum."""
    price, labour = f"price, {currency}", f"labour, {currency}"
    foot = {"part": "the whole", labour: total(record)}
    made = table(("part", "what", price, labour), (price, labour), foot)
    for part in record.parts:
        price_told, labour_told = priced(part, "")
        row(made, (part.role, part_words(part), price_told, labour_told or "0"))
    return made


def rejections(answer: Answer, rule_counts: bool = True) -> RenderableType:
    """A summary by rule, then every shock that does not fit with all that it breaks."""
    parts: list[RenderableType] = [_opening(answer)]
    if rule_counts and answer.by_rule:
        numbers = ("shocks that break it whatever is chosen", "kept out by it alone")
        counted_by = table(("rule", *numbers), numbers)
        for count in answer.by_rule:
            row(counted_by, (rule_label(count.rule), count.shocks, count.alone))
        parts.append(counted_by)
    out = [one for one in answer.turned_down if one.state == "ruled out"]
    doubtful = [one for one in answer.turned_down if one.state != "ruled out"]
    if out:
        parts += [heading("Ruled out, the nearest misses first"), *map(turned, out)]
    if doubtful:
        parts += [heading("Not turned down: it can't be said yet"), *map(turned, doubtful)]
    rest = sum(answer.counts.values()) - answer.counts["fits"] - len(answer.turned_down)
    if rest > 0:
        parts.append(line(f"and {rest} more: --all shows them."))
    return Group(*parts)


def turned(one: Turned, again: str = "") -> RenderableType:
    """One shock's account; `again` asks the same question of a further command."""
    state = STATE_WORDS[one.state]
    head = Text.assemble(
        line(one.shock, "bold"), line(f"  {one.size}  "), line(state, STATE_STYLE[one.state])
    )
    parts: list[RenderableType] = [Padding(head, (1, 0, 0, 0))]
    if one.state in ("fits", WAITS):
        parts.append(line(f"Nothing keeps it out: `recommender bundle {argument(one.shock)}{again}`"
                          " shows what it takes and what it will do."))  # fmt: skip
    ways = [fix for fix in one.corrections if fix.who != "nobody"]
    if ways or (one.corrections and one.state == "ruled out"):
        parts.append(line("What would let it in", "bold"))
        told = [f"{_WHO[fix.who]}: {fix.text}" for fix in ways]
        told += [f"or: {other}" for fix in ways[:1] for other in fix.amounts]
        parts += bullets(told or ["nothing that rider or shop could change"])
        parts.append(line("Why", "bold"))
    parts += _bullets_of(one.broken)
    if one.conflicts:
        shown = "; ".join(clash.text for clash in one.conflicts)
        more = f"; and {one.more_conflicts} more" if one.more_conflicts else ""
        parts += [line(f"Whatever else is chosen, it is kept out by {shown}{more}.")]
    return Group(*parts)


_WHO = {"rider": "the rider", "shop": "the shop", "nobody": "nobody"}


def argument(shock: str) -> str:
    """A shock as one writes it behind a command."""
    return "fitted" if shock == FITTED else shlex.quote(safe(shock))
