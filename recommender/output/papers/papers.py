"""The papers of one bundle, each a file of its own that prints on A4 and Letter."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from markupsafe import Markup

from recommender.advice.complaints import COMPLAINTS, FIRST, cautions, tries
from recommender.advice.reach import reach, short
from recommender.answer.answer import Case, is_invented, notes
from recommender.answer.cautions import AIR_OUT, REVALVE, UNREACHED, USUAL, warmth
from recommender.answer.jobs import FIT
from recommender.answer.names import join
from recommender.answer.numbers import amount, number, span
from recommender.answer.records import BundleRecord
from recommender.answer.settings import Settings
from recommender.facts.parts import Shock
from recommender.output.html import css_text, environment, own_sheet, policy
from recommender.output.page.words import headline, hinges, title
from recommender.output.papers.figures import (
    bike_facts,
    leverage_rows,
    settings,
    speed_words,
    steps,
    wanted,
)
from recommender.output.terminal import STATE_WORDS, figure, figure_text
from recommender.output.written_back import words
from recommender.rules.fitted import row_record
from recommender.rules.market import FITTED

PAPERS = ("quote", "job-card", "setup-sheet", "tuner-brief")
CENT = Decimal("0.01")
WAITS = (
    "The delivered tune reaches what this bike and rider need by the figures, or comes near: the "
    "revalve may be left until that tune was ridden."
)
NEAR = 0.1
"""How far outside the delivered tune's range the need may lie to be near, as a share of it. From
memory."""
NEW_BUSHING = (
    "Sleeves and bolts that are reused are unworn; a sleeve goes into the bushing that the new "
    "shock is delivered with."
)
OWN_BUSHING = (
    "Sleeves and bolts that are reused are unworn; a sleeve stays in the shock's own bushing: look "
    "whether that has play."
)
MOST_FOOT = 60
"""Letters of a bike's name at the foot of a page."""


@dataclass(frozen=True)
class Terms:
    """What the shop states: who it is, the day, how long the quote stands, and tax in per cent
    (None: none stated), contained in the prices or put on top."""

    date: date
    shop: str = ""
    valid_days: int = 14
    tax_percent: float | None = None
    included: bool = True


def papers(case: Case, shock: str, terms: Terms, catalogue: str = "") -> dict[str, str]:
    """File name -> HTML of every paper. BadInput where the shock is ruled out or unknown.
    `catalogue` names it to a further command."""
    record, _ = case.bundle_of(shock)
    on_bike = case.settings(shock)
    part = row_record(case.market.shocks, case.row(shock))
    own = [one for one in record.cautions if one != REVALVE]
    context: dict[str, Any] = {
        "bike": case.question.bike.name, "rider": case.question.rider.name,
        "record": record, "name": title(record), "terms": terms,
        "put_in": words(record.put_in, catalogue) or ["recommender fitted BIKE.toml"],
        "state": STATE_WORDS[record.state], "invented": is_invented(case), "usual": USUAL,
        "currency": case.question.wishes.currency,
        "sums": sums(record, terms), "hinges": hinges(record),
        "own_work": own_work(case, record),
        "until": (terms.date + timedelta(days=terms.valid_days)).isoformat(),
        "figures": headline(record)[1:-2], "assumed": assumed(case, record),
        "settings": settings(record, on_bike, part),
        "complaints": steps(part, on_bike), "first": FIRST,
        "own": own, "of_quote": own + revalve(case, record, part, on_bike),
        "in_mind": own + in_mind(record, part, on_bike),
        "air": on_bike.spring_kind == "air",
        "sag": f"{figure_text(record, 'sag_mm')} "
        f"({figure_text(record, 'sag_percent')} of the stroke)",
        "gap": f"{number(on_bike.tyre_gap_mm, 'mm')} mm",
        "bottomed": f"{on_bike.length_mm - on_bike.stroke_mm:.1f} mm or a little more: "
        "a bumper may hold it 1 to 3 mm short by hand",
        "facts": bike_facts(case, record, on_bike),
        "leverage": leverage_rows(on_bike), "level": notes(case)[0],
        "wanted": wanted(record, on_bike), "speed": speed_words(case),
    }  # fmt: skip
    made, out = environment("recommender.output.papers"), {}
    for name in PAPERS:
        style = own_sheet("recommender.output.papers", "paper.css") + _foot(name, case, terms)
        sheet = {"style": Markup(style), "policy": policy("", style)}
        out[f"{name}.html"] = made.get_template(f"{name}.html").render(context | sheet)
    return out


def revalve(case: Case, record: BundleRecord, part: Shock, on_bike: Settings) -> list[str]:
    """What the customer is told of a revalve before paying for it."""
    if REVALVE not in record.cautions:
        return []
    spans = [(one.needed, reach(case, part, one.side)) for one in on_bike.damping]
    shorts = [1.0 if spanned is None else short(needed, spanned) for needed, spanned in spans]
    # The tune of the shock that is on the bike was ridden already.
    if max(shorts) <= NEAR and record.shock != FITTED:
        return [WAITS]
    return [UNREACHED] if max(shorts) > 0 else []


def in_mind(record: BundleRecord, part: Shock, on_bike: Settings) -> list[str]:
    """What the one who sets it up and tries it must keep in mind."""
    tried = [step for name in COMPLAINTS for step in tries(name, part, on_bike.spacers)]
    fill = figure(record, "fill_psi")
    warm = [] if fill is None or fill.told is None else [warmth(fill.told)]
    return [*dict.fromkeys((AIR_OUT, *cautions(tried, part))), *warm]


def _foot(paper: str, case: Case, terms: Terms) -> str:
    """What stands at the foot of every printed page, so that no sheet is taken for another's."""
    bike = case.question.bike.name
    bike = bike if len(bike) <= MOST_FOOT else f"{bike[: MOST_FOOT - 1]}…"
    text = css_text(f"{paper.replace('-', ' ')}: {bike}, {terms.date.isoformat()}")
    return f"@page {{ @bottom-left {{ content: {text}; }} }}\n"


@dataclass(frozen=True)
class Sums:
    """Before tax, tax, and the whole, as written; tax None where none was stated."""

    net: str
    tax: str | None
    gross: str
    percent: str


def sums(record: BundleRecord, terms: Terms) -> Sums:
    """The quote's sums in cents, halves rounded up; net and tax add up to the whole. Where the
    whole is open its least and its most, never a middle."""
    if record.price_ends is None:
        return _sums(record.price, terms)
    low, high = (_sums(end, terms) for end in record.price_ends)
    tax = None if low.tax is None or high.tax is None else f"{low.tax} to {high.tax}"
    return Sums(f"{low.net} to {high.net}", tax, f"{low.gross} to {high.gross}", low.percent)


def _sums(price: float, terms: Terms) -> Sums:
    total = Decimal(str(price)).quantize(CENT)
    if terms.tax_percent is None:
        return Sums(f"{total}", None, f"{total}", "")
    rate = Decimal(str(terms.tax_percent)) / 100
    share = total - total / (1 + rate) if terms.included else total * rate
    tax = share.quantize(CENT, ROUND_HALF_UP)
    net, gross = (total - tax, total) if terms.included else (total, total + tax)
    return Sums(f"{net}", f"{tax}", f"{gross}", f"{terms.tax_percent:g}")


def own_work(case: Case, record: BundleRecord) -> list[str]:
    """What the sum leaves to the customer, with what it costs where the workshop does it."""
    mine = [
        f"{job.job} (done here: {amount(job.asked_ends, record.currency)})"
        for job in record.jobs if job.place == "home"
    ]  # fmt: skip
    if not mine:
        return []
    out, rider = [f"Not in the price, the customer's own work: {join(mine)}."], case.question.rider
    if "tools" not in rider.model_fields_set:
        out.append(f"No tools were told: the customer is taken to have {join(rider.tools)}.")
    return out


def assumed(case: Case, record: BundleRecord) -> list[str]:
    """What the quote rests on."""
    mass = case.question.rider.mass_with_kit_kg
    known = f"{span(mass.low, mass.high, 'kg')} kg" if mass.known else "not told"
    out = [
        f"Rider with kit: {known}.",
        "Prices and delivery as in the catalogue on the day of the quote.",
        *notes(case),
    ]
    if any(part.how == "reuse" for part in record.parts):
        out.append(OWN_BUSHING if record.shock == FITTED else NEW_BUSHING)
    out += [
        f"{job.job.capitalize()} ({amount(job.price_ends, record.currency)}): taking out and "
        "refitting the shock that is kept is not in the sum."
        for job in record.jobs if job.job == FIT and job.price and not job.in_total
    ]
    for code, rate in sorted(case.question.wishes.rates.items()):
        out.append(f"1 {code} = {rate:g} {case.question.wishes.currency}.")
    return out
