"""frames/*.toml: one file a frame.

Mean leverage 2.3 to 3.0 and progression 5 to 30 % are of the usual order [mem]. A table's readings
are rounded to 0.5 mm, as a rider reads a tape. The tyre gap is what is left at the stroke ceiling,
less what a bumper holds the shock short by while it is measured by hand: 1 to 3 mm [cp].
"""

from dataclasses import dataclass
from typing import Literal

from invented.chance import SOURCE, Cell, Chance, text

TITLE = "# Invented for the demonstration: no real person, maker or product.\n"
SEATS = {"29": 622, "27.5": 584, "26": 559}  # mm, ISO 5775-1 [std]
SIDES = ("up", "down", "left", "right")
THIRDS = ("head", "middle", "shaft")
ROOMS = {  # least room in mm up, down, left, right: head, middle, shaft third
    "ample": ((68, 46, 42, 42), (50, 44, 40, 40), (40, 38, 36, 36)),
    "up": ((62, 34, 36, 36), (40, 34, 34, 34), (34, 32, 31, 31)),
    "can": ((44, 36, 36, 36), (38, 36, 34, 34), (32, 31, 30, 30)),
    "right": ((40, 36, 36, 60), (36, 34, 34, 38), (32, 31, 31, 31)),
    "slim": ((38, 33, 34, 34), (34, 32, 32, 32), (30, 28, 28, 28)),
}
TRUNNION_WIDTH = 54.0  # mm [mem]
Level = Literal["travel", "ratios", "table"]


@dataclass(frozen=True)
class Frame:
    """One frame. `sizes`: (length, stroke ceiling) in mm; the first is the one it is made for.

    `stroke` and `travel` in mm go together; `progression` is the fall of the leverage ratio over
    the stroke. An eyelet head has `head` (gap, bolt) in mm, a trunnion head has bolts.
    """

    id: str
    mount: str
    sizes: tuple[tuple[float, float], ...]
    stroke: float
    travel: float
    progression: float
    level: Level
    head: tuple[Cell, Cell]
    shaft: tuple[Cell, Cell]
    wheel: str
    tyre: float
    spare_gap: float  # mm left at the stroke ceiling
    room: str = "up"
    measured: str = "whole travel"
    coil: str = "yes"
    axis: str = "parallel"
    yoke: str = "no"
    closing: Cell = 0.8
    side_room: Cell = 8.0
    stop: float | None = 3.0  # mm past the ceiling
    mass: tuple[float, str] | None = (120, "rider with kit")
    carbon: str = "no"
    remote: str = "no"
    turned: str = "no"


FRAMES = (
    Frame("nevelstrand-ledda", "eyelet", ((210, 52.5),), 50, 130, 0.18, "ratios", (30, 8),
          (22.2, 8), "29", 61, 7.5, room="ample", closing=0.7, turned="yes"),
    Frame("nevelstrand-ottrel", "eyelet", ((230, 65),), 65, 160, 0.22, "table", (30, 8), (22.2, 8),
          "29", 64, 9, room="ample"),
    Frame("nevelstrand-pim", "eyelet", ((190, 45),), 45, 115, 0.10, "ratios", (22.2, 8), (22.2, 8),
          "29", 58, 12, room="can", coil="no", remote="yes", mass=(110, "rider with kit")),
    Frame("nevelstrand-quarrel", "trunnion", ((185, 55),), 55, 145, 0.20, "table", (54, 10),
          (30, 8), "29", 61, 8, room="up"),
    Frame("corbetch-pemmock", "eyelet", ((210, 55),), 55, 140, 0.15, "table", (36, 8), (48, 8),
          "27.5", 64, 10, room="up", yoke="yes", coil="no"),
    Frame("corbetch-vennor", "eyelet", ((230, 62.5),), 60, 150, 0.19, "ratios", (54, 10), (30, 8),
          "29", 63, 6.5, room="up", side_room=6, stop=1.5),
    Frame("corbetch-addle", "trunnion", ((165, 45),), 45, 120, 0.08, "travel", (54, 10), (22.2, 8),
          "29", 57, 14, room="slim", coil="no", remote="yes", carbon="yes"),
    Frame("corbetch-thurl", "eyelet", ((250, 75),), 75, 200, 0.25, "table", (40, 8), (30, 8),
          "27.5", 64, 16, room="ample", mass=(150, "whole system")),
    Frame("halvorine-birrel", "eyelet", ((210, 50),), 50, 125, 0.12, "travel", (24, 8), (20, 8),
          "27.5", 60, 9, room="can", measured="extended"),
    Frame("halvorine-cassock", "eyelet", ((210, 55),), 52.5, 135, 0.17, "ratios", (30, 8), (30, 8),
          "29", 61, 11, room="up", coil="", closing=""),
    Frame("halvorine-dunter", "trunnion", ((205, 65),), 62.5, 158, 0.23, "table", (54, 10),
          (25, 8), "29", 64, 8, room="ample"),
    Frame("halvorine-essel", "eyelet", ((230, 65), (230, 60)), 60, 148, 0.14, "ratios", (30, 10),
          ("22.3 +/- 0.2", 8), "29", 61, 13, room="right"),
    Frame("ardlecote-fossick", "eyelet", ((215.9, 63.5),), 63.5, 152, 0.16, "ratios", (22.2, 8),
          (22.2, 8), "27.5", 60, 12, room="up", stop=None),
    Frame("ardlecote-gammel", "eyelet", ((200, 57.2), (200, 50.8)), 50.8, 127, 0.09, "travel",
          (22.2, 8), (22.2, 8), "27.5", 58, 15, room="can", side_room="", mass=None),
    Frame("ardlecote-hobbin", "eyelet", ((222.3, 69.9),), 69.9, 178, 0.20, "table", (30, 8),
          (22.2, 8), "26", 60, 17, room="ample", stop=None),
    Frame("ardlecote-inkle", "eyelet", ((266.7, 88.9),), 88.9, 210, 0.05, "travel", (54, 10),
          (40, 8), "26", 63, 20, room="ample", mass=None, closing=""),
    Frame("pibrough-jarrow", "trunnion", ((205, 60),), 60, 150, 0.21, "table", (54, 10), (54, 8),
          "29", 63, 7, room="up", coil="no", axis="crosswise", yoke="yes"),
    Frame("pibrough-kittle", "eyelet", ((210, 55),), 55, 148, 0.24, "ratios", (30, 8), (54, 8),
          "29", 62, 9, room="up", axis="crosswise", yoke="yes", coil="no", carbon="yes"),
    Frame("pibrough-lammas", "trunnion", ((185, 52.5),), 50, 130, 0.18, "ratios", (54, 10),
          (40, 8), "29", 60, 10, room="can", axis="crosswise", measured=""),
    Frame("pibrough-merrow", "eyelet", ((190, 45), (190.5, 50.8)), 45, 110, 0.13, "table", (20, 6),
          (22.2, 6), "27.5", 57, 13, room="slim", coil="no", remote="yes"),
    Frame("umberlay-noggin", "trunnion", ((225, 75),), 75, 190, 0.28, "table", (54, 10), (30, 10),
          "29", 64, 14, room="ample", mass=(135, "rider with kit")),
    Frame("umberlay-orrice", "eyelet", ((241.3, 76.2),), 76.2, 195, 0.30, "ratios", (40, 10),
          (30, 10), "26", 64, 18, room="ample", axis="crosswise", mass=(110, "rider")),
    Frame("umberlay-pottle", "trunnion", ((205, 65), (205, 62.5)), 65, 195, 0.17, "travel",
          (54, 10), (30, 8), "29", 66, 11, room="right", coil="no",
          mass=(190, "rider with kit"), remote=""),
    Frame("umberlay-quern", "eyelet", ((230, 57.5),), 57.5, 142, 0.11, "travel", (25, 8), (25, 8),
          "29", 60, 8, room="up", measured="extended", carbon="yes", coil=""),
    Frame("umberlay-rustle", "trunnion", ((165, 40),), 37.5, 100, 0.06, "ratios", (54, 10), (20, 8),
          "29", 56, 12, room="slim", coil="no", carbon="", remote="yes", stop=None),
)  # fmt: skip


def files() -> dict[str, str]:
    """File name -> text, each a [bike] table."""
    return {f"{frame.id}.toml": _toml(frame) for frame in FRAMES}


def ratios(frame: Frame) -> tuple[float, float]:
    """Start and end leverage ratio, to 0.01, whose mean times the stroke is the travel."""
    start = round(2 * frame.travel / (frame.stroke * (2 - frame.progression)), 2)
    return start, round(2 * frame.travel / frame.stroke - start, 2)


def travel_at(frame: Frame, x: float) -> float:
    """Wheel travel in mm at shock compression x, the ratio falling in a line."""
    start, end = ratios(frame)
    return start * x + (end - start) * x * x / (2 * frame.stroke)


def _toml(frame: Frame) -> str:
    maker, name = frame.id.split("-")
    length, ceiling = frame.sizes[0]
    lines = [TITLE, "[bike]"]
    lines += _pairs({
        "name": f"{maker.capitalize()} {name.capitalize()}", "source": SOURCE, "mount": frame.mount,
        "eyelet_axis": frame.axis, "yoke": frame.yoke,
        "linkage_stop_mm": "" if frame.stop is None else round(ceiling + frame.stop, 1),
    })  # fmt: skip
    for own, top in frame.sizes:
        lines += ["", "[[bike.sizes]]", *_pairs({"length_mm": own, "stroke_ceiling_mm": top})]
    lines += ["", "[bike.head]", *_pairs(_head(frame))]
    lines += ["", "[bike.shaft]", *_pairs(_lugs(frame.shaft, frame.carbon))]
    lines += ["", "[bike.leverage]", *_leverage(frame)]
    lines += ["", "[bike.tyre]", *_pairs(_tyre(frame, length, ceiling))]
    lines += ["", "[bike.room]", *_pairs(_room(frame))]
    lines += ["", "[bike.allows]", *_pairs(
        {"coil": frame.coil, "end_for_end": frame.turned, "remote": frame.remote}
    )]  # fmt: skip
    if frame.mass is not None:
        kg, basis = frame.mass
        limits = _pairs({"rider_mass_kg": kg, "rider_mass_basis": basis})
        lines += ["", "[bike.limits]", *limits]
    return "\n".join(lines) + "\n"


def _pairs(table: dict[str, Cell]) -> list[str]:
    """TOML lines; a blank is left out, which means unknown."""
    return [
        f'{name} = "{cell}"' if isinstance(cell, str) else f"{name} = {text(cell)}"
        for name, cell in table.items()
        if cell != ""
    ]


def _lugs(gap_and_bolt: tuple[Cell, Cell], carbon: str) -> dict[str, Cell]:
    gap, bolt = gap_and_bolt
    out: dict[str, Cell] = {"gap_mm": gap, "bolt_mm": bolt, "carbon_lugs": carbon}
    if not isinstance(gap, str):
        out["grip_mm"] = round(gap + 1.0, 1)
    return out


def _head(frame: Frame) -> dict[str, Cell]:
    if frame.mount == "eyelet":
        return _lugs(frame.head, frame.carbon)
    return {
        "trunnion_width_mm": TRUNNION_WIDTH, "trunnion_thread": "m10x1",
        "bolt_protrusion_mm": Chance("bolts", frame.id).pick((9, 9.5, 10)),
        "carbon_lugs": frame.carbon,
    }  # fmt: skip


def _leverage(frame: Frame) -> list[str]:
    start, end = ratios(frame)
    if frame.level == "travel":
        return _pairs({"stroke_mm": frame.stroke, "travel_mm": frame.travel})
    if frame.level == "ratios":
        return _pairs({"stroke_mm": frame.stroke, "ratio_start": start, "ratio_end": end})
    points = [round(frame.stroke * step / 10 * 2) / 2 for step in range(10)] + [frame.stroke]
    rows = [
        f"  {{ compression_mm = {x:g}, wheel_travel_mm = {round(travel_at(frame, x) * 2) / 2:g} }},"
        for x in points
    ]
    pairs = _pairs({"stroke_mm": frame.stroke, "reading_error_mm": 0.5})
    return [*pairs, "table = [", *rows, "]"]


def _tyre(frame: Frame, length: float, ceiling: float) -> dict[str, Cell]:
    held = Chance("bumper", frame.id).between(1, 3, 0.5)
    measured_at = length - ceiling + held
    more = travel_at(frame, ceiling) - travel_at(frame, ceiling - held)
    closing = 1.0 if isinstance(frame.closing, str) else frame.closing
    return {
        "bead_seat_mm": SEATS[frame.wheel], "width_mm": frame.tyre,
        "gap_mm": round((frame.spare_gap + closing * more) * 2) / 2,
        "gap_eye_to_eye_mm": round(measured_at, 1), "closing": frame.closing,
        "side_room_mm": frame.side_room,
    }  # fmt: skip


def _room(frame: Frame) -> dict[str, Cell]:
    chance = Chance("room", frame.id)
    out: dict[str, Cell] = {"measured": frame.measured}
    for third, radii in zip(THIRDS, ROOMS[frame.room], strict=True):
        for side, radius in zip(SIDES, radii, strict=True):
            out[f"{third}_{side}_mm"] = radius + chance.pick((-1, 0, 0, 1, 2))
    return out
