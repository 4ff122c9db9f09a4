"""Answers on a terminal: tables at 80 columns and up, plain without colour.

Texts of catalogue and question are data: markup in them is not obeyed and control characters are
shown as '?'.
"""

import shlex
from collections.abc import Iterable, Sequence

from rich.box import SIMPLE
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.segment import Segment, Segments
from rich.table import Table
from rich.text import Text

from recommender.answer.records import Answer, BundleRecord, Span, Standing, Turned
from recommender.answer.wording import number, rule_label, with_unit
from recommender.rules.choices import SPACERS
from recommender.rules.market import FITTED

WAITS = "fits, the choice waits for a measurement"
STATE_STYLE = {"fits": "green", "open": "yellow", "ruled out": "red", WAITS: "cyan"}
STATE_WORDS = {
    "fits": "fits", "open": "can't be said yet", "ruled out": "ruled out", WAITS: WAITS,
}  # fmt: skip


def safe(text: object) -> str:
    """One line of printable characters."""
    return "".join(c if c.isprintable() else "?" for c in str(text))


def line(text: object, style: str = "") -> Text:
    """Text on one line with nothing in it obeyed."""
    return Text(safe(text), style=style)


def money(amount: float, currency: str) -> str:
    """An amount with its currency, cents only where there are any."""
    return f"{amount:.0f} {currency}" if amount == round(amount) else f"{amount:.2f} {currency}"


def counted(quantity: float, unit: str) -> str:
    """What a criterion looks at, as one says it: '67 %', '1 workshop job', 'no open rule'."""
    if unit == "share":
        return f"{number(100 * quantity, 'psi')} %"
    if unit in ("workshop jobs", "open rules", "days"):
        one = unit.removesuffix("s")
        some = "no" if quantity == 0 and unit != "days" else number(quantity, "place")
        return f"{some} {one if (quantity in (0, 1) and unit != 'days') or quantity == 1 else unit}"
    return with_unit(f"{quantity:.4g}", unit)


def heading(text: str) -> RenderableType:
    """A line that stands out, a blank one before it."""
    return Padding(line(text, "bold"), (1, 0, 0, 0))


def bullets(texts: Iterable[str]) -> list[RenderableType]:
    """One indented bullet a text."""
    out: list[RenderableType] = []
    for text in texts:
        grid = Table.grid(padding=(0, 1))
        grid.add_row("-", line(text))
        out.append(Padding(grid, (0, 0, 0, 2)))
    return out


def figure(record: BundleRecord, name: str) -> Span | None:
    """The figure of that name, None if the bundle has none."""
    return next((one for one in record.figures if one.name == name), None)


def figure_text(record: BundleRecord, name: str) -> str:
    """The figure to show, without the interval."""
    one = figure(record, name)
    return "" if one is None else one.text.split(" (")[0] + _unit_after(one)


def _unit_after(one: Span) -> str:
    return " " + one.text.rsplit(") ", 1)[1] if ") " in one.text else ""


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
                          f"`recommender rejections{files}`", "bold"))  # fmt: skip
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
        rows.append(line("The catalogue is invented for the demonstration.", "italic"))
    rows += [line(note) for note in answer.notes]
    return Group(*rows)


def _bundles(bundles: Sequence[BundleRecord], currency: str) -> Table:
    table = Table(box=SIMPLE, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("", justify="right")
    table.add_column("shock", overflow="fold", ratio=1)
    table.add_column("size mm", overflow="fold")
    table.add_column("travel mm", justify="right")
    table.add_column("sag mm", justify="right")
    table.add_column("set to", justify="right")
    table.add_column(currency, justify="right")
    table.add_column("days", justify="right")
    table.add_column("points", justify="right")
    for one in bundles:
        name = one.shock if one.state == "fits" else f"{one.shock} (?)"
        table.add_row(
            str(one.rank), line(name, STATE_STYLE[one.state]), one.size.rsplit(" ", 1)[0],
            bare(one, "travel_mm"), bare(one, "sag_mm"), spring_setting(one),
            at_least(one, "price", money(one.price, "").strip()),
            at_least(one, "days", f"{one.days:g}"), f"{one.total_points:.2f}",
        )  # fmt: skip
    return table


def at_least(record: BundleRecord, total: str, text: str) -> str:
    """A total, marked where some part's figure is blank and so left out of it."""
    return f"{text}+" if total in record.blank else text


def bare(record: BundleRecord, name: str) -> str:
    """The figure's number alone; '?' where it cannot be said."""
    one = figure(record, name)
    if one is None or one.nominal is None:
        return "?"
    return one.text.split(" ")[0]


def _first(answer: Answer, best: BundleRecord, again: str) -> list[RenderableType]:
    known = "" if best.state == "fits" else ", if what is doubtful turns out well"
    out: list[RenderableType] = [heading(f"First: {best.shock}{known}")]
    out.append(parts_table(best, answer.currency))
    out.append(line(_places(answer, best, again)))
    if best.doubts:
        out.append(heading("Not sure yet"))
        out += bullets(f"{rule_label(one.rule)}: {one.text}" for one in best.doubts)
    out.append(heading("Cautions"))
    out += bullets((*best.cautions, *answer.cautions))
    return out


def standings(made: tuple[Standing, ...]) -> RenderableType:
    """How far each weight may move before the first place changes."""
    table = Table(box=SIMPLE, pad_edge=False)
    for name in ("criterion", "weight", "first place stands", "then first"):
        table.add_column(name, overflow="fold")
    for one in made:
        span = f"from {one.low:.2f} up" if one.high is None else f"{one.low:.2f} to {one.high:.2f}"
        table.add_row(
            line(one.criterion), f"{one.weight:g}", span,
            line(" or ".join(dict.fromkeys(n for n in (one.below, one.above) if n))),
        )  # fmt: skip
    return table


def _places(answer: Answer, best: BundleRecord, again: str) -> str:
    """Where the alternatives of another kind stand, in one sentence."""
    told = [
        f"{one.bundle.shock}, {one.reason} (place {one.bundle.rank}, "
        f"{money(one.bundle.price, answer.currency)})"
        for one in answer.alternatives[1:]
    ]
    more = f"`recommender bundle {argument(best.shock)}{again}` shows all of the first."
    return f"Of another kind: {'; '.join(told)}. {more}" if told else more


def parts_table(record: BundleRecord, currency: str) -> Table:
    """The shopping list with its sum."""
    table = Table(box=SIMPLE, pad_edge=False, show_footer=True)
    table.add_column("part", footer="the whole")
    table.add_column("what", overflow="fold")
    table.add_column("price", justify="right")
    table.add_column("labour", justify="right", footer=money(record.price, currency))
    for part in record.parts:
        # The text counts an air shock's spacers, as its name does.
        plain = part.name in part.text or part.how == "keep" or part.name.endswith(SPACERS)
        name = "" if plain else f" ({part.name})"
        table.add_row(
            line(part.role), line(f"{part.text}{name}" if part.text else part.name),
            part.price_text.replace(f" {currency}", ""), money(part.labour, "").strip(),
        )  # fmt: skip
    return table


def rejections(answer: Answer, rule_counts: bool = True) -> RenderableType:
    """A summary by rule, then every shock that does not fit with all that it breaks."""
    parts: list[RenderableType] = [_opening(answer)]
    if rule_counts and answer.by_rule:
        table = Table(box=SIMPLE, pad_edge=False)
        table.add_column("rule")
        table.add_column("shocks that break it whatever is chosen", justify="right")
        table.add_column("it alone", justify="right")
        for count in answer.by_rule:
            table.add_row(line(rule_label(count.rule)), str(count.shocks), str(count.alone))
        parts.append(table)
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
    parts += bullets(f"{rule_label(broken.rule)}: {broken.text}" for broken in one.broken)
    if one.conflicts:
        shown = "; ".join(clash.text for clash in one.conflicts)
        more = f"; and {one.more_conflicts} more" if one.more_conflicts else ""
        parts += [line(f"Whatever else is chosen, it is kept out by {shown}{more}.")]
    return Group(*parts)


_WHO = {"rider": "the rider", "shop": "the shop", "nobody": "nobody"}


def problems(texts: Sequence[str]) -> RenderableType:
    """Messages, one a line."""
    return Group(*(line(text) for text in texts))


def argument(shock: str) -> str:
    """A shock as one writes it behind a command."""
    return "fitted" if shock == FITTED else shlex.quote(safe(shock))


def put(screen: RenderableType) -> None:
    """Prints a screen: no blanks at a line's end, no two blank lines together, none at its ends."""
    target = console()
    rows: list[list[Segment]] = []
    for segments in target.render_lines(screen, pad=False):
        row = _trimmed(segments)
        if row or (rows and rows[-1]):
            rows.append(row)
    while rows and not rows[-1]:
        rows.pop()
    for row in rows:
        target.print(Segments([*row, Segment.line()]), end="")


def _trimmed(segments: list[Segment]) -> list[Segment]:
    """A row of segments without the blanks at its end."""
    row = list(segments)
    while row and not row[-1].text.strip():
        row.pop()
    if row:
        row[-1] = Segment(row[-1].text.rstrip(), row[-1].style)
    return row


def console(stderr: bool = False) -> Console:
    """A console that keeps to the terminal's width and obeys NO_COLOR."""
    return Console(stderr=stderr, highlight=False, markup=False, emoji=False)
