"""Helical springs against worked examples of machine design textbooks."""

import math

import pytest

from recommender.facts.units import INCH, LBF_PER_INCH, PSI
from recommender.mechanics import coil


def test_shigley_example_10_1() -> None:
    # Shigley's Mechanical Engineering Design, 10th ed., Example 10-1 [B]: d .037, D .400 in,
    # 10.5 active coils, G 11.85 Mpsi: k = 4.13 lbf/in.
    rate = coil.helical_rate(0.037 * INCH, 0.400 * INCH, 10.5, 11.85e6 * PSI)
    assert round(float(rate) / LBF_PER_INCH, 2) == 4.13


def test_shigley_problem_10_3() -> None:
    # Shigley 10th ed., problem 10-3 and its solution [A]: music wire 2.5 mm, outside diameter
    # 31 mm, plain ground ends, 14 coils, G 81 GPa: k 1.314 N/mm, solid 35 mm, 167.9 N to solid.
    rate = coil.helical_rate(0.0025, 0.0285, 13, 81e9)
    solid = coil.solid_length(0.0025, 14)
    assert round(float(rate) / 1000, 3) == 1.314
    assert float(solid) == pytest.approx(0.035)
    # The force to solid follows in the book from yield in torsion: S_ut = 2211 / d^0.145,
    # S_sy = 0.45 S_ut, Bergstraesser's factor [table constants C]. With it the free length is
    # 162.8 mm [C]; closing the spring from there must ask for that force, to within the tenths
    # of a millimetre and of a newton that are printed.
    index = 28.5 / 2.5
    yield_stress = 0.45 * 2211 / 2.5**0.145
    factor = (4 * index + 2) / (4 * index - 3)
    to_solid = math.pi * 2.5**3 * yield_stress / (8 * factor * 28.5)
    assert round(to_solid, 1) == 167.9
    assert float(coil.force(rate, 0.0, 0.1628 - solid)) == pytest.approx(167.9, abs=0.12)


def test_bhandari_example_10_6() -> None:
    # Bhandari, Design of Machine Elements, Example 10.6 [B]: d 20, D 120 mm, 13 coils,
    # G 81 370 MPa: 72.4448 N/mm.
    rate = coil.helical_rate(0.020, 0.120, 13, 81_370e6)
    assert float(rate) / 1000 == pytest.approx(72.4448, abs=5e-5)
