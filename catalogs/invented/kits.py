"""kits.csv: sleeves with or without bushings, bearing axles, trunnion bolts, a pair of adapters.

A sleeve of 12.7 mm outside diameter is the usual one [cp]; 15.0 mm bushings, a few of 16.0, and
the odd 12.0 and 15.0 mm sleeves are the catalogue's own. Kettlebarrow Parts sells the cheap ones,
from 60 EUR an order, so that one kit alone cannot be ordered there.
"""

from collections.abc import Iterable, Mapping

from invented.chance import SOURCE, Cell, Chance, Row, text

USUAL_SLEEVE, USUAL_BUSHING = 12.7, 15.0  # mm
POLYMER, PRESSED, NONE = "push-fit polymer", "pressed metal-backed", "none"
WIDTHS = {  # bore -> widths in mm
    8: (18, 20, 21.8, 22.2, 24, 25, 26, 28, 30, 32, 35, 38, 40, 44, 46, 50, 54, 60),
    10: (20, 22.2, 25, 30, 35, 40, 50, 54, 60),
    6: (20, 22.2, 24, 30, 40),
}
BARE = {8: (20, 21.8, 22.2, 24, 25, 30, 35, 40, 54), 10: (22.2, 30, 40, 54), 6: (22.2,)}
PRESS = {8: (20, 22.2, 25, 30, 40, 54)}
WIDE_BUSHING = ((8, 22.2), (8, 24), (8, 30), (8, 40), (8, 54), (10, 30))
ODD = ((12.0, 8, 20), (12.0, 8, 22.2), (12.0, 8, 24), (15.0, 8, 30), (15.0, 10, 40))
AXLES = ((8, 20), (8, 22.2), (8, 25), (8, 30), (8, 40), (8, 54), (10, 30), (10, 50), (10, 54))
AXLE_DIAMETER = 15.0  # mm
STOCKS: tuple[Cell, ...] = ("", 1, 1, 2, 3, 4, 6, 8)
DAYS: tuple[Cell, ...] = ("", 1, 2, 3, 4, 5, 6, 7, 8, 9)
MEASURED = {"EM-P-8x22.2": "22.2 +/- 0.2", "DR-16-8x30": "29.9 +/- 0.1"}


def rows() -> list[Row]:
    out = [*_usual(), *_wide(), *_odd(), *_axles(), *_bolts(), *_adapters()]
    for row in out:
        number = str(row["part_number"])
        chance = Chance("kit", number)
        row["width_mm"] = MEASURED.get(number, row.get("width_mm", ""))
        row["stock"] = chance.pick(STOCKS)
        row["delivery_days"] = chance.pick(DAYS)
        row["source"] = SOURCE
    return out


def _sleeve(
    prefix: str, maker: str, width: float, bore: float, bushing: str, supplier: str,
    prices: tuple[float, float], sleeve: float = USUAL_SLEEVE, outside: float = USUAL_BUSHING,
) -> Row:  # fmt: skip
    number = f"{prefix}-{bore:g}x{text(width)}"
    chance = Chance("sleeve", number)
    row: Row = {
        "part_number": number, "maker": maker, "kind": "sleeve", "width_mm": width, "bore_mm": bore,
        "sleeve_diameter_mm": sleeve, "bushing": bushing,
        "bushing_diameter_mm": "" if bushing == NONE else outside,
        "pieces": chance.pick((1, 3) if bushing == NONE else (2, 3, 4, 5)),
        "mass_g": round(6 + width * 0.45 + chance.between(0, 4, 1)),
        "price": chance.between(*prices, 1), "supplier": supplier,
    }  # fmt: skip
    return row


def _each(widths: Mapping[int, tuple[float, ...]]) -> Iterable[tuple[int, float]]:
    return ((bore, width) for bore, row in widths.items() for width in row)


def _usual() -> list[Row]:
    yarnwick, cheap, own = "Yarnwick Bearings", "Kettlebarrow Parts", "Skarrowdale Workshop"
    out = [
        _sleeve("EM-P", "Ettlemoor", width, bore, POLYMER, Chance("at", f"{bore}x{width}").pick(
            (yarnwick, yarnwick, own)), (22, 36))
        for bore, width in _each(WIDTHS)
    ]  # fmt: skip
    out += [_sleeve("DR-N", "Drossick", w, b, NONE, cheap, (10, 19)) for b, w in _each(BARE)]
    out += [
        _sleeve("HB-M", "Hamblerigg", width, bore, PRESSED, yarnwick, (28, 48))
        for bore, width in _each(PRESS)
    ]
    return out


def _wide() -> list[Row]:
    return [
        _sleeve("DR-16", "Drossick", width, bore, POLYMER, "Kettlebarrow Parts", (16, 26),
                outside=16.0)
        for bore, width in WIDE_BUSHING
    ]  # fmt: skip


def _odd() -> list[Row]:
    return [
        _sleeve(f"HB-{diameter:g}", "Hamblerigg", width, bore, NONE, "Yarnwick Bearings", (24, 40),
                sleeve=diameter)
        for diameter, bore, width in ODD
    ]  # fmt: skip


def _axles() -> list[Row]:
    return [
        {**_sleeve("HB-A", "Hamblerigg", width, bore, NONE, "Yarnwick Bearings", (30, 58),
                   sleeve=AXLE_DIAMETER), "kind": "bearing axle"}
        for bore, width in AXLES
    ]  # fmt: skip


def _bolts() -> list[Row]:
    at = {8: "Kettlebarrow Parts", 9: "Skarrowdale Workshop", 10: "Yarnwick Bearings",
          11: "Kettlebarrow Parts", 12: "Yarnwick Bearings"}  # fmt: skip
    return [
        {
            "part_number": f"DR-T-{depth}", "maker": "Drossick", "kind": "trunnion bolts",
            "bushing": NONE, "thread": "m10x1", "protrusion_mm": depth, "pieces": 2,
            "mass_g": 14 + depth, "price": Chance("bolts", str(depth)).between(14, 28, 1),
            "supplier": supplier,
        }
        for depth, supplier in at.items()
    ]  # fmt: skip


def _adapters() -> list[Row]:
    """Two stepped sleeves, sold one to an end and made to work together."""
    pair = ("EM-D-8x36", "EM-D-8x48")
    out: list[Row] = []
    for number, other, width in ((pair[0], pair[1], 36.0), (pair[1], pair[0], 48.0)):
        row = _sleeve("EM-D", "Ettlemoor", width, 8, POLYMER, "Skarrowdale Workshop", (34, 40))
        out.append({**row, "part_number": number, "pairs_with": other})
    return out
