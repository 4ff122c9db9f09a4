"""Terminal screens of the whole question: clashing wishes, and what to measure next."""

from rich.console import Group, RenderableType
from rich.table import Table

from recommender.answer.cautions import OPENING
from recommender.answer.numbers import money
from recommender.answer.replies import Clash, GiveUpRecord, Measure, Measures
from recommender.output.screen import bullets, heading, line, row, table
from recommender.output.terminal import counted

MOST_NAMED = 6


def clash(made: Clash, currency: str) -> RenderableType:
    """What clashes and what to give up, or what giving up one wish would add."""
    parts: list[RenderableType] = []
    if made.met and made.sure:
        parts.append(heading("Some shock meets every must. Giving one up would add:"))
    elif made.met:
        parts.append(heading("Some shock may meet every must, which can't be said yet. Giving one "
                             "up would add, perhaps:"))  # fmt: skip
    elif not made.give_up:
        parts.append(heading("Limits and parts nobody offers rule every shock out."))
        parts.append(line("No wish given up lets any in: `recommender rejections` tells why."))
    else:
        parts.append(heading("No shock meets every must. These clash:"))
        parts += bullets(" and ".join(names) or "limits alone" for names in made.clashes)
        if made.truncated:
            parts.append(line("and more of them."))
        parts.append(heading("Least to give up, and what it lets in:"))
    if made.met and not made.give_up:
        parts.append(line("nothing."))
    if made.give_up:
        parts.append(_give_up(made.give_up, currency))
    if made.more:
        parts.append(line(f"and {made.more} more ways."))
    return Group(*parts)


def _give_up(ways: tuple[GiveUpRecord, ...], currency: str) -> Table:
    made = table(
        ("give up", "lets in", "the best of them", "costs", "where it falls short"),
        ("lets in", "costs"),
    )
    for one in ways:
        short = [
            counted(wish.quantity, wish.unit) if wish.wish == wish.unit
            else f"{wish.wish} {counted(wish.quantity, wish.unit)}"
            for wish in one.forgone
            if wish.value < 0.5 and wish.wish != "price"
        ]
        price = "" if one.price is None else money(one.price, currency)
        row(made, (" and ".join(one.wishes), one.gain, one.best, price, "; ".join(short)))
    return made


def measures(made: Measures) -> RenderableType:
    """What to find out next, how, and which values decide which way."""
    if not made.measures and not made.choosing:
        return line("Nothing left to measure would settle a verdict.")
    parts: list[RenderableType] = [line(OPENING)]
    for choosing in made.choosing:
        shocks = ", ".join(choosing.shocks[:MOST_NAMED])
        left = len(choosing.shocks) - MOST_NAMED
        parts.append(heading(f"Which parts fit waits for {choosing.fact}"))
        parts += bullets([f"Shocks: {shocks}{f' and {left} more' if left > 0 else ''}."])
        parts += bullets([choosing.how] if choosing.how else [])
    if made.measures:
        parts.append(heading(f"{made.open} shocks can't be said yet. What would settle most:"))
    for k, one in enumerate(made.measures, 1):
        parts += _measure(k, one)
    if made.more:
        parts.append(line(f"and {made.more} more facts, none settling more on average."))
    return Group(*parts)


def _measure(place: int, one: Measure) -> list[RenderableType]:
    of = f" ({one.shock})" if one.shock else ""
    settles = "1 verdict" if one.settles == 1 else f"{one.settles} verdicts"
    first = "; the first place may change" if one.first_may_change else ""
    told_first = f"{place}. {one.fact}{of}: settles up to {settles}{first}"
    out: list[RenderableType] = [heading(told_first)]
    out += bullets([one.how] if one.how else [])
    told = []
    for values in one.values:
        ends = []
        if values.fits_count:
            fits = "fits" if values.fits_count == 1 else "fit"
            ends.append(f"{_names(values.fits, values.fits_count)} {fits}")
        if values.out_count:
            are = "is" if values.out_count == 1 else "are"
            ends.append(f"{_names(values.out, values.out_count)} {are} ruled out")
        told.append(f"{values.text}: {'; '.join(ends)}")
    return out + bullets(told)


def _names(names: tuple[str, ...], count: int, most: int = 3) -> str:
    more = f" and {count - most} more" if count > most else ""
    return ", ".join(names[:most]) + more
