"""The bike: the frame's limits, what was measured on it, and the shock fitted now.

A frame file of the catalogue and a rider's bike file hold the same model; a bike file may name
its frame and state only what it adds. Blank means unknown, never zero.
"""

from typing import Annotated, Any

from pydantic import Field, model_validator

from recommender.facts import words
from recommender.facts.marks import ELSEWHERE, NO_LIMIT
from recommender.facts.parts import Mm, Row, Shock, Text, YesNo
from recommender.facts.plain import Plain
from recommender.facts.quantity import UNKNOWN, Choice, Number, Quantity, assumed

Travel = Annotated[Quantity, Number("mm", 60.0, 260.0)]
Ratio = Annotated[Quantity, Number("ratio", 1.2, 5.0)]


class Mount(Row):
    """One of the frame's two shock mounts; gap and bolt for an eyelet, the rest for a trunnion."""

    gap_mm: Annotated[Quantity, Number("mm", 8.0, 80.0)] = UNKNOWN
    bolt_mm: Annotated[Quantity, Number("mm", 4.0, 16.0)] = UNKNOWN
    grip_mm: Annotated[Quantity, Number("mm", 8.0, 120.0)] = Field(
        UNKNOWN, description="clamping length of the bolt: the widest sleeve it still holds"
    )
    carbon_lugs: YesNo = None
    trunnion_width_mm: Annotated[Quantity, Number("mm", 20.0, 100.0)] = UNKNOWN
    trunnion_thread: Annotated[str | None, Choice(words.THREADS)] = None
    bolt_protrusion_mm: Annotated[Quantity, Number("mm", 2.0, 40.0)] = Field(
        UNKNOWN, description="thread of the frame's own trunnion bolts that enters the head"
    )


class Size(Row):
    """One approved size: eye-to-eye length and the longest stroke the maker allows at it."""

    length_mm: Annotated[Quantity, Number("mm", 100.0, 350.0)] = UNKNOWN
    stroke_ceiling_mm: Annotated[Quantity, Number("mm", 20.0, 110.0)] = UNKNOWN


class Reading(Row):
    """One line of a measured leverage table."""

    compression_mm: Annotated[float, Field(ge=0, le=120, allow_inf_nan=False), Plain("mm")]
    wheel_travel_mm: Annotated[float, Field(ge=0, le=300, allow_inf_nan=False), Plain("mm")]


class LeverageFacts(Row):
    """Leverage at one of three levels: travel alone, start and end ratio, or a measured table.

    `stroke_mm` is the shock stroke the figures belong to. A table carries its reading error.
    """

    stroke_mm: Annotated[Quantity, Number("mm", 20.0, 110.0)] = UNKNOWN
    travel_mm: Travel = UNKNOWN
    ratio_start: Ratio = UNKNOWN
    ratio_end: Ratio = UNKNOWN
    table: tuple[Reading, ...] = ()
    reading_error_mm: Annotated[
        float, Field(ge=0, le=10, allow_inf_nan=False), Plain("mm")
    ] = 0.5

    @model_validator(mode="after")
    def _consistent(self) -> "LeverageFacts":
        problems = [*self._table_problems(), *self._agreement_problems()]
        if self.ratio_start.known != self.ratio_end.known:
            problems.append("ratio_start and ratio_end come together: give both or neither")
        if problems:
            raise ValueError("; ".join(problems))
        return self

    def _table_problems(self) -> list[str]:
        if not self.table:
            return []
        x = [line.compression_mm for line in self.table]
        z = [line.wheel_travel_mm for line in self.table]
        if len(x) < 4:
            return [f"a leverage table needs at least 4 lines, this has {len(x)}"]
        problems = []
        if x[0] != 0.0 or z[0] != 0.0:
            problems.append("a leverage table starts with compression 0, wheel travel 0")
        for i in range(1, len(x)):
            if x[i] <= x[i - 1] or z[i] <= z[i - 1]:
                problems.append(
                    f"leverage table line {i + 1}: both columns must rise, but "
                    f"{x[i - 1]:g}, {z[i - 1]:g} is followed by {x[i]:g}, {z[i]:g}"
                )
        return problems

    def _agreement_problems(self) -> list[str]:
        """Travel, ratios and table each tell the travel; they must agree within 2 %."""
        told: dict[str, float] = {}
        stroke = self.stroke_mm
        if self.travel_mm.kind == "exact":
            told["travel_mm"] = self.travel_mm.low
        if self.ratio_start.kind == self.ratio_end.kind == stroke.kind == "exact":
            mean = (self.ratio_start.low + self.ratio_end.low) / 2
            told["the mean of the ratios times the stroke"] = mean * stroke.low
        if self.table and stroke.kind == "exact":
            last = self.table[-1]
            if abs(last.compression_mm - stroke.low) <= 0.01 * stroke.low:
                told["the last line of the table"] = last.wheel_travel_mm
        items = list(told.items())
        return [
            f"{name} gives {travel:.1f} mm of travel, {items[0][0]} gives {items[0][1]:.1f} mm: "
            "they must agree within 2 %"
            for name, travel in items[1:]
            if abs(travel - items[0][1]) > 0.02 * items[0][1]
        ]


class Tyre(Row):
    """The tyre, and the gap measured with all air out and the suspension fully compressed."""

    bead_seat_mm: Annotated[Quantity, Number("mm", 300.0, 640.0)] = UNKNOWN
    width_mm: Annotated[Quantity, Number("mm", 28.0, 130.0)] = Field(
        UNKNOWN, description="the tyre to be ridden"
    )
    measured_width_mm: Annotated[Quantity, Number("mm", 28.0, 130.0)] = Field(
        UNKNOWN, description="the tyre on the wheel when the gaps were measured; blank: the same"
    )
    gap_mm: Annotated[Quantity, Number("mm", 0.0, 150.0)] = UNKNOWN
    gap_eye_to_eye_mm: Annotated[Quantity, Number("mm", 50.0, 330.0)] = Field(
        UNKNOWN, description="eye to eye while the gap was measured: a bumper often stops short"
    )
    closing: Annotated[Quantity, Number("ratio", 0.0, 1.0)] = Field(
        UNKNOWN, title="how much of the wheel's movement goes toward the frame",
        description="share of the wheel's movement that goes toward the frame",
    )  # fmt: skip
    minimum_gap_mm: Annotated[Quantity, Number("mm", 0.0, 60.0)] = Field(
        assumed(6.0), description="a workshop choice from memory; no standard sets it"
    )
    side_room_mm: Annotated[Quantity, Number("mm", 0.0, 100.0)] = Field(
        UNKNOWN, description="least clearance beside the tyre, each side"
    )
    minimum_side_room_mm: Annotated[Quantity, Number("mm", 0.0, 60.0)] = assumed(4.0)


class Room(Row):
    """Radial room about the shock's axis in three thirds of its length, toward four sides."""

    measured: Annotated[str | None, Choice(words.ROOM_MEASURED)] = None
    minimum_air_mm: Annotated[Quantity, Number("mm", 0.0, 30.0)] = assumed(3.0)
    head_up_mm: Mm = UNKNOWN
    head_down_mm: Mm = UNKNOWN
    head_left_mm: Mm = UNKNOWN
    head_right_mm: Mm = UNKNOWN
    middle_up_mm: Mm = UNKNOWN
    middle_down_mm: Mm = UNKNOWN
    middle_left_mm: Mm = UNKNOWN
    middle_right_mm: Mm = UNKNOWN
    shaft_up_mm: Mm = UNKNOWN
    shaft_down_mm: Mm = UNKNOWN
    shaft_left_mm: Mm = UNKNOWN
    shaft_right_mm: Mm = UNKNOWN

    @model_validator(mode="before")
    @classmethod
    def _extended_only(cls, data: Any) -> Any:
        """Measured extended only, or not told how: the least over the travel is from 0 to that."""
        if not isinstance(data, dict) or data.get("measured") == "whole travel":
            return data
        number = Number("mm", 0.0, 400.0)
        out = dict(data)
        for name, raw in data.items():
            if name in cls.model_fields and name not in ("measured", "minimum_air_mm"):
                got = number.parse(raw)
                out[name] = Quantity(0.0, got.high, "measured") if got.known else got
        return out


class Allows(Row):
    """What the frame maker allows."""

    air: YesNo = Field("yes", title="whether the frame maker allows an air shock")
    coil: YesNo = Field(None, title="whether the frame maker allows a coil shock")
    end_for_end: YesNo = Field(
        "no", title="whether the frame maker allows mounting end for end"
    )
    remote: YesNo = Field(
        None, title="whether the frame can route a remote's cable",
        description="the frame can route a remote's cable to the shock",
    )  # fmt: skip


class Limits(Row):
    """The frame maker's highest mass, with the basis it is stated on."""

    rider_mass_kg: Annotated[Quantity, Number("kg", 30.0, 300.0), NO_LIMIT] = Field(
        UNKNOWN, title="the frame's highest rider mass"
    )
    rider_mass_basis: Annotated[str | None, Choice(words.BASES)] = None


class Sleeve(Row):
    """A sleeve on the bike now."""

    width_mm: Annotated[Quantity, Number("mm", 8.0, 110.0)] = UNKNOWN
    bore_mm: Annotated[Quantity, Number("mm", 4.0, 16.0)] = UNKNOWN
    diameter_mm: Annotated[Quantity, Number("mm", 6.0, 20.0)] = UNKNOWN
    condition: Annotated[str | None, Choice(words.WEAR)] = None
    mass_g: Annotated[Quantity, Number("g", 0.0, 60.0)] = Field(
        UNKNOWN, description="alone; at a trunnion head the frame's two bolts. At most 60: [mem]"
    )


class PresentShock(Row):
    """The shock fitted now: a part number of the catalogue, its facts, or both: these then stand
    over what the catalogue tells of that number. And its condition."""

    part_number: Text = ""
    facts: Shock | None = None
    volume_spacers: Annotated[Quantity, Number("count", 0.0, 8.0)] = UNKNOWN
    spring_rate_n_per_mm: Annotated[Quantity, Number("n_per_mm", 20.0, 200.0)] = UNKNOWN
    spring_mass_g: Annotated[Quantity, Number("g", 0.0, 1500.0)] = Field(
        UNKNOWN, description="the coil spring alone, off the shock"
    )
    spring_outer_diameter_mm: Annotated[Quantity, Number("mm", 30.0, 90.0), ELSEWHERE] = Field(
        UNKNOWN, description="of the coil spring on it; blank: it has room where it sits"
    )
    condition: Annotated[str | None, Choice(("good", "service due", "broken"))] = None
    sag_mm: Annotated[Quantity, Number("mm", 0.0, 60.0)] = Field(
        UNKNOWN, description="shaft sag as measured: the mean of settling down and rising up"
    )
    own_tune: YesNo = Field(
        None, description="its damper is not as delivered: what its facts tell of the tune, or "
        "nothing, holds in place of the catalogue's"
    )  # fmt: skip
    head_sleeve: Sleeve = Sleeve()
    shaft_sleeve: Sleeve = Sleeve()

    @model_validator(mode="before")
    @classmethod
    def _numbered(cls, data: Any) -> Any:
        """The facts are those of the part number."""
        facts = data.get("facts") if isinstance(data, dict) else None
        if not isinstance(facts, dict) or not data.get("part_number"):
            return data
        return {**data, "facts": {"part_number": data["part_number"], **facts}}


class Bike(Row):
    """One bike. `frame` names a frame of the catalogue whose facts stand where this is silent."""

    name: Text = "the bike"
    frame: Text = ""
    source: Text = ""
    mount: Annotated[str | None, Choice(words.MOUNTS)] = Field(
        None, title="what mount the frame takes at the shock's head",
        description="what the frame takes at the end of the shock's head",
    )  # fmt: skip
    head: Mount = Mount()
    shaft: Mount = Mount()
    eyelet_axis: Annotated[str | None, Choice(words.AXES)] = Field(
        None, title="how the frame's shaft bolt lies to its head bolt"
    )
    yoke: YesNo = None
    sizes: tuple[Size, ...] = Field((), max_length=12)
    length_tolerance_mm: Annotated[Quantity, Number("mm", 0.0, 5.0)] = Field(
        assumed(1.0), description="common practice, no source"
    )
    linkage_stop_mm: Annotated[Quantity, Number("mm", 20.0, 120.0), NO_LIMIT] = Field(
        UNKNOWN, title="where the linkage stops",
        description="shock compression at which the linkage stops, nominal length",
    )  # fmt: skip
    leverage: LeverageFacts = LeverageFacts()
    tyre: Tyre = Tyre()
    room: Room = Room()
    allows: Allows = Allows()
    limits: Limits = Limits()
    rear_sprung_mass_kg: Annotated[Quantity, Number("kg", 1.0, 30.0)] = Field(
        assumed(5.0), description="from memory: 5, or 8 to 10 for an e-bike"
    )
    present_shock: PresentShock | None = None

    @model_validator(mode="after")
    def _sized(self) -> "Bike":
        for size in self.sizes:
            stroke, length = size.stroke_ceiling_mm, size.length_mm
            if stroke.known and length.known and stroke.low > length.high / 2:
                raise ValueError(
                    f"sizes: a stroke ceiling of {stroke.low:g} mm is over half the length of "
                    f"{length.high:g} mm"
                )
        return self
