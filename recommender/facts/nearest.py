"""The accepted word that is nearest to one that is not."""

import re
from collections.abc import Sequence


def nearest(text: str, accepted: Sequence[str]) -> str:
    """'; nearest: x', or nothing where no accepted word resembles the text (its first letters).

    A word that differs in case, spaces and hyphens alone comes before any that is merely alike.
    """
    import difflib

    bare = _bare(text[:80])
    same = [word for word in accepted if bare and _bare(word) == bare]
    close = same or difflib.get_close_matches(text[:80], list(accepted), n=1, cutoff=0.4)
    return f"; nearest: {close[0]}" if close else ""


def nearest_number(text: str, accepted: Sequence[str]) -> str:
    """The same by the number that the words begin with, then by the rest."""
    import difflib

    wanted = _number(text)
    numbered = [word for word in accepted if _number(word) is not None]
    if wanted is None or not numbered:
        return nearest(text, accepted)

    def far(word: str) -> tuple[float, float]:
        alike = difflib.SequenceMatcher(None, text[:80], word).ratio()
        return abs((_number(word) or 0.0) - wanted), -alike

    return f"; nearest: {min(numbered, key=far)}"


def _number(word: str) -> float | None:
    found = re.match(r"\s*(\d{1,9}(?:\.\d{1,9})?)(?=\s|$)", word)
    return float(found[1]) if found else None


def _bare(text: str) -> str:
    return "".join(text.casefold().replace("-", " ").split())
