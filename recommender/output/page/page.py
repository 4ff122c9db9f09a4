"""The page of an answer: its text, pictures and data put into one file that fetches nothing."""

import base64
import hashlib
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from recommender.answer.accounted import Briefly, accounted, briefly
from recommender.answer.answer import Case, answer, nearest_misses
from recommender.answer.graphs import (
    curve,
    gap_curve,
    margin_bars,
    room_drawing,
    size_map,
)
from recommender.answer.movable import movable
from recommender.answer.records import Answer
from recommender.answer.wording import rule_label
from recommender.output.page import pictures, room
from recommender.output.page.data import as_json, page_data, told_briefly
from recommender.output.page.words import gains, headline, money, short, sure_words, title
from recommender.output.terminal import WAITS, figure, safe
from recommender.rules.market import FITTED

ENGINE = ("values.js", "musts.js", "looks.js", "engine.js")
SCRIPTS = (*ENGINE, "elements.js", "controls.js", "list.js", "turned.js", "page.js")
"""The page's script in the order in which its files need one another; ENGINE knows no page."""
FIGURED = 150
"""How many of the nearest misses are told with figures where all are to be told."""
COMPARED = 3
"""How many of the best bundles the curves show beside the present shock."""


def environment(package: str) -> Environment:
    """Templates of a package; everything put into them is escaped, control characters shown as
    '?', and nothing undefined passes."""
    made = Environment(
        loader=PackageLoader(package),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: safe(value) if type(value) is str else value,
    )
    made.filters["label"] = rule_label
    return made


def page(case: Case, top: int = 5, rejected: int | None = None, full: int = 12) -> str:
    """The page as HTML: the `top` best shocks side by side and the account of the `rejected`
    nearest misses, the first `full` of them with least amounts. None: of all, those after the
    first `FIGURED` by their rules alone."""
    made = answer(case, top=top, rejected=FIGURED if rejected is None else rejected)
    others = nearest_misses(case.verdicts)[FIGURED if rejected is None else len(case.keys) :]
    brief = briefly(case, others)
    turned = accounted(case, made.turned_down, full)
    made = made.model_copy(update={"turned_down": turned})
    found = movable(case.market, case.question.wishes)
    data = as_json(page_data(case, found) | {"accounts": told_briefly(brief)})
    script, style = "\n".join(map(source, SCRIPTS)), source("sheet.css")
    best = made.bundles[0] if made.bundles else None
    told = len(made.turned_down) + len(brief.shocks)
    misses = sum(made.counts.values()) - made.counts["fits"]
    return environment("recommender.output.page").get_template("page.html").render(
        answer=made, best=best, total=sum(made.counts.values()),
        policy=policy(script, style), script=Markup(script), style=Markup(style), data=Markup(data),
        pictures=drawn(case, made), brief=brief.shocks, reasons=reasons(made, brief),
        rest=misses - told,
        waits=WAITS,
        sure=sure_words(best) if best else "", gains=gains(best, case.kept) if best else [],
        headline=headline, short=short, title=title, money=money,
    )  # fmt: skip


def source(name: str) -> str:
    """A file of this package as text."""
    return files("recommender.output.page").joinpath(name).read_text("utf-8")


def policy(script: str, style: str) -> str:
    """A content policy: this script and this style run, nothing else does, nothing is fetched."""
    one, other = (
        base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
        for text in (script, style)
    )
    return (
        f"default-src 'none'; script-src 'sha256-{one}'; style-src 'sha256-{other}'; "
        "base-uri 'none'; form-action 'none'"
    )


def reasons(made: Answer, brief: Briefly) -> list[str]:
    """The rules that some account names, for the filter."""
    figured = {rule_label(broken.rule) for one in made.turned_down for broken in one.broken}
    return sorted(figured | {rule_label(rule) for one in brief.shocks for rule in one.rules})


def drawn(case: Case, made: Answer) -> list[dict[str, Any]]:
    """The pictures with their captions."""
    dots, windows = size_map(case.market, case.verdicts)
    names = {one.rank: one.shock for one in made.bundles}
    out = [
        {
            "title": "Size map",
            "text": "Length against stroke. The green box is what the frame is approved for; "
            "a disc fits, a diamond can't be said yet, a cross is ruled out; numbers are the "
            "places of the candidates.",
            "svg": pictures.size_map(dots, windows, _sizes(made)), "key": (),
        }
    ]  # fmt: skip
    out += _curves(case, names)
    out += _gap(case, made)
    if case.order:
        best = case.order[0][0]
        drawing = room_drawing(best)
        out.append(
            {
                "title": "In its room",
                "text": f"{names[1]} from the head mount (left) to the shaft mount, to scale; "
                f"the hatched line is the frame's room, numbers are the air left; "
                f"{drawing.wanted_mm:g} mm are wanted. '?' is a room or body not measured.",
                "svg": room.room(drawing, names[1]), "key": (),
            }
        )  # fmt: skip
        out.append(
            {
                "title": "Fit margins",
                "text": f"What {names[1]} has to spare against each rule, one scale per unit; "
                "to the left of zero something is missing, the pale part is what is not exactly "
                "known.",
                "svg": pictures.margins(margin_bars(best)), "key": (),
            }
        )  # fmt: skip
    return out


def _sizes(made: Answer) -> list[tuple[float, float, str]]:
    out = []
    for one in made.bundles:
        length, stroke = one.size.split(" x ", 1)
        low, _, high = length.partition(" to ")
        try:
            middle = (float(low) + float(high or low)) / 2
            out.append((middle, float(stroke.split()[0]), str(one.rank)))
        except ValueError:
            continue  # A length or stroke that is not known has no place on the map.
    return out


def _curves(case: Case, names: dict[int, str]) -> list[dict[str, Any]]:
    places = dict.fromkeys(range(min(COMPARED, len(case.order))))
    if case.market.present in case.order.places:
        places |= {case.order.places[case.market.present]: None}
    chosen = [(case.order[k][0], names.get(k + 1, "") if k < COMPARED else FITTED) for k in places]
    curves = [
        one for one in (curve(ranked, name) for ranked, name in chosen if name) if one
    ]
    if not curves:
        return []
    key = [(k, one.name) for k, one in enumerate(curves)]
    return [
        {
            "title": "Force at the wheel",
            "text": "While riding; the filled mark is sag, the open one full travel. "
            "Friction, damper and bump stop are left out.",
            "svg": pictures.wheel_force(curves), "key": key,
        },
        {
            "title": "Leverage ratio",
            "text": "The filled mark is sag, the open one full stroke. Shocks of one length share "
            "one curve.",
            "svg": pictures.leverage(curves), "key": key,
        },
    ]  # fmt: skip


def _gap(case: Case, made: Answer) -> list[dict[str, Any]]:
    chosen = []
    for one in made.bundles:
        left = figure(one, "tyre_gap_mm")
        stroke = one.size.split(" x ", 1)[1].split()[0]
        if left is not None and left.low is not None and left.high is not None:
            known = left.high - left.low < 60 and stroke.replace(".", "").isdigit()
            if known:
                chosen.append((float(stroke), left.low, str(one.rank)))
    strokes = [stroke for stroke, _, _ in chosen] or [50.0]
    gap = gap_curve(case.market, (min(strokes) - 7.5, max(strokes) + 7.5))
    if gap is None:
        return []
    return [
        {
            "title": "Tyre gap",
            "text": "Gap at full compression for a shock of the frame's own length; the shaded "
            "band is what is not exactly known. Numbers are the candidates' places, at worst.",
            "svg": pictures.tyre_gap(gap, chosen), "key": (),
        }
    ]  # fmt: skip
