"""delivered_tunes.csv: what the invented frame makers had their shocks built with.

Each frame comes with a shock of its own size whose tune, spacers or spring and sleeves suit it; the
full part number adds the frame maker's mark. Some sheets leave the lockout or the spacers blank.
"""

from invented import shocks
from invented.chance import SOURCE, Chance, Row
from invented.frames import FRAMES, Frame

SLEEVE = 12.7  # mm, outside diameter on nearly all shocks [cp]
TUNES = {"light": 2.0, "medium": 6.0, "firm": 2.0}
LOCKOUTS = {"light": 2.0, "medium": 4.0, "firm": 3.0, "": 1.0}
RATES = (400, 425, 450, 475, 500, 525, 550)  # lbf/in


def rows() -> list[Row]:
    listed = [row for row in shocks.rows() if "eyelet_axis" in row]
    out = []
    for frame in FRAMES:
        fitting = [row for row in listed if _suits(row, frame)]
        if fitting:
            out.append(_row(Chance("delivered", frame.id).pick(fitting), frame))
    return out


def _suits(row: Row, frame: Frame) -> bool:
    return (
        row["head_mount"] == frame.mount
        and row["length_mm"] == frame.sizes[0][0]
        and row["stroke_mm"] == frame.stroke
        and row["eyelet_axis"] == frame.axis
        and (row["spring_kind"] == "air" or frame.coil == "yes")
    )


def _row(shock: Row, frame: Frame) -> Row:
    mark = "".join(word[:2] for word in frame.id.split("-")).upper()
    chance = Chance("delivered", frame.id, "tune")
    row: Row = {
        "part_number": f"{shock['part_number']}/{mark}", "shock": shock["part_number"],
        "compression_class": chance.weighed(TUNES), "rebound_class": chance.weighed(TUNES),
        "lockout_class": "none",
    }  # fmt: skip
    if shock["lockout_class"] != "none":
        row["lockout_class"] = chance.weighed(LOCKOUTS)
    if shock["spring_kind"] == "air":
        row["volume_spacers"] = chance.pick((0, 0, 1, 1, 2, ""))
    else:
        row["spring_rate_lbf_per_in"] = chance.pick(RATES)
    ends = {"shaft": frame.shaft} | ({"head": frame.head} if frame.mount == "eyelet" else {})
    for end in ("head", "shaft"):
        if end in ends:
            width, bore = ends[end]
            row[f"{end}_sleeve_width_mm"] = width
            row[f"{end}_sleeve_bore_mm"] = bore
            row[f"{end}_sleeve_diameter_mm"] = shock.get(f"{end}_sleeve_diameter_mm", SLEEVE)
    row["source"] = SOURCE
    return row
