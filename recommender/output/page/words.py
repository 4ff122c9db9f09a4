"""A bundle's figures in the page's words."""

from recommender.answer.numbers import money, number, whole
from recommender.answer.records import BundleRecord
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


def sure_words(record: BundleRecord) -> str:
    """How sure it is."""
    if record.state == "fits":
        return "It fits whatever the unmeasured facts turn out to be."
    count = len(record.doubts)
    what = "one rule" if count == 1 else f"{count} rules"
    return f"It can't be said yet: {what} may still turn it down. They are named below."


def _item(record: BundleRecord, name: str, words: str) -> Item | None:
    one = figure(record, name)
    if one is None or one.said is None:
        return (words, "can't be said yet", "") if one is not None else None
    shown = figure_text(record, name)
    ends = [number(end, one.unit) for end in (one.low, one.high) if end is not None]
    return words, shown, f"from {' to '.join(ends)}" if len(set(ends)) == 2 else ""


def headline(record: BundleRecord) -> list[Item]:
    """What it does, costs and takes."""
    items = [
        (
            "price of the whole",
            whole(record.price, record.price_ends, record.currency),
            f"{whole(record.per_year, record.per_year_ends, record.currency)} a year",
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
        ("days until it rides", f"{record.days:g}", ""),
    ]
    return [one for one in items if one]


def short(record: BundleRecord) -> list[Item]:
    """The figures to compare side by side."""
    return [
        one for one in headline(record) if one[0] not in ("mass of the parts", "sag at the wheel")
    ]


def _sag(record: BundleRecord) -> Item | None:
    item = _item(record, "sag_mm", "sag at the shaft")
    share = figure_text(record, "sag_percent")
    return item and (item[0], item[1], f"{share} of the stroke" if share else item[2])


def money_of(record: BundleRecord, amount: float) -> str:
    """An amount in the bundle's currency."""
    return money(amount, record.currency)


_GAINS = (
    ("travel_mm", "travel", "mm"), ("reserve_mm", "bottom-out reserve", "mm"),
    ("tyre_gap_mm", "tyre gap", "mm"),
)  # fmt: skip


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
        if a and b and a.said is not None and b.said is not None:
            more = a.said - b.said
            if abs(more) >= 0.5:
                out.append(f"{abs(more):.1f} {unit} {'more' if more > 0 else 'less'} {words}")
    more = best.price - kept.price
    out.append(
        f"{money_of(best, abs(more))} {'more' if more >= 0 else 'less'} than keeping it with what "
        f"it needs ({money_of(kept, kept.price)})"
    )
    points = best.total_points - kept.total_points
    out.append(
        f"{abs(points):.2f} points {'more' if points >= 0 else 'fewer'} "
        f"({kept.total_points:.2f} for keeping it)"
    )
    return out
