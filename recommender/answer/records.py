"""The answer's records. The command line exports their JSON Schemas; `SCHEMA` is their version.

Every text in them is plain text: whoever puts it into HTML or a cell escapes it there.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from recommender.answer.numbers import by_ends

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

    @property
    def said(self) -> float | None:
        """The one to show; None where that is open, or an end of what it may be."""
        return None if None in (self.low, self.high) else self.nominal

    @property
    def told(self) -> float | None:
        """The one number that stands for it; None where it is open, or told by its ends."""
        return None if self.wide else self.said

    @property
    def wide(self) -> bool:
        """Whether it is told by its ends: no one number stands for it."""
        low, high = self.low, self.high
        return low is not None and high is not None and by_ends(self.name, low, high)


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
    price_ends: tuple[float, float] | None = Field(
        description="the least and the most that it may cost; null: not told"
    )
    labour: float
    labour_ends: tuple[float, float] | None = Field(
        description="the least and the most that the work on it may cost; null: not told"
    )
    days: float
    supplier: str = ""
    workshop: bool = False


class JobLine(Record):
    """One job, in the order of the work. `price` None: the catalogue tells none. `asked_ends`: what
    a workshop asks for it, where the rider does it at home for nothing, too. `in_total`: the
    bundle's price has it; taking out and refitting a shock that is kept, and a service that is due
    and not ordered, are charged apart."""

    job: str
    place: Literal["home", "workshop"]
    tools: tuple[str, ...]
    minutes: float
    price: float | None
    price_ends: tuple[float, float] | None = None
    asked_ends: tuple[float, float] | None = None
    in_total: bool = True


class Doubt(Record):
    """A rule that what is not exactly known may break, and the facts it hinges on."""

    rule: str
    text: str
    hinges_on: tuple[str, ...]


class PutIn(Record):
    """What is put into the bike, by part number. A kit may be the hardware `FROM` an end of the
    shock that comes off, a spring the one `KEPT`, a service a `PLAIN` one without a revalve. Blank
    or None: nothing changes there."""

    shock: str = ""
    head_kit: str = ""
    shaft_kit: str = ""
    spring: str = ""
    spacers: int | None = None
    service: str = ""
    stroke_mm: float | None = None
    eye_turned: bool = False


FROM = ("from-head", "from-shaft")
KEPT, PLAIN = "kept", "plain"


class BundleRecord(Record):
    """A bundle in full."""

    rank: int
    state: State
    shock: str
    maker: str
    model: str
    spring_kind: str
    size: str
    size_mm: str
    turned: bool
    clocked: bool
    parts: tuple[Part, ...]
    jobs: tuple[JobLine, ...]
    currency: str
    price: float
    price_ends: tuple[float, float] | None = Field(
        None, description="the least and the most that the whole may come to, where that is open"
    )
    mass_g: float | None
    days: float
    blank: tuple[str, ...] = Field(
        (), description="totals among price, mass and days that some part's blank leaves open"
    )
    workshop_jobs: int
    years: float = Field(gt=0, description="assumed use, which the cost per year goes by")
    per_year: float
    per_year_ends: tuple[float, float] | None = None
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
    put_in: PutIn = Field(
        PutIn(), description="what `recommender fitted` is told once the bundle is on the bike"
    )

    @property
    def least_price(self) -> float:
        """The least that what is told of it comes to."""
        return self.price if self.price_ends is None else self.price_ends[0]


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


class RuleCount(Record):
    """How many shocks break a rule whatever is chosen, and how many need break no other."""

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
