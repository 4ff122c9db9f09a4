"""The answer's records. Their JSON Schema is exported by the command line; `SCHEMA` is its version.

Every text in them is plain text: whoever puts it into HTML or a cell escapes it there.
"""

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA = "1"
State = Literal["fits", "open", "ruled out", "fits, the choice waits for a measurement"]


class Record(BaseModel):
    """Frozen and closed."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Span(Record):
    """A figure with everything it may be: `nominal` is the one to show; None: cannot be said."""

    name: str
    unit: str
    low: float | None
    high: float | None
    nominal: float | None
    text: str


class Points(Record):
    """What one criterion gives a bundle."""

    criterion: str
    quantity: float
    unit: str
    value: float
    weight: float
    points: float


class Part(Record):
    """One line of the shopping list. `how`: bought, reused, kept, or made to specification."""

    role: str
    name: str
    text: str
    how: Literal["buy", "reuse", "keep", "made"]
    price: float
    labour: float
    price_text: str
    days: float
    supplier: str = ""
    workshop: bool = False


class JobLine(Record):
    """One job, in the order of the work."""

    job: str
    place: Literal["home", "workshop"]
    tools: tuple[str, ...]
    minutes: float
    price: float


class Doubt(Record):
    """A rule that what is not exactly known may break, and the facts it hinges on."""

    rule: str
    text: str
    hinges_on: tuple[str, ...]


class BundleRecord(Record):
    """A bundle in full."""

    rank: int
    state: State
    shock: str
    maker: str
    model: str
    spring_kind: str
    size: str
    turned: bool
    clocked: bool
    parts: tuple[Part, ...]
    jobs: tuple[JobLine, ...]
    price: float
    mass_g: float | None
    days: float
    blank: tuple[str, ...] = Field(
        (), description="totals among price, mass and days that some part's blank leaves open"
    )
    workshop_jobs: int
    per_year: float
    figures: tuple[Span, ...]
    points: tuple[Points, ...]
    total_points: float
    most_points: float
    doubts: tuple[Doubt, ...]
    cautions: tuple[str, ...]
    beaten_by: str = ""
    variants: int = 0
    alternatives: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


class BrokenRule(Record):
    """A rule that is broken: by how much, what it says, whose it is to change."""

    rule: str
    kind: Literal["limit", "offer", "wish"]
    standing: str
    short: float
    unit: str
    text: str
    certain: bool
    fix: str = ""


class CorrectionRecord(Record):
    """A least set of rules that, given way together, lets the shock in, and who can do that."""

    rules: tuple[str, ...]
    who: Literal["rider", "shop", "nobody"]
    sure: bool
    text: str
    amounts: tuple[str, ...] = ()


class ConflictRecord(Record):
    """A least set of rules that cannot hold together for this shock."""

    rules: tuple[str, ...]
    sure: bool
    text: str


class Turned(Record):
    """A shock that does not fit (or cannot be said to), with its full account."""

    shock: str
    maker: str
    model: str
    state: State
    size: str
    broken: tuple[BrokenRule, ...]
    missing: tuple[str, ...] = ()
    corrections: tuple[CorrectionRecord, ...] = ()
    more_corrections: int = 0
    conflicts: tuple[ConflictRecord, ...] = ()
    more_conflicts: int = 0
    truncated: bool = False


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


class Measures(Record):
    """What to measure next, the most telling first."""

    schema_version: str = SCHEMA
    open: int
    measures: tuple[Measure, ...]
    more: int


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


class Standing(Record):
    """The interval of a criterion's weight in which first place stands; None: without end."""

    criterion: str
    weight: float
    low: float
    high: float | None
    below: str
    above: str


class Alternative(Record):
    """A bundle of another kind, and in what."""

    reason: str
    bundle: BundleRecord


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


class RuleCount(Record):
    """How many shocks a rule turns down in their least-broken completion."""

    rule: str
    shocks: int
    alone: int


class Answer(Record):
    """The whole answer to one question."""

    schema_version: str = SCHEMA
    bike: str
    rider: str
    currency: str
    question_digest: str
    catalogue_digest: str
    invented: bool
    counts: dict[str, int]
    bundles: tuple[BundleRecord, ...]
    turned_down: tuple[Turned, ...]
    by_rule: tuple[RuleCount, ...]
    stability: tuple[Standing, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = Field(default=())


ANSWERS: dict[str, type[Record]] = {
    "answer": Answer, "bundle": BundleRecord, "turned-down": Turned, "comparison": Comparison,
    "holdings": Holdings, "clash": Clash, "measures": Measures,
}  # fmt: skip
"""What the commands print with --json, by the name under which its schema is exported."""


def json_schema(name: str = "answer") -> dict[str, Any]:
    """JSON Schema 2020-12 of one kind of answer."""
    schema = ANSWERS[name].model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
