"""The tables of a catalogue: its small ones row by row, and which there are."""

from typing import Annotated

from pydantic import Field

from recommender.facts import words
from recommender.facts.parts import (
    Coefficient,
    Count,
    Days,
    Key,
    Kit,
    Money,
    Row,
    Service,
    Shock,
    Spring,
    Text,
)
from recommender.facts.quantity import UNKNOWN, Choice, Number, Quantity, assumed


class TuneClass(Row):
    """Range of damping coefficients that the adjuster covers in a class, at low shaft speed."""

    tune_class: Annotated[str | None, Choice(words.CLASSES)] = None
    rebound_low_n_s_per_m: Coefficient = UNKNOWN
    rebound_high_n_s_per_m: Coefficient = UNKNOWN
    compression_low_n_s_per_m: Coefficient = UNKNOWN
    compression_high_n_s_per_m: Coefficient = UNKNOWN
    shaft_speed_low_m_per_s: Annotated[Quantity, Number("m_per_s", 0.0, 10.0)] = assumed(0.1)
    shaft_speed_high_m_per_s: Annotated[Quantity, Number("m_per_s", 0.0, 10.0)] = assumed(0.25)
    standing: Annotated[str | None, Choice(words.STANDINGS)] = "assumed"
    source: Text = ""


class Taste(Row):
    """Damping ratios that a rider's taste asks for (from memory, editable)."""

    taste: Annotated[str | None, Choice(words.TASTES)] = None
    rebound_ratio: Annotated[Quantity, Number("ratio", 0.05, 1.0)] = UNKNOWN
    compression_ratio: Annotated[Quantity, Number("ratio", 0.02, 1.0)] = UNKNOWN
    source: Text = ""


class Job(Row):
    """A workshop job: its price, minutes and tools. A rider with the tools may do a home job."""

    job: Key
    place: Annotated[str | None, Choice(words.PLACES)] = None
    tools: Annotated[str, Field(max_length=200)] = Field("", description="';' between tools")
    minutes: Count = UNKNOWN
    price: Money = UNKNOWN
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] = "EUR"
    work_days: Days = Field(assumed(0.0), description="workshop days besides the fitting day")
    source: Text = ""


class Supplier(Row):
    """A supplier; an order below the minimum is not taken."""

    supplier: Key
    order_minimum: Annotated[Quantity, Number("money", 0.0, 100_000.0, counted=True)] = Field(
        assumed(0.0), description="least value of one order; blank for unknown"
    )
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] = "EUR"
    source: Text = ""


class DeliveredTune(Row):
    """What a shock left the factory with on one bike, by the full part number that it bears.

    `shock` is the part number in shocks.csv whose size, mounts and chambers it shares; blank means
    that those facts are still to be told.
    """

    part_number: Key
    shock: Text = Field("", description="key into shocks.csv")
    compression_class: Annotated[str | None, Choice(words.CLASSES)] = None
    rebound_class: Annotated[str | None, Choice(words.CLASSES)] = None
    lockout_class: Annotated[str | None, Choice(words.LOCKOUTS)] = None
    volume_spacers: Annotated[Quantity, Number("count", 0.0, 8.0)] = UNKNOWN
    spring_rate_n_per_mm: Annotated[Quantity, Number("n_per_mm", 20.0, 200.0)] = UNKNOWN
    head_sleeve_width_mm: Annotated[Quantity, Number("mm", 8.0, 110.0)] = UNKNOWN
    head_sleeve_bore_mm: Annotated[Quantity, Number("mm", 4.0, 16.0)] = UNKNOWN
    head_sleeve_diameter_mm: Annotated[Quantity, Number("mm", 6.0, 20.0)] = UNKNOWN
    shaft_sleeve_width_mm: Annotated[Quantity, Number("mm", 8.0, 110.0)] = UNKNOWN
    shaft_sleeve_bore_mm: Annotated[Quantity, Number("mm", 4.0, 16.0)] = UNKNOWN
    shaft_sleeve_diameter_mm: Annotated[Quantity, Number("mm", 6.0, 20.0)] = UNKNOWN
    source: Text = ""


TABLES: dict[str, tuple[type[Row], str]] = {
    "shocks": (Shock, "part_number"),
    "kits": (Kit, "part_number"),
    "services": (Service, "service_number"),
    "springs": (Spring, "part_number"),
    "tune_classes": (TuneClass, "tune_class"),
    "tastes": (Taste, "taste"),
    "jobs": (Job, "job"),
    "suppliers": (Supplier, "supplier"),
}
"""The tables that every catalogue has: file stem -> (row model, key column)."""

OPTIONAL: dict[str, tuple[type[Row], str]] = {"delivered_tunes": (DeliveredTune, "part_number")}
"""Tables that a catalogue may have."""

JOBS = (
    "fit shock", "press bushing", "change stroke", "set volume spacers", "fit spring",
    "turn eyelet", "send for revalve", "service shock",
)  # fmt: skip
"""Jobs the product may ask for; each must stand in jobs.csv."""
