"""Claims that hold for every value of one fact, piece by piece, though not for all at once."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from recommender.certificate.combine import avoids
from recommender.certificate.narrow import Named, narrowed, pieces_wanted
from recommender.certificate.records import Along, RowClaim
from recommender.certificate.refused import Refused
from recommender.certificate.way import Way, Ways

MOST_CUTS = 4096
DECIDED = ("ruled out", "fits, the choice waits for a measurement")
"""States that a single fact can decide."""


def check_along(name: str, row: RowClaim, mounted: Sequence[Way], ways: Ways) -> None:
    """The row's state holds on each piece of what the fact may be, and the pieces leave none out.
    Raises Refused."""
    claim = f"{name}, state"
    if row.along is None or row.state not in DECIDED:
        raise Refused(claim, f"'{row.state}' is not told along a fact")
    sure, may = (
        any(avoids(way, way.book.every, certain) for way in mounted) for certain in (False, True)
    )
    if sure or not may:
        outright = "fits" if sure else "is ruled out"
        raise Refused(claim, f"it {outright} whatever the fact is")
    for piece in _pieces(claim, row.along, ways, mounted[0].shock):
        here = Ways(narrowed(ways.market, _named(row.along, mounted[0].shock), piece), ways.wishes)
        at = f"with {row.along.fact} from {piece[0]:g} to {piece[1]:g} of its range"
        if row.state == "ruled out":
            if any(avoids(way, way.book.every, True) for way in here.of(mounted[0].shock)):
                raise Refused(claim, f"{at} it is not ruled out")
        elif not any(avoids(way, way.book.every, False) for way in here.of(mounted[0].shock)):
            raise Refused(claim, f"{at} it does not fit")


def _named(along: Along, shock: int) -> Named:
    return Named(along.place, along.fact, along.option, shock)


def _pieces(claim: str, along: Along, ways: Ways, shock: int) -> Iterator[tuple[float, float]]:
    """The pieces of the fact: between cuts, or word by word."""
    try:
        words = pieces_wanted(ways.market, _named(along, shock))
    except KeyError as error:
        raise Refused(claim, f"no such loose fact: {error.args[0]}") from None
    if words:
        if along.cuts:
            raise Refused(claim, "a category has no cuts")
        return iter([(float(k), float(k)) for k in range(words)])
    cuts = along.cuts
    if len(cuts) < 2 or len(cuts) > MOST_CUTS or cuts[0] != 0 or cuts[-1] != 1:
        raise Refused(claim, "the cuts do not go from 0 to 1")
    if any(b <= a for a, b in pairwise(cuts)):
        raise Refused(claim, "the cuts do not rise")
    return pairwise(cuts)
