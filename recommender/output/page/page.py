"""The page of an answer: its text, pictures and data put into one file that fetches nothing."""

from importlib.resources import files

from markupsafe import Markup

from recommender.answer.accounted import Briefly, accounted, briefly
from recommender.answer.answer import Case, answer, nearest_misses
from recommender.answer.names import rule_label
from recommender.answer.records import Answer
from recommender.movable.movable import movable
from recommender.output.html import environment, policy, sheet
from recommender.output.page.data import as_json, page_data, told_briefly
from recommender.output.page.pictures.curves import curves
from recommender.output.page.pictures.margins import margins
from recommender.output.page.pictures.picture import Pictures
from recommender.output.page.pictures.room import room
from recommender.output.page.pictures.size_map import size_map
from recommender.output.page.pictures.tyre_gap import tyre_gap
from recommender.output.page.words import (
    basis,
    gains,
    headline,
    hinges,
    or_more,
    short,
    sure_words,
    title,
)
from recommender.output.terminal import WAITS

ENGINE = ("values.js", "musts.js", "looks.js", "groups.js", "engine.js")
SCRIPTS = (
    *ENGINE, "numbers.js", "elements.js", "controls.js", "list.js", "moved.js", "turned.js",
    "page.js",
)  # fmt: skip
"""The page's script in the order in which its files need one another; ENGINE knows no page."""
FIGURED = 150
"""How many of the nearest misses are told with figures where all are to be told."""
PICTURES: tuple[Pictures, ...] = (size_map, curves, tyre_gap, room, margins)
"""What is drawn, in this order."""


def page(case: Case, top: int = 5, rejected: int | None = None, full: int = 12) -> str:
    """The page as HTML: the `top` best shocks side by side and the account of the `rejected`
    nearest misses, the first `full` of them with least amounts. None: of all, those after the
    first `FIGURED` by their rules alone."""
    made = answer(case, top=top, rejected=FIGURED if rejected is None else rejected)
    told_so_far = FIGURED if rejected is None else len(case.keys)
    others = nearest_misses(case.verdicts, case.keys)[told_so_far:]
    brief = briefly(case, others)
    turned = accounted(case, made.turned_down, full)
    made = made.model_copy(update={"turned_down": turned})
    found = movable(case.market, case.question.wishes)
    data = as_json(page_data(case, found) | {"accounts": told_briefly(brief)})
    script, style = "\n".join(map(source, SCRIPTS)), sheet("recommender.output.page", "sheet.css")
    best = made.bundles[0] if made.bundles else None
    told = len(made.turned_down) + len(brief.shocks)
    misses = sum(made.counts.values()) - made.counts["fits"]
    return environment("recommender.output.page").get_template("page.html").render(
        answer=made, best=best, total=sum(made.counts.values()),
        policy=policy(script, style), script=Markup(script), style=Markup(style), data=Markup(data),
        pictures=[one for draw in PICTURES for one in draw(case, made)],
        brief=brief.shocks, reasons=reasons(made, brief),
        rest=misses - told,
        waits=WAITS,
        sure=sure_words(best) if best else "", gains=gains(best, case.kept) if best else [],
        headline=headline, short=short, title=title, or_more=or_more, hinges=hinges,
        basis=basis,
    )  # fmt: skip


def source(name: str) -> str:
    """A file of this package as text."""
    return files("recommender.output.page").joinpath(name).read_text("utf-8")


def reasons(made: Answer, brief: Briefly) -> list[str]:
    """The rules that some account names, for the filter."""
    figured = {rule_label(broken.rule) for one in made.turned_down for broken in one.broken}
    return sorted(figured | {rule_label(rule) for one in brief.shocks for rule in one.rules})
