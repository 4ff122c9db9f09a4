"""Records of the bikes that a plan leaves out, and of what lets them in."""

from typing import Literal

from recommender.answer.records import Record, Turned

Limit = Literal["budget", "in_stock", "suppliers", "share", "builds"]


class MorePieces(Record):
    """A part and how many more of it than are in stock."""

    part: str
    more: int


class LimitChange(Record):
    """What a limit must become, as it is given: money, suppliers, share of the bikes, builds; for
    stock the pieces beyond it. `change` is how far that is from the limit (of a share: in bikes on
    one shock number), `least` the least change that is not ruled out: the same where proved."""

    limit: Limit
    value: float
    change: float
    least: float
    proved: bool
    pieces: tuple[MorePieces, ...] = ()


class EasingRecord(Record):
    """Limits eased together. `enough` False: by no amount; None: time ran out before any."""

    limits: tuple[Limit, ...]
    enough: bool | None
    changes: tuple[LimitChange, ...] = ()


class AllInRecord(Record):
    """Limits that leave bikes out, one or all of them together: how many are served without them
    (`most`: what is not ruled out), and the least change that lets all of these in."""

    served: int
    most: int
    easing: EasingRecord
    text: str = ""


class Unserved(Record):
    """Bikes that the plan leaves out: why, the nearest misses, and the least change. `eased`: what
    lets one more of them in beside all that are served, where limits leave them out."""

    group: str
    bikes: tuple[str, ...]
    why: str
    least_change: str
    eased: tuple[EasingRecord, ...] = ()
    nearest: tuple[Turned, ...] = ()
    corrections: tuple[str, ...] = ()
