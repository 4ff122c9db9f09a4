"""Records of the replies to a narrower question: what clashes, what to measure, how two bundles
compare, what the catalogue holds."""

from recommender.answer.records import SCHEMA, BundleRecord, Record, State, Turned


class BundleAnswer(BundleRecord):
    """A bundle that is an answer of its own."""

    schema_version: str = SCHEMA


class TurnedAnswer(Turned):
    """An account that is an answer of its own."""

    schema_version: str = SCHEMA


class Forgone(Record):
    """What a bundle gives on one wish; `value` is 1 where the wish is met in full."""

    wish: str
    quantity: float
    unit: str
    value: float


class GiveUpRecord(Record):
    """A least set of wishes to give up, and the best bundle that it lets in."""

    wishes: tuple[str, ...]
    gain: int
    shocks: tuple[str, ...]
    best: str
    price: float | None
    forgone: tuple[Forgone, ...]


class Clash(Record):
    """`met`: some shock meets all wishes, and giving one up only adds. Otherwise `clashes` holds
    the least sets of wishes that no shock meets together; an empty one: limits rule all out."""

    schema_version: str = SCHEMA
    met: bool
    sure: bool = True
    clashes: tuple[tuple[str, ...], ...]
    truncated: bool
    give_up: tuple[GiveUpRecord, ...]
    more: int


class ValueRange(Record):
    """Values of a fact, and the shocks that then fit and that are then ruled out."""

    text: str
    fits: tuple[str, ...]
    out: tuple[str, ...]
    fits_count: int
    out_count: int


class Measure(Record):
    """A fact worth finding out: how, how many verdicts it settles at best, and what decides."""

    fact: str
    shock: str
    how: str
    settles: int
    first_may_change: bool | None
    values: tuple[ValueRange, ...]


class Choosing(Record):
    """A fact that decides no verdict, but which parts shocks take that fit whatever it is."""

    fact: str
    how: str
    shocks: tuple[str, ...]


class Measures(Record):
    """What to measure next, the most telling first; and what the choice of parts waits for."""

    schema_version: str = SCHEMA
    open: int
    measures: tuple[Measure, ...]
    more: int
    choosing: tuple[Choosing, ...] = ()


class Difference(Record):
    """One criterion of two bundles; `points` is what the first has over the second."""

    criterion: str
    unit: str
    first: float
    second: float
    points: float


class Turn(Record):
    """A single change that would draw the second level with the first."""

    what: str
    now: float
    needed: float


class Comparison(Record):
    """Two bundles, the better first."""

    schema_version: str = SCHEMA
    first: BundleRecord
    second: BundleRecord
    lead: float
    certainty_decides: bool
    differences: tuple[Difference, ...]
    turns: tuple[Turn, ...]


class Held(Record):
    """One shock of the catalogue with its verdict."""

    shock: str
    maker: str
    model: str
    size: str
    family: str
    mount: str
    spring_kind: str
    adjusters: tuple[str, ...]
    price: str
    state: State


class Holdings(Record):
    """What the catalogue holds, filtered, with counts by verdict."""

    schema_version: str = SCHEMA
    shocks: tuple[Held, ...]
    counts: dict[str, int]
    families: dict[str, dict[str, int]]
