"""Completions that a certificate shows: whether they can be had, and what they break."""

from collections.abc import Sequence
from dataclasses import dataclass

from recommender.certificate.records import Made
from recommender.certificate.refused import Refused
from recommender.certificate.way import Way


@dataclass(frozen=True)
class Shown:
    """A completion of the market: how it is mounted, and the rules it breaks for certain and
    possibly."""

    way: Way
    made: Made
    certain: int
    possible: int


def shown(claim: str, made: Made, mounted: Sequence[Way]) -> Shown:
    """The completion, worked out. Refused, under that claim, where there is none such."""
    way = next((one for one in mounted if one.turned == made.turned), None)
    if way is None:
        raise Refused(claim, "the shock cannot be mounted that way round")
    try:
        entries = way.completion(made.options)
    except KeyError as error:
        raise Refused(claim, f"there is no such option: {error.args[0]}") from None
    certain, possible = (int(way.sets(entries, side)[0]) for side in (True, False))
    return Shown(way, made, certain, possible)


def told(way: Way, mask: int) -> str:
    """The rules of a set of bits, as a list."""
    return ", ".join(way.book.names(mask)) or "nothing"
