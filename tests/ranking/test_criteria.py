"""What is valued, by which points and how much: the whole table, read off the wishes by hand.

Breakpoints without a wish behind them are the product's own [cp].
"""

from typing import Any

import numpy as np
import pytest

from recommender.answer.answer import Case
from recommender.facts.problems import BadInput
from recommender.facts.wishes import Wishes
from recommender.ranking import criteria as module
from recommender.ranking.criteria import Criterion, criteria
from recommender.ranking.variety import variety
from recommender.ranking.weights import weighed
from tests.catalogue import build
from tests.explain.markets import asked
from tests.ranking.test_order import case

Points = tuple[tuple[float, float], ...]
YES: Points = ((0, 0), (1, 1))
PLAIN: dict[str, tuple[str, str, Points, float]] = {
    "price": ("price", "EUR", ((0, 1), (1200, 0)), 1),
    "mass": ("mass", "g", ((200, 1), (1400, 0)), 1),
    "days": ("days", "days", ((0, 1), (21, 0)), 1),
    "work needed": ("workshop", "workshop jobs", ((0, 1), (3, 0)), 1),
    "sag": ("sag_percent", "%", ((25, 0), (30, 1), (35, 0)), 1),
    "bottom-out reserve": ("reserve_mm", "mm", ((0, 0), (150, 1)), 1),
    "pressure headroom": ("pressure_headroom", "share", ((0, 0), (0.5, 1)), 0.5),
    "place in the rebound range": ("rebound_off_middle", "share", ((0, 1), (1, 0)), 0.5),
    "place in the compression range": ("compression_off_middle", "share", ((0, 1), (1, 0)), 0.5),
    "tyre gap to spare": ("tyre_gap_spare_mm", "mm", ((0, 0), (6, 1)), 0.5),
    "room to spare": ("body_air_spare_mm", "mm", ((0, 0), (5, 1)), 0.5),
    "head hardware play": ("head_play_mm", "mm", ((0, 1), (0.5, 0)), 0.25),
    "shaft hardware play": ("shaft_play_mm", "mm", ((0, 1), (0.5, 0)), 0.25),
    "certainty": ("doubt", "open rules", ((0, 1), (4, 0)), 2),
}  # fmt: skip
STATED: list[tuple[dict[str, Any], str, Points, float]] = [
    ({"budget": {"must": 700, "prefer": 450}}, "price", ((0, 1), (450, 0.6), (700, 0)), 1),
    ({"budget": {"must": 700}}, "price", ((0, 1), (700, 0.6), (1050, 0)), 1),
    ({"budget": {"prefer": 400, "weight": 3}}, "price", ((0, 1), (400, 0.6), (600, 0)), 3),
    ({"budget": {"must": 300, "prefer": 400}}, "price", ((0, 1), (400, 0.6), (600, 0)), 1),
    ({"budget": {"must": 0}}, "price", ((0, 1), (1e-6, 0.6), (1.5e-6, 0)), 1),
    ({"mass_g": {"prefer": 500, "weight": 2}}, "mass", ((0, 1), (500, 0.6), (750, 0)), 2),
    ({"days": {"must": 10, "weight": 4}}, "days", ((0, 1), (10, 0.6), (15, 0)), 4),
    ({"no_workshop": {"prefer": True, "weight": 5}}, "work needed", ((0, 1), (3, 0)), 5),
    ({"travel_mm": {"must": [120, 150]}}, "travel", ((110, 0), (120, 1), (150, 1), (160, 0)), 1),
    ({"travel_mm": {"prefer": [130, 130], "weight": 2}}, "travel",
     ((120, 0), (130, 1), (140, 0)), 2),
    ({"travel_mm": {"prefer": {"low": 120}}}, "travel",
     ((110, 0), (120, 1), (1e4, 1), (1e4 + 10, 0)), 1),
    ({"travel_mm": {"prefer": {"high": 150}}}, "travel", ((-10, 0), (0, 1), (150, 1), (160, 0)), 1),
    ({"sag_percent": {"prefer": [26, 30]}}, "sag", ((21, 0), (26, 1), (30, 1), (35, 0)), 1),
    ({"sag_percent": {"must": [20, 40]}, "sag_target_percent": 22}, "sag",
     ((17, 0), (22, 1), (27, 0)), 1),
    ({"sag_target_percent": 20}, "sag", ((20, 0), (25, 1), (30, 0)), 1),
    ({"sag_target_percent": 40}, "sag", ((30, 0), (35, 1), (40, 0)), 1),
    ({"reserve_mm": {"must": 80, "weight": 2}}, "bottom-out reserve", ((0, 0), (80, 1)), 2),
    ({"reserve_mm": {"prefer": 0}}, "bottom-out reserve", ((0, 0), (1, 1)), 1),
    ({"spring_kind": {"prefer": "coil", "weight": 2}}, "spring kind", YES, 2),
    ({"adjusters": {"prefer": ["rebound"]}}, "adjusters", YES, 1),
    ({"tune": {"must": "firm"}}, "tune", YES, 1),
    ({"lockout": {"prefer": "none"}}, "lockout", YES, 1),
    ({"remote": {"prefer": False}}, "remote", YES, 1),
    ({"weights": {"certainty": 3}}, "certainty", ((0, 1), (4, 0)), 3),
]  # fmt: skip
FACTS = {
    "travel": "travel_mm", "spring kind": "spring_kind_met", "adjusters": "adjusters_met",
    "tune": "tune_met", "lockout": "lockout_met", "remote": "remote_met",
}  # fmt: skip


def test_the_plain_table_in_its_order() -> None:
    made = {one.name: (one.fact, one.unit, one.points, one.weight) for one in criteria(Wishes())}
    assert list(made) == list(PLAIN)
    assert made == PLAIN


@pytest.mark.parametrize(("wishes", "name", "points", "weight"), STATED, ids=str)
def test_a_wish_moves_its_own_points(
    wishes: dict[str, Any], name: str, points: Points, weight: float
) -> None:
    made = {one.name: one for one in criteria(Wishes.model_validate(wishes))}
    np.testing.assert_allclose(made[name].points, points, rtol=1e-12)
    assert made[name].weight == weight
    if name in FACTS:
        assert made[name].fact == FACTS[name]
    # A wish of the shock's own is scored only where it is stated; all else stays as it was.
    assert set(made) == set(PLAIN) | {name}
    for other in set(PLAIN) - {name}:
        assert (made[other].points, made[other].weight) == PLAIN[other][2:]


def test_a_tune_by_the_numbers_is_no_word_to_score() -> None:
    wishes = Wishes.model_validate({"tune": {"prefer": "by the numbers"}})
    assert [one.name for one in criteria(wishes)] == list(PLAIN)


def test_nothing_weighed_at_nothing_is_told() -> None:
    wishes = Wishes.model_validate({"mass_g": {"weight": 0}, "weights": {"certainty": 0}})
    assert [one.name for one in criteria(wishes)] == [
        name for name in PLAIN if name not in ("mass", "certainty")
    ]
    with pytest.raises(BadInput, match="nearest: certainty"):
        criteria(Wishes.model_validate({"weights": {"certanty": 1}}))
    # What a wish is about is weighed at the wish.
    with pytest.raises(BadInput, match=r"accepted: .*certainty"):
        criteria(Wishes.model_validate({"weights": {"price": 1}}))


def test_values_between_and_beyond_the_points() -> None:
    made = {one.name: one for one in criteria(Wishes())}
    assert made["price"].value([0, 300, 1200, 5000]).tolist() == [1, 0.75, 0, 0]
    # What cannot be computed counts as nothing, which is worth what nothing is worth.
    assert float(made["bottom-out reserve"].value(np.nan)) == 0
    assert float(made["sag"].value(27.3456789)) == 0.469136


@pytest.mark.parametrize(
    ("weight", "accepted"), [(0.0, True), (100.0, True), (-0.01, False), (100.01, False),
                             (float("nan"), False), (float("inf"), False)],
)  # fmt: skip
def test_the_bounds_of_a_weight(weight: float, accepted: bool) -> None:
    for name in ("price", "certainty"):
        if accepted:
            made = {one.name: one.weight for one in criteria(weighed(Wishes(), {name: weight}))}
            assert made.get(name, 0.0) == weight
        else:
            with pytest.raises(BadInput, match="0 to 100 is accepted"):
                weighed(Wishes(), {name: weight})


def test_each_reason_for_another_shock_is_met() -> None:
    """The best, the best of another spring and of another size, and the cheapest of all."""
    order = case().order
    market = order[0][0].bundle.whole.market
    found = {reason: one.bundle.whole.shock for reason, one in variety(order)}
    best = [one[0].bundle.whole.shock for one in order]
    springs = market.shocks.choice("spring_kind").codes
    lengths = market.shocks.number("length_mm").low
    sure = [one for some in order for one in some if one.bundle.sure]
    wanted = {
        best[0],
        next(one for one in best if springs[one] != springs[best[0]]),
        min(sure, key=lambda one: (one.price, one.key)).bundle.whole.shock,
    }
    assert found["the best"] == best[0]
    assert wanted <= set(found.values())
    assert any(lengths[one] != lengths[best[0]] for one in found.values()) == any(
        lengths[one] != lengths[best[0]] for one in best
    )


@pytest.mark.parametrize(("shock", "kit", "days"), [(0, 0, 0.0), (3, 0, 4.0), (2, 9, 10.0)])
def test_days_are_the_slowest_part_s_and_one_for_the_work(
    shock: int, kit: int, days: float
) -> None:
    """A part on the shelf takes no day, and then nor does the rest."""
    one = asked(shocks=[build.shock(delivery_days=shock)], kits=[build.kit(delivery_days=kit)])
    found = Case(one.question, one.catalogue).order[0][0]
    assert found.days == days
    assert {score.criterion.name: score.quantity for score in found.scores}["days"] == days


def test_what_is_weighed_at_nothing_unless_asked_for_may_be_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A criterion whose default weight is 0, as DEVELOPERS has it for what few ask for."""
    plain = module._of_comfort

    def more(wishes: Wishes) -> list[Criterion]:
        weight = wishes.weights.get("rarely asked", 0.0)
        rare = Criterion("rarely asked", "sag_mm", "mm", ((0, 0), (9, 1)), weight)
        return [*plain(wishes), rare]

    monkeypatch.setattr(module, "_of_comfort", more)
    assert "rarely asked" not in [one.name for one in criteria(Wishes())]
    wishes = weighed(Wishes(), {"rarely asked": 3})
    assert [one.weight for one in criteria(wishes) if one.name == "rarely asked"] == [3]
