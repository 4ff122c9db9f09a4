"""A bundle's figures in the page's words."""

from typing import Any

from recommender.answer.names import by_text
from recommender.answer.numbers import money, number, span, whole
from recommender.answer.records import BrokenRule, BundleRecord
from recommender.output.parts import yearly
from recommender.output.terminal import figure, figure_text
from recommender.rules.market import FITTED

Item = tuple[str, str, str]
"""A figure's name, its value, and what is to be said beneath."""

__all__ = ["Item", "gains", "headline", "money", "short", "sure_words", "title"]


def title(record: BundleRecord) -> str:
    """'Maker Model (part number)'; the shock fitted now by that name."""
    name = f"{record.maker} {record.model}".strip()
    if record.shock == FITTED:
        return f"Keep the shock fitted now{f' ({name})' if name else ''}"
    return f"{name} ({record.shock})" if name else record.shock


def basis(broken: BrokenRule) -> str:
    """Who may move a rule that is broken, and by what it stands."""
    if broken.kind == "limit" and broken.standing in ("cp", "mem"):
        by = "by common practice" if broken.standing == "cp" else "from memory"
        return f"a limit {by}: the maker's own figure comes before it"
    said = {
        "limit": "a limit; nobody can relax it", "offer": "a matter of what is offered and ordered",
        "wish": "a wish of the rider",
    }[broken.kind]  # fmt: skip
    by = {"cp": "common practice", "mem": "from memory", "rider": ""}.get(
        broken.standing, broken.standing
    )
    return f"{said}; {by}" if by else said


def sure_words(record: BundleRecord) -> str:
    """How sure it is."""
    if record.state == "fits":
        return "It fits whatever the unmeasured facts turn out to be."
    count = len(record.doubts)
    if count == 1:
        return "It can't be said yet: one rule may still turn it down. It is named below."
    return f"It can't be said yet: {count} rules may still turn it down. They are named below."


def _item(record: BundleRecord, name: str, words: str) -> Item | None:
    one = figure(record, name)
    if one is None or one.said is None:
        return (words, "can't be said yet", "") if one is not None else None
    shown = figure_text(record, name)
    ends = [number(end, one.unit) for end in (one.low, one.high) if end is not None]
    beneath = f"from {' to '.join(ends)}" if len(set(ends)) == 2 and not one.wide else ""
    return words, shown, beneath


_MORE = "not every part's is told"


def or_more(record: BundleRecord, total: str, text: str) -> str:
    """A total of what is told; it may be more where some part's is blank."""
    if total not in record.blank:
        return text
    return "not told" if text in ("0", money(0, record.currency)) else f"{text} or more"


def hinges(record: BundleRecord) -> list[tuple[str, str]]:
    """The rules that may yet break, those of which the same is to be said together; and that."""
    return by_text((one.rule, one.text) for one in record.doubts)


def headline(record: BundleRecord) -> list[Item]:
    """What it does, costs and takes."""
    items = [
        (
            "price of the whole",
            or_more(record, "price", whole(record.price, record.price_ends, record.currency)),
            yearly(record) or _MORE,
        ),
        _item(record, "travel_mm", "travel at the wheel"),
        _sag(record),
        _item(record, "wheel_sag_mm", "sag at the wheel"),
        _item(record, "fill_psi", "start pressure"),
        _item(record, "rate_n_per_mm", "coil"),
        _item(record, "tyre_gap_mm", "tyre gap left"),
        _item(record, "reserve_mm", "bottom-out reserve"),
        (
            "mass of the parts",
            f"{record.mass_g:.0f} g" if record.mass_g is not None else "not known",
            "",
        ),
        (
            "days until it rides",
            or_more(record, "days", f"{record.days:g}"),
            _MORE if "days" in record.blank else "",
        ),
    ]
    return [one for one in items if one]


def short(record: BundleRecord) -> list[Item]:
    """The figures to compare side by side."""
    return [
        one for one in headline(record) if one[0] not in ("mass of the parts", "sag at the wheel")
    ]


def _sag(record: BundleRecord) -> Item | None:
    item = _item(record, "sag_mm", "sag at the shaft")
    share = figure(record, "sag_percent")
    if item is None or share is None or share.said is None:
        return item
    told = [f"{figure_text(record, 'sag_percent')} of the stroke", item[2]]
    return item[0], item[1], "; ".join(one for one in told if one)


_GAINS = (
    ("travel_mm", "travel", "mm"), ("reserve_mm", "bottom-out reserve", "mm"),
    ("tyre_gap_mm", "tyre gap", "mm"),
)  # fmt: skip


def _apart(one: tuple[Any, Any], other: tuple[Any, Any]) -> tuple[float, float]:
    """How much more the one may be than the other, at least and at most."""
    return one[0] - other[1], one[1] - other[0]


def _more(low: float, high: float, unit: str, shown: str, words: str) -> str:
    """'1.2 to 2 mm more travel'; where it may be either, both ends are told."""
    if low >= 0:
        return f"{span(low, high, unit)} {shown} more {words}"
    if high <= 0:
        return f"{span(-high, -low, unit)} {shown} less {words}"
    return f"{number(-low, unit)} {shown} less to {number(high, unit)} {shown} more {words}"


def gains(best: BundleRecord, kept: BundleRecord | None) -> list[str]:
    """What the best bundle gains and costs over keeping the shock fitted now."""
    if best.shock == FITTED:
        return [
            "Keeping the shock fitted now comes first: nothing in the catalogue is worth its price."
        ]
    if kept is None:
        return ["The shock fitted now is ruled out or not told: see below."]
    out = []
    for name, words, unit in _GAINS:
        a, b = figure(best, name), figure(kept, name)
        if a is None or b is None or None in (a.low, a.high, b.low, b.high):
            continue
        low, high = _apart((a.low, a.high), (b.low, b.high))
        if max(abs(low), abs(high)) >= 0.5:
            out.append(_more(low, high, "mm", unit, words))
    if "price" not in best.blank + kept.blank:
        low, high = _apart(*(one.price_ends or (one.price,) * 2 for one in (best, kept)))
        out.append(
            f"{_more(low, high, 'money', best.currency, 'than keeping it with what it needs')} "
            f"({whole(kept.price, kept.price_ends, kept.currency)})"
        )
    points = best.total_points - kept.total_points
    out.append(
        f"{abs(points):.2f} points {'more' if points >= 0 else 'fewer'} "
        f"({kept.total_points:.2f} for keeping it)"
    )
    return out
