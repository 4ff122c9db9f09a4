"""What the tune that a shock was delivered with reaches: measured, else as its class has it."""

from recommender.answer.answer import Case
from recommender.facts import words
from recommender.facts.parts import Shock


def reach(case: Case, shock: Shock, side: str) -> tuple[float, float] | None:
    """Least and most coefficient of 'rebound' or 'compression', N s/m; None: not known."""
    low, high = (getattr(shock, f"{side}_{end}_n_s_per_m") for end in ("low", "high"))
    if low.known and high.known:
        return low.mid, high.mid
    word = getattr(shock, f"{side}_class")
    if word is None:
        return None
    ranges, code = case.market.scalars["classes"].corners[0], words.CLASSES.index(word)
    return getattr(ranges, f"{side}_low")[code], getattr(ranges, f"{side}_high")[code]


def short(needed: float, spanned: tuple[float, float]) -> float:
    """By what share of itself the need lies outside the range, 0 within it."""
    low, high = spanned
    return max(low - needed, needed - high, 0.0) / needed
