"""What one row of each catalogue table holds.

The field metadata is the single description of a column: bounds and unit for the reader, the
Table Schema, the error messages and what an unknown value ranges over. Rows are never built as
objects for a catalogue; these models serve the description, and parts entered one at a time.

A field's title names it within a sentence, where its own name would read badly; its description
says what it is, and where usual values come from that are not the maker's.
"""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from recommender.facts import words
from recommender.facts.marks import ELSEWHERE, NO_LIMIT, Only
from recommender.facts.quantity import UNKNOWN, Choice, Number, Quantity, assumed

YesNo = Annotated[str | None, Choice(words.YES_NO)]
Mm = Annotated[Quantity, Number("mm", 0.0, 400.0)]
RoomMm = Annotated[Quantity, Number("mm", 0.0, 150.0)]
Grams = Annotated[Quantity, Number("g", 0.0, 5000.0)]
Money = Annotated[Quantity, Number("money", 0.0, 100_000.0)]
Days = Annotated[Quantity, Number("days", 0.0, 365.0)]
Psi = Annotated[Quantity, Number("psi", 0.0, 500.0)]
Count = Annotated[Quantity, Number("count", 0.0, 1_000_000.0)]
Coefficient = Annotated[Quantity, Number("n_s_per_m", 0.0, 50_000.0)]
AIR, COIL = Only("spring_kind", "air"), Only("spring_kind", "coil")
EYELET, TRUNNION = Only("head_mount", "eyelet"), Only("head_mount", "trunnion")
Text = Annotated[str, Field(max_length=200)]
Key = Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[A-Za-z0-9][A-Za-z0-9 ._/+-]*$")]


class Row(BaseModel):
    """Frozen, closed record: an unknown field name is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)


class Priced(Row):
    """What every part on offer carries. Blank stock: not counted by the supplier."""

    price: Money = Field(UNKNOWN, description="price in `currency`, blank for unknown")
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] = Field(
        "EUR", description="ISO 4217 code"
    )
    supplier: Text = Field("", description="key into suppliers.csv")
    stock: Annotated[Quantity, Number("count", 0.0, 1_000_000.0, counted=True), ELSEWHERE] = Field(
        UNKNOWN, description="pieces on the shelf, blank where not counted"
    )
    delivery_days: Days = Field(UNKNOWN, description="days until it is in the workshop")
    source: Text = Field("", description="where this row's figures come from")


class Shock(Priced):
    """One shock as delivered. Length eye to eye, fully extended; stroke as delivered."""

    part_number: Key
    maker: Text = ""
    model: Text = ""
    spring_kind: Annotated[str | None, Choice(words.SPRING_KINDS)] = None
    head_mount: Annotated[str | None, Choice(words.MOUNTS)] = None
    length_mm: Annotated[Quantity, Number("mm", 100.0, 350.0)] = UNKNOWN
    stroke_mm: Annotated[Quantity, Number("mm", 20.0, 110.0)] = UNKNOWN
    stroke_settings_mm: Annotated[str, Field(max_length=120)] = Field(
        "", description="strokes the shock's manual allows by internal spacers, '50;52.5;55'"
    )
    mass_g: Grams = Field(UNKNOWN, description="without hardware; coil: without the spring")
    head_eye: Annotated[str | None, Choice(words.EYES), EYELET] = Field(
        None, title="whether the shock's head eye holds a bushing or a bearing",
        description="eyelet heads only",
    )  # fmt: skip
    head_eye_width_mm: Annotated[Quantity, Number("mm", 5.0, 60.0), EYELET] = UNKNOWN
    head_eye_bore_mm: Annotated[Quantity, Number("mm", 8.0, 30.0), EYELET] = UNKNOWN
    head_sleeve_diameter_mm: Annotated[Quantity, Number("mm", 6.0, 20.0), EYELET] = Field(
        UNKNOWN, description="outside diameter of the sleeve the fitted bushing takes, 12.7 usual"
    )
    shaft_eye: Annotated[str | None, Choice(words.EYES)] = Field(
        None, title="whether the shock's shaft eye holds a bushing or a bearing"
    )
    shaft_eye_width_mm: Annotated[Quantity, Number("mm", 5.0, 60.0)] = UNKNOWN
    shaft_eye_bore_mm: Annotated[Quantity, Number("mm", 8.0, 30.0)] = UNKNOWN
    shaft_sleeve_diameter_mm: Annotated[Quantity, Number("mm", 6.0, 20.0)] = UNKNOWN
    trunnion_width_mm: Annotated[Quantity, Number("mm", 20.0, 100.0), TRUNNION] = Field(
        UNKNOWN, description="width of a trunnion head between its bolt faces"
    )
    trunnion_thread: Annotated[str | None, Choice(words.THREADS), TRUNNION] = None
    trunnion_thread_depth_mm: Annotated[Quantity, Number("mm", 3.0, 40.0), TRUNNION] = UNKNOWN
    eyelet_axis: Annotated[str | None, Choice(words.AXES)] = Field(
        None, title="how the shock's shaft eye lies to its head bolt",
        description="shaft bolt parallel or crosswise to the head bolt, as delivered",
    )  # fmt: skip
    eyelet_turnable: YesNo = Field(
        None, title="whether the shock's manual lets the shaft eye be turned by hand",
        description="the manual says the shaft eye may be turned by hand, all air out",
    )  # fmt: skip
    end_for_end: YesNo = Field(
        None, title="whether the shock's manual allows mounting it end for end",
        description="the manual allows mounting it end for end",
    )  # fmt: skip
    body_head_up_mm: RoomMm = UNKNOWN
    body_head_down_mm: RoomMm = UNKNOWN
    body_head_left_mm: RoomMm = UNKNOWN
    body_head_right_mm: RoomMm = UNKNOWN
    body_middle_up_mm: RoomMm = UNKNOWN
    body_middle_down_mm: RoomMm = UNKNOWN
    body_middle_left_mm: RoomMm = UNKNOWN
    body_middle_right_mm: RoomMm = UNKNOWN
    body_shaft_up_mm: RoomMm = UNKNOWN
    body_shaft_down_mm: RoomMm = UNKNOWN
    body_shaft_left_mm: RoomMm = UNKNOWN
    body_shaft_right_mm: RoomMm = UNKNOWN
    rebound_adjuster: YesNo = None
    low_speed_compression_adjuster: YesNo = None
    high_speed_compression_adjuster: YesNo = None
    lockout_lever: YesNo = None
    remote_lockout: YesNo = Field(None, title="whether the shock's lockout works by a remote")
    damper: Text = Field("", description="damper family: services are offered by family")
    compression_class: Annotated[str | None, Choice(words.CLASSES)] = None
    rebound_class: Annotated[str | None, Choice(words.CLASSES)] = None
    lockout_class: Annotated[str | None, Choice(words.LOCKOUTS)] = None
    rebound_low_n_s_per_m: Annotated[Coefficient, ELSEWHERE] = Field(
        UNKNOWN, description="measured on a dynamometer as delivered; blank: the class's range"
    )
    rebound_high_n_s_per_m: Annotated[Coefficient, ELSEWHERE] = UNKNOWN
    compression_low_n_s_per_m: Annotated[Coefficient, ELSEWHERE] = UNKNOWN
    compression_high_n_s_per_m: Annotated[Coefficient, ELSEWHERE] = UNKNOWN
    rider_mass_limit_kg: Annotated[Quantity, Number("kg", 30.0, 250.0), NO_LIMIT] = Field(
        UNKNOWN, title="the shock's highest rider mass",
        description="highest mass that the shock's manual allows, on the basis it states",
    )  # fmt: skip
    rider_mass_limit_basis: Annotated[str | None, Choice(words.BASES)] = Field(
        "rider with kit", title="what the shock's mass limit is about",
        description="what that mass is of; the rider with kit unless stated",
    )  # fmt: skip
    # air
    piston_area_mm2: Annotated[Quantity, Number("mm2", 200.0, 5000.0), AIR] = UNKNOWN
    chamber_cm3: Annotated[Quantity, Number("cm3", 20.0, 800.0), AIR] = UNKNOWN
    negative_area_mm2: Annotated[Quantity, Number("mm2", 0.0, 5000.0), AIR] = UNKNOWN
    negative_chamber_cm3: Annotated[Quantity, Number("cm3", 1.0, 300.0), AIR] = UNKNOWN
    equalise_at_mm: Annotated[Quantity, Number("mm", 0.0, 30.0), AIR] = Field(
        UNKNOWN, title="where the shock's two air chambers equalise"
    )
    pressure_min_psi: Annotated[Psi, AIR] = Field(
        UNKNOWN, title="the lowest pressure the shock may hold"
    )
    pressure_max_psi: Annotated[Psi, AIR] = Field(
        UNKNOWN, title="the highest pressure the shock may hold"
    )
    volume_spacer_cm3: Annotated[Quantity, Number("cm3", 0.0, 60.0), AIR] = Field(
        UNKNOWN, title="the volume of one of the shock's spacers"
    )
    volume_spacers_max: Annotated[Quantity, Number("count", 0.0, 8.0), AIR] = Field(
        UNKNOWN, title="how many volume spacers the shock takes"
    )
    volume_spacer_price: Annotated[Money, ELSEWHERE] = UNKNOWN
    # coil
    spring_seat_mm: Annotated[Quantity, Number("mm", 20.0, 60.0), COIL] = Field(
        UNKNOWN, description="diameter of the spring seat; the spring slides over it"
    )
    spring_length_min_mm: Annotated[Quantity, Number("mm", 60.0, 300.0), COIL] = Field(
        UNKNOWN, title="the shortest spring the shock's collar reaches",
        description="shortest free spring length the collar reaches",
    )  # fmt: skip
    spring_length_max_mm: Annotated[Quantity, Number("mm", 60.0, 300.0), COIL] = Field(
        UNKNOWN, title="the longest spring the shock's collar reaches"
    )
    collar_pitch_mm: Annotated[Quantity, Number("mm", 0.5, 3.0), COIL] = Field(
        UNKNOWN, description="thread pitch of the preload collar"
    )
    preload_turns_min: Annotated[Quantity, Number("count", 0.0, 5.0), COIL] = Field(
        assumed(0.5), description="half a turn unless the manual states another figure"
    )
    preload_turns_max: Annotated[Quantity, Number("count", 0.0, 10.0), COIL] = Field(
        UNKNOWN, title="the most preload the shock allows"
    )


class Kit(Priced):
    """Mounting hardware for one eyelet, or the pair of bolts of a trunnion head."""

    part_number: Key
    maker: Text = ""
    kind: Annotated[str | None, Choice(words.KIT_KINDS)] = None
    width_mm: Annotated[Quantity, Number("mm", 8.0, 110.0)] = UNKNOWN
    bore_mm: Annotated[Quantity, Number("mm", 4.0, 16.0)] = UNKNOWN
    sleeve_diameter_mm: Annotated[Quantity, Number("mm", 6.0, 20.0)] = UNKNOWN
    bushing: Annotated[str | None, Choice(words.BUSHINGS)] = Field(
        None, description="'none': the kit is the sleeve alone and uses the shock's bushing"
    )
    bushing_diameter_mm: Annotated[Quantity, Number("mm", 8.0, 30.0)] = UNKNOWN
    thread: Annotated[str | None, Choice(words.THREADS)] = Field(
        None, description="trunnion bolts only"
    )
    protrusion_mm: Annotated[Quantity, Number("mm", 2.0, 40.0)] = Field(
        UNKNOWN, description="trunnion bolts: length of thread that enters the shock's head"
    )
    pieces: Count = Field(UNKNOWN, description="how many pieces the kit comes in")
    mass_g: Grams = UNKNOWN
    pairs_with: Text = Field(
        "", description="part number that must be at the other end (adapters sold as a pair)"
    )


class Service(Priced):
    """A workshop's revalve for a damper family; the classes are those after the work."""

    service_number: Key
    workshop: Text = ""
    damper: Text = Field("", description="damper family it is offered for")
    compression_class: Annotated[str | None, Choice(words.CLASSES)] = None
    rebound_class: Annotated[str | None, Choice(words.CLASSES)] = None
    lockout_class: Annotated[str | None, Choice(words.LOCKOUTS)] = None
    work_days: Days = Field(UNKNOWN, description="days in the workshop after the shock arrives")


class Spring(Priced):
    """A coil spring."""

    part_number: Key
    maker: Text = ""
    rate_n_per_mm: Annotated[Quantity, Number("n_per_mm", 20.0, 200.0)] = UNKNOWN
    inner_diameter_mm: Annotated[Quantity, Number("mm", 20.0, 60.0)] = UNKNOWN
    outer_diameter_mm: Annotated[Quantity, Number("mm", 30.0, 90.0)] = UNKNOWN
    free_length_mm: Annotated[Quantity, Number("mm", 60.0, 300.0)] = UNKNOWN
    usable_travel_mm: Annotated[Quantity, Number("mm", 20.0, 120.0)] = Field(
        UNKNOWN, description="compression before the coils bind"
    )
    mass_g: Grams = UNKNOWN
