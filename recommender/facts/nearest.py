"""The accepted word that is nearest to one that is not."""

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


def _bare(text: str) -> str:
    return "".join(text.casefold().replace("-", " ").split())
