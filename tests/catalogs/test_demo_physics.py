"""The demonstration catalogue is physically sound.

The arithmetic here is the tests' own: nothing of the program's mechanics or of the script is used.
Its worked example is checked first. Standings: [cp] common practice, [mem] from memory, D closed
form.
"""

import math

import pytest

from .tables import SHOCKS, SPRINGS, number, rows

PSI, ATMOSPHERE = 6894.757293168, 101_325.0  # Pa, NIST SP 811 and the standard atmosphere


class Gas:
    """The air spring's slow force, SI, gauge pressures; absolute inside, ideal gas, n = 1."""

    def __init__(self, area: float, volume: float, negative: float, small: float, at: float):
        self.area, self.volume, self.negative, self.small, self.at = (
            area * 1e-6, volume * 1e-6, negative * 1e-6, small * 1e-6, at * 1e-3,
        )  # fmt: skip

    def force(self, gauge: float, x: float) -> float:
        p0 = gauge + ATMOSPHERE
        main = p0 * self.volume / (self.volume - self.area * x)
        even = p0 * self.volume / (self.volume - self.area * self.at)
        other = even * (self.small + self.negative * self.at) / (self.small + self.negative * x)
        return self.area * (main - ATMOSPHERE) - self.negative * (other - ATMOSPHERE)

    def psi_at(self, force: float, x: float) -> float:
        low, high = 0.0, 1000 * PSI
        for _ in range(200):
            middle = (low + high) / 2
            low, high = (middle, high) if self.force(middle, x) < force else (low, middle)
        return low / PSI


def ratio_at_sag(mean: float) -> float:
    """Leverage at 30 % of the stroke, falling in a line by a fifth of its mean."""
    return mean * (1.1 - 0.2 * 0.30)


def test_own_arithmetic_gives_the_worked_example() -> None:
    """D: A 1700 mm2, V0 150 cm3, A_n 1200, V_n0 30, x_eq 4; 80 kg, ratio 2.86 to 2.34, 30 %."""
    gas = Gas(1700, 150, 1200, 30, 4)
    force = (0.6 * 80 + 5) * 9.80665 * ratio_at_sag(2.6)
    assert force == pytest.approx(1405.4, abs=0.1)
    assert gas.psi_at(force, 0.015) == pytest.approx(171.1, abs=0.05)
    assert gas.force(171.1 * PSI, 0.0) == pytest.approx(259, abs=0.5)
    weak = Gas(1700, 150, 1500, 30, 4)
    assert weak.force(198.3 * PSI, 0.0) == pytest.approx(-293, abs=0.5)


CHAMBER = ("piston_area_mm2", "chamber_cm3", "negative_area_mm2", "negative_chamber_cm3",
           "equalise_at_mm")  # fmt: skip
AIR = [row for row in SHOCKS if row["spring_kind"] == "air" and all(row[c] for c in CHAMBER)]


def test_nearly_all_air_shocks_tell_their_chambers() -> None:
    assert len(AIR) >= 0.8 * sum(row["spring_kind"] == "air" for row in SHOCKS)


@pytest.mark.parametrize("row", AIR, ids=lambda row: row["part_number"])
def test_an_air_shock_is_sound(row: dict[str, str]) -> None:
    area, volume, *others = (number(row[name]) for name in CHAMBER)
    gas, stroke = Gas(area, volume, *others), number(row["stroke_mm"])
    assert 1300 <= area <= 1900
    assert 2.2 <= volume / (volume - area * stroke / 1000) <= 3.2
    low = number(row["pressure_min_psi"] or "50")
    high = number(row["pressure_max_psi"] or "350")
    assert 50 <= low <= 80 < 275 <= high <= 350
    assert min(gas.force(low * PSI, 0.0), gas.force(high * PSI, 0.0)) >= 0
    for mean in (2.4, 2.6, 2.8):  # pressure in psi near body weight in lbf, within a quarter [cp]
        force = (0.6 * 80 + 5) * 9.80665 * ratio_at_sag(mean)
        psi = gas.psi_at(force, 0.30 * stroke / 1000)
        assert 0.75 <= psi / (80 / 0.45359237) <= 1.25
    if row["volume_spacer_cm3"] and row["volume_spacers_max"]:
        left = volume - number(row["volume_spacer_cm3"]) * number(row["volume_spacers_max"])
        assert left - area * stroke / 1000 > 0


@pytest.mark.parametrize("row", SPRINGS, ids=lambda row: row["part_number"])
def test_a_spring_obeys_the_spring_formula(row: dict[str, str]) -> None:
    """D: k = G d^4 / (8 D^3 N), steel, G 78.5 GPa, one and a half dead turns [mem].

    The turns that fit between free length and usable travel must give the rate printed on it.
    """
    inner, outer = number(row["inner_diameter_mm"]), number(row["outer_diameter_mm"])
    wire = (outer - inner) / 2
    turns = (number(row["free_length_mm"]) - number(row["usable_travel_mm"]) - 2) / wire - 1.5
    rate = 78_500 * wire**4 / (8 * (inner + wire) ** 3 * turns)
    assert rate / 0.17512683524647636 == pytest.approx(number(row["rate_lbf_per_in"]), rel=0.06)
    if row["mass_g"]:
        metal = math.pi * wire**2 / 4 * math.pi * (inner + wire) * (turns + 1.5)
        assert metal * 7.85e-3 == pytest.approx(number(row["mass_g"]), rel=0.04)


def collar_takes(shock: dict[str, str], spring: dict[str, str]) -> bool:
    play = number(spring["inner_diameter_mm"]) - number(shock["spring_seat_mm"])
    free = number(spring["free_length_mm"])
    low, high = (shock[f"spring_length_{end}_mm"] for end in ("min", "max"))
    return 0 <= play <= 0.6 and bool(low and high) and number(low) <= free <= number(high)


def test_every_coil_shock_has_a_spring_and_some_springs_bind() -> None:
    good: set[str] = set()
    binding: set[str] = set()
    coils = [r for r in SHOCKS if r["spring_kind"] == "coil" and r["spring_length_max_mm"]]
    for shock in coils:
        if not shock["collar_pitch_mm"] or "266.7" in shock["length_mm"]:
            continue  # no spring is sold for the longest stroke: that shock needs one made
        preload = number(shock["collar_pitch_mm"]) * number(shock["preload_turns_min"])
        for spring in SPRINGS:
            if collar_takes(shock, spring):
                travel = number(spring["usable_travel_mm"])
                enough = travel >= number(shock["stroke_mm"]) + preload
                (good if enough else binding).add(shock["part_number"])
    told = {
        r["part_number"] for r in coils if r["collar_pitch_mm"] and "266.7" not in r["length_mm"]
    }
    assert good == told
    assert len(binding) >= 3


def test_rates_run_in_steps_of_25() -> None:
    rates = {number(row["rate_lbf_per_in"]) for row in SPRINGS}
    assert rates == set(range(300, 701, 25))
    assert len({row["inner_diameter_mm"] for row in SPRINGS}) == 2
    assert len({row["usable_travel_mm"] for row in SPRINGS}) == 3


def test_the_usual_need_lies_in_the_medium_class() -> None:
    """D: 2951 to 5902 N s/m are the need of the worked example for ratios of 0.25 to 0.50."""
    classes = {row["tune_class"]: row for row in rows("tune_classes")}
    assert list(classes) == ["light", "medium", "firm"]
    medium = classes["medium"]
    assert number(medium["rebound_low_n_s_per_m"]) <= 2951
    assert number(medium["rebound_high_n_s_per_m"]) >= 5902
    for row in classes.values():
        assert row["standing"] == "assumed"
        assert (row["shaft_speed_low_m_per_s"], row["shaft_speed_high_m_per_s"]) == ("0.1", "0.25")
    tastes = {r["taste"]: (r["rebound_ratio"], r["compression_ratio"]) for r in rows("tastes")}
    assert tastes == {
        "plush": ("0.3", "0.12"), "neutral": ("0.37", "0.17"), "firm": ("0.45", "0.22"),
    }  # fmt: skip
