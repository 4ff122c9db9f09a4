"""Orders and changes year by year as records, printed with --json and shown by the terminal."""

from recommender.answer.records import Record


class OrderLineRecord(Record):
    """A part to order; `stock`: on the supplier's shelf, None where not counted."""

    part: str
    pieces: int
    on_hand: int
    price: float | None
    cost: float
    stock: float | None


class OrderRecord(Record):
    """One supplier's order; `short` is missing to its minimum, 0 where nothing is ordered."""

    supplier: str
    lines: tuple[OrderLineRecord, ...]
    cost: float
    minimum: float = 0.0
    short: float


class ChangeRecord(Record):
    """One bike's change, with what is to be filled in when it is done; costs as a bike's."""

    bike: str
    model: str
    year: int
    due: str
    condition: str
    build: str
    parts: tuple[str, ...]
    cost: float
    cost_ends: tuple[float, float] | None = None
    sizes: str


class YearRecord(Record):
    """A year's changes, their cost with labour, and what is ordered for them."""

    year: int
    cost: float
    cost_ends: tuple[float, float] | None = None
    orders: tuple[OrderRecord, ...] = ()
    changes: tuple[ChangeRecord, ...]


class RolloutRecord(Record):
    """Orders by supplier and the sequence of the changes. `orders` are those of all years together
    and each year has its own; `spread` says how the changes came into their years. `unchanged`:
    bikes that get no new parts; `service_due`: bikes that keep a shock whose service is due, which
    no cost here has; `waiting`: broken or due bikes that are changed only in a later year."""

    schema_version: str = "1"
    currency: str
    cost: float
    cost_ends: tuple[float, float] | None = None
    yearly_budget: float | None
    orders: tuple[OrderRecord, ...]
    years: tuple[YearRecord, ...]
    spread: str = ""
    unchanged: tuple[str, ...]
    service_due: tuple[str, ...] = ()
    waiting: tuple[str, ...] = ()
    unserved: tuple[str, ...] = ()
    cautions: tuple[str, ...]
