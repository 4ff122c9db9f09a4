"""The fleet's answers as records, printed with --json and shown by terminal and page."""

from recommender.answer.records import Record
from recommender.fleet.eased import AllInRecord, Unserved


class StageRecord(Record):
    """One stage's value; `gap`: how far a better plan may still be off, 0 where it is proved."""

    name: str
    value: float
    gap: float
    proved: bool


class BuildRecord(Record):
    """A build of the plan and its bikes."""

    name: str
    shock: str
    stroke_mm: float
    tune: str
    bikes: int
    kept: int


class KitRecord(Record):
    """A hardware kit of the plan."""

    part: str
    pieces: int


class SettingRecord(Record):
    """A spring setting and the riders, kg with kit, that it is used for."""

    spring: str
    from_kg: float
    to_kg: float


class OwnBest(Record):
    """What a bike would get if it stood alone: the least cost with what points are worth."""

    build: str
    cost: float
    points: float


class BikeRecord(Record):
    """One bike's build, hardware and cost, why this one, and its own best beside it. `cost_ends`:
    the least and the most, where amounts are told with two ends; `cost` then is in the middle."""

    bike: str
    group: str
    build: str
    kept: bool
    head: str
    shaft: str
    settings: tuple[SettingRecord, ...]
    cost: float
    cost_ends: tuple[float, float] | None = None
    points: float
    own_best: OwnBest
    why: str


class GroupRecord(Record):
    """Alike bikes: how many, for which riders, and how many ways there are to serve them."""

    name: str
    model: str
    riders: str
    spring_changes: bool
    bikes: tuple[str, ...]
    served: int
    own_best: str
    builds_that_fit: tuple[str, ...]


class CurvePoint(Record):
    """The best plan with exactly that many builds, or under another condition. `served` less than
    all: no more can be."""

    builds: int
    served: int
    kits: int
    cost: float
    loss: float
    proved: bool


class PlanRecord(Record):
    """The plan. `cost` is what is paid at once, labour included, spares not; `cost_ends` its least
    and most as a bike's. All that is proved is so of the middles."""

    schema_version: str = "1"
    currency: str
    invented: bool
    catalogue_digest: str
    bikes: int
    served: int
    stages: tuple[StageRecord, ...]
    proved: bool
    cost: float
    cost_ends: tuple[float, float] | None = None
    loss: float
    point: float
    builds: tuple[BuildRecord, ...]
    kits: tuple[KitRecord, ...]
    groups: tuple[GroupRecord, ...]
    bike_plans: tuple[BikeRecord, ...]
    unserved: tuple[Unserved, ...]
    all_in: tuple[AllInRecord, ...] = ()
    curve: tuple[CurvePoint, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


class SwapRecord(Record):
    """Bikes that a dropped part takes from one build to another; `instead` is '' where nothing
    serves them."""

    bikes: tuple[str, ...]
    build: str
    kept: bool
    instead: str


class DropRecord(Record):
    """What becomes of the plan when a part or build cannot be had. `used_on`: bikes that it is
    bought for, or that are on the build; `kept_on`: bikes that keep a fitted shock of that number,
    which stays allowed; `keeping`: where the plan without it takes such shocks off, the best plan
    that leaves them on; `swaps`: every bike whose build or whose shock is another without it."""

    schema_version: str = "1"
    part: str
    used_on: tuple[str, ...]
    kept_on: tuple[str, ...] = ()
    keeping: CurvePoint | None = None
    served_before: int
    served_after: int
    builds_before: int
    builds_after: int
    kits_before: int
    kits_after: int
    cost_before: float
    cost_before_ends: tuple[float, float] | None = None
    cost_after: float
    cost_after_ends: tuple[float, float] | None = None
    unserved: tuple[str, ...]
    instead: tuple[str, ...]
    swaps: tuple[SwapRecord, ...] = ()
    proved: bool


class SpareRecord(Record):
    """What to keep of one part."""

    part: str
    kind: str
    bikes: int
    hours_per_year: float
    mean_failures: float
    mean_pool: float
    stock: int
    for_services_alone: int
    backorders: float
    price: float
    cost: float


class LevelRecord(Record):
    """What a level of service takes, and what the step to it costs."""

    level: float
    units: int
    cost: float
    more: float


class SparesRecord(Record):
    """Spares before standardising (the shocks on the bikes now) and after it."""

    schema_version: str = "1"
    currency: str
    level: float
    measure: str
    assumptions: tuple[str, ...]
    before: tuple[SpareRecord, ...]
    after: tuple[SpareRecord, ...]
    shocks_before: int
    shocks_after: int
    pool_before: int
    pool_after: int
    cost_before: float
    cost_after: float
    levels: tuple[LevelRecord, ...]


class ChartLine(Record):
    """What to set for a rider of that mass with kit; `end`: an end of the range to be served."""

    mass_kg: float
    spring: str
    pressure_psi: float | None
    pressure_bar: float | None
    rate_n_per_mm: float | None
    sag_mm: float
    sag_percent: float
    end: bool


class ReachRecord(Record):
    """The riders for whom a setting keeps every rule, to 0.05 kg; the chart need not reach so far.
    """

    spring: str
    low_kg: float
    high_kg: float


class ChartRecord(Record):
    """A chart by rider mass for alike bikes; `caution` is told beneath it."""

    group: str
    model: str
    build: str
    riders: str
    lines: tuple[ChartLine, ...]
    reaches: tuple[ReachRecord, ...]
    caution: str = ""


class ChartsRecord(Record):
    """Every chart of the plan."""

    schema_version: str = "1"
    invented: bool
    charts: tuple[ChartRecord, ...]
    cautions: tuple[str, ...] = ()
