"""Air chambers that a real shock could have.

Standing of the choices: piston area 1300 to 1900 mm2, volume ratio 2.2 to 3.2, a negative chamber
of 0.55 to 0.75 of the piston's area that equalises 3 to 6 mm into the stroke: all from memory
[mem]. Pressure in psi near the rider's weight in lbf, within about a quarter: common practice [cp].
The test bike is one whose leverage falls in a line from 2.86 to 2.34, rider 80 kg, sag 30 %.

Chambers are drawn until both checks pass, so that the rows differ without one being impossible.
Millimetres and newtons here, so pressures are in MPa.
"""

from dataclasses import dataclass

from invented.chance import Chance

ATMOSPHERE = 0.101325  # MPa
PSI = 0.006894757293168  # MPa
WHEEL_FORCE = (0.60 * 80 + 5) * 9.80665  # N: rear share of the rider, rear sprung mass of the bike
RATIO_AT_SAG = 2.86 - (2.86 - 2.34) * 0.30
SAG = 0.30
WEIGHT_LBF = 80 / 0.45359237
CLOSENESS = 0.15  # leaves bikes of 2.4 to 2.8 mean leverage within a quarter
LEAST_EXTENDED = 40.0  # N left to push the shock out unladen, over seal friction [mem]


@dataclass(frozen=True)
class Chambers:
    """Areas in mm2, volumes in mm3, equalising point in mm."""

    area: float
    volume: float
    negative_area: float
    negative_volume: float
    equalise_at: float

    def force(self, gauge: float, x: float) -> float:
        """Slow force at compression x for a gauge fill pressure in MPa, N."""
        absolute = gauge + ATMOSPHERE
        positive = absolute * self.volume / (self.volume - self.area * x)
        at = self.equalise_at
        level = absolute * self.volume / (self.volume - self.area * at)
        shared = level * (self.negative_volume + self.negative_area * at)
        negative = shared / (self.negative_volume + self.negative_area * x)
        return self.area * (positive - ATMOSPHERE) - self.negative_area * (negative - ATMOSPHERE)

    def psi_for(self, force: float, x: float) -> float:
        """Fill pressure with which the force at x is `force`: it is linear in the pressure."""
        least, one_more = self.force(0.0, x), self.force(1.0, x)
        return (force - least) / (one_more - least) / PSI

    def sound(self, stroke: float, psi_min: float, psi_max: float) -> bool:
        unladen = min(self.force(psi * PSI, 0.0) for psi in (psi_min, psi_max))
        psi = self.psi_for(WHEEL_FORCE * RATIO_AT_SAG, SAG * stroke)
        return unladen >= LEAST_EXTENDED and abs(psi / WEIGHT_LBF - 1) <= CLOSENESS

    def most_spacers(self, stroke: float, spacer: float) -> int:
        """How many spacers (mm3 each) until the volume ratio would pass 4.5 [mem], 5 at most."""
        swept = self.area * stroke
        return max(0, min(5, int((self.volume - swept * 4.5 / 3.5) / spacer)))


def draw(chance: Chance, stroke: float, psi_min: float, psi_max: float) -> Chambers:
    """Sound chambers for a stroke in mm, in the steps a maker's sheet would print."""
    while True:
        area = chance.between(1300, 1900, 10)
        ratio = chance.between(2.2, 3.2, 0.05)
        volume = round(area * stroke * ratio / (ratio - 1) / 1000) * 1000.0
        negative_area = round(area * chance.between(0.55, 0.75, 0.01) / 10) * 10.0
        equalise_at = chance.between(3, 6, 0.5)
        share = chance.between(0.10, 0.24, 0.01)
        negative_volume = max(1, round(negative_area * equalise_at / share / 1000)) * 1000.0
        chambers = Chambers(area, volume, negative_area, negative_volume, equalise_at)
        held = volume / (volume - area * stroke)
        if 2.2 <= held <= 3.2 and chambers.sound(stroke, psi_min, psi_max):
            return chambers
