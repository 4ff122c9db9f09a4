"""Overall tyre diameters against ISO 5775-1 [B, in paraphrase]."""

import pytest

from recommender.mechanics import clearance


@pytest.mark.parametrize(
    ("width", "bead_seat", "overall"),
    [
        (57, 622, 736),  # ISO 5775-1, printed [B]
        (61, 584, 706),  # ISO 5775-1, printed [B]
        (37, 622, 696),  # bead seat + 2 W [D]
        (54, 559, 667),  # bead seat + 2 W [D]
        (60, 507, 627),  # bead seat + 2 W [D]
        (25, 622, 677),  # below 28 mm the section is 2.5 mm higher than wide [B]
    ],
)
def test_overall_diameter(width: float, bead_seat: float, overall: float) -> None:
    diameter = clearance.tyre_diameter(bead_seat / 1000, width / 1000)
    assert float(diameter) * 1000 == pytest.approx(overall, abs=1e-9)
