"""springs.csv: round-wire steel springs of three usable travels.

Wire, turns and mass follow from rate and length: k = G d^4 / (8 D^3 N) (the usual formula for a
cylindrical helical spring), with G = 78.5 GPa and 7.85 g/cm3 for spring steel [mem]; one and a half
end turns, 2 mm kept free before the coils touch [mem].
"""

import math
from dataclasses import dataclass

from invented.chance import SOURCE, Cell, Chance, Row

SHEAR_MODULUS = 78_500.0  # MPa
DENSITY = 7.85e-3  # g/mm3
LBF_PER_INCH = 0.17512683524647636  # N/mm
END_TURNS, KEPT_FREE = 1.5, 2.0
STOCKS: tuple[Cell, ...] = ("", 0, 1, 1, 2, 3)
MAKERS = {36.0: "Loddenby", 38.5: "Hamblerigg"}


@dataclass(frozen=True)
class Series:
    """Springs of one inner diameter, travel and free length, in mm; rates in lbf/in."""

    code: str
    inner: float
    travel: float
    free: float
    rates: tuple[int, int]


SERIES = (
    Series("S36-54", 36.0, 54.0, 110.0, (400, 700)),
    Series("S36-66", 36.0, 66.5, 128.0, (350, 575)),
    Series("S38-66", 38.5, 66.5, 128.0, (325, 550)),
    Series("S38-78", 38.5, 78.0, 146.0, (300, 475)),
)


def wire(rate: float, series: Series) -> float:
    """Wire diameter in mm with which the coils just fit the free length, by bisection."""
    solid = series.free - series.travel - KEPT_FREE
    low, high = 4.0, 16.0
    for _ in range(60):
        d = (low + high) / 2
        turns = solid / d - END_TURNS
        got = SHEAR_MODULUS * d**4 / (8 * (series.inner + d) ** 3 * turns)
        low, high = (d, high) if got < rate else (low, d)
    return (low + high) / 2


def rows() -> list[Row]:
    out: list[Row] = []
    for series in SERIES:
        first, last = series.rates
        for rate in range(first, last + 1, 25):
            number = f"{series.code}-{rate}"
            chance = Chance("spring", number)
            d = wire(rate * LBF_PER_INCH, series)
            turns = (series.free - series.travel - KEPT_FREE) / d
            metal = math.pi * d * d / 4 * math.pi * (series.inner + d) * turns
            out.append({
                "part_number": number, "maker": MAKERS[series.inner], "rate_lbf_per_in": rate,
                "inner_diameter_mm": series.inner,
                "outer_diameter_mm": round(series.inner + 2 * d, 1),
                "free_length_mm": series.free, "usable_travel_mm": series.travel,
                "mass_g": "" if chance.happens(0.06) else round(metal * DENSITY),
                "price": chance.between(35, 60, 5) + (25 if series.inner > 38 else 0)
                + (25 if series.travel > 70 else 0),
                "supplier": chance.pick(("Skarrowdale Workshop", "Ostlin Pryce Wholesale")),
                "stock": chance.pick(STOCKS),
                "delivery_days": chance.between(1, 8, 1),
                "source": SOURCE,
            })  # fmt: skip
    return out
