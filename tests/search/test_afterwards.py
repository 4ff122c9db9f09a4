"""What is on the bike afterwards is weighed, what waits for what is waited for, and what nobody
told is unknown: sums of mass, price and days on the smallest catalogue that shows them."""

from typing import Any

import pytest

from recommender.certificate.way import Ways
from recommender.facts.tables import JOBS
from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import STATES
from tests.catalogue import build
from tests.search import tables
from tests.search.test_pinned import BIKE, RIDER, air, usual

SLEEVE: dict[str, Any] = {
    "width_mm": 22, "bore_mm": 8, "diameter_mm": 12.7, "condition": "good", "mass_g": 30,
}  # fmt: skip


def states(
    catalogue: Any, now: dict[str, Any] | None = None, room: dict[str, Any] | None = None,
    **musts: Any,
) -> list[str]:  # fmt: skip
    """State of the catalogue's shock, and of the fitted one; the checker's reading agrees."""
    bike = BIKE | ({} if now is None else {"present_shock": now})
    bike |= {} if room is None else {"room": room}
    wishes = {name: {"must": must} for name, must in musts.items()}
    question = tables.question(bike, RIDER, wishes)
    market = open_market(question, catalogue)
    found = [STATES[int(one)] for one in judge(market, question.wishes).state]
    ways = Ways(market, question.wishes)
    for shock, state in enumerate(found):
        sets = [
            {int(one) for way in ways.of(shock) for one in _every(way, certain)}
            for certain in (False, True)
        ]
        told = "fits" if 0 in sets[0] else "open" if 0 in sets[1] else "ruled out"
        assert told == state
    return found


def _every(way: Any, certain: bool) -> Any:
    from recommender.certificate.combine import least_broken

    return least_broken(way, certain)


def kept(catalogue: Any, now: dict[str, Any], **musts: Any) -> str:
    return states(catalogue, now, **musts)[1]


def fitted(facts: dict[str, Any], **changed: Any) -> dict[str, Any]:
    facts = {name: cell for name, cell in facts.items() if cell is not None}
    return {"facts": facts, "condition": "good", "head_sleeve": SLEEVE, "shaft_sleeve": SLEEVE,
            **changed}  # fmt: skip


@pytest.mark.parametrize(
    ("spring", "expected"), [(420, "ruled out"), (300, "fits"), (None, "open")]
)
def test_the_spring_of_a_kept_coil_shock_is_weighed(spring: Any, expected: str) -> None:
    """A bare shock of 400 g with two sleeves of 30 g leaves 340 of 800 g for its spring."""
    facts = build.coil_shock("A", stroke_settings_mm="", mass_g=400)
    now = fitted(facts, spring_rate_n_per_mm=93, spring_mass_g=spring)
    catalogue = usual(shocks=air(), kits=[])
    assert kept(catalogue, now, spring_kind="coil") == "fits"
    assert kept(catalogue, now, mass_g=800) == expected


@pytest.mark.parametrize(
    ("outer", "expected"), [(None, "fits"), (54, "fits"), (56, "ruled out"), ("55 +/- 2", "open")]
)
def test_the_spring_of_a_kept_coil_shock_takes_room(outer: Any, expected: str) -> None:
    """30 mm about the axis, 3 of them clearance: a coil of 54 mm. Untold it has room where it is.
    """
    body = {name: 20 for name in build.shock() if name.startswith("body_")}
    now = fitted(
        build.coil_shock("A", stroke_settings_mm="", **body), spring_rate_n_per_mm=93,
        spring_outer_diameter_mm=outer,
    )  # fmt: skip
    room = {name.removeprefix("body_"): 30 for name in body} | {"measured": "whole travel"}
    catalogue = usual(shocks=air(), kits=[])
    assert states(catalogue, now, room, spring_kind="coil")[1] == expected


@pytest.mark.parametrize(("sleeve", "expected"), [(30, "fits"), (55, "ruled out"), (None, "open")])
def test_reused_sleeves_are_weighed(sleeve: Any, expected: str) -> None:
    """A shock of 400 g leaves 100 g of 500 g for both."""
    own = {**SLEEVE, "mass_g": sleeve}
    now = fitted(air(mass_g=400)[0], head_sleeve=own, shaft_sleeve=own, volume_spacers=0)
    assert kept(usual(kits=[]), now, mass_g=500) == expected


def test_a_bought_shock_comes_before_it_is_revalved() -> None:
    """5 days to come, 2 to the workshop, 6 there, and the day of fitting."""
    wrong = air(rebound_class="firm", compression_class="light", delivery_days=5)
    right = build.service("S", rebound_class="medium", compression_class="medium",
                          delivery_days=2, work_days=6)  # fmt: skip
    catalogue = usual(shocks=wrong, services=[right])
    assert states(catalogue) == ["fits"]
    assert states(catalogue, days=14) == ["fits"]
    assert states(catalogue, days=13) == ["ruled out"]


def test_a_shock_that_is_there_goes_to_the_workshop_at_once() -> None:
    wrong = air(rebound_class="firm", compression_class="light", delivery_days=5)
    right = build.service("S", rebound_class="medium", compression_class="medium",
                          delivery_days=2, work_days=6)  # fmt: skip
    now = fitted(wrong[0], volume_spacers=0)
    catalogue = usual(shocks=wrong, services=[right], kits=[])
    assert kept(catalogue, now, days=9) == "fits"
    assert kept(catalogue, now, days=8) == "ruled out"


def jobs(**changed: Any) -> list[dict[str, Any]]:
    return [
        {"job": job, "place": "workshop", "price": 25, "currency": "EUR", "work_days": 0,
         **(changed if job == "fit shock" else {})}
        for job in JOBS
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("price", "budget", "expected"),
    [("unknown", 165, "open"), ("unknown", 130, "ruled out"), ("25 +/- 5", 165, "open"),
     ("25 +/- 5", 159, "ruled out"), ("25 +/- 5", 171, "fits")],
)  # fmt: skip
def test_a_job_that_nobody_priced_may_cost_anything(
    price: Any, budget: float, expected: str
) -> None:
    """100 for the shock and 40 for two kits; what fitting them costs is not told."""
    assert states(usual(jobs=jobs(price=price)), budget=budget) == [expected]


def test_days_of_a_job_that_nobody_told_may_be_many() -> None:
    shocks = air(delivery_days=3)
    assert states(usual(shocks=shocks, jobs=jobs(work_days=2)), days=6) == ["fits"]
    assert states(usual(shocks=shocks, jobs=jobs(work_days=2)), days=5) == ["ruled out"]
    assert states(usual(shocks=shocks, jobs=jobs(work_days="unknown")), days=30) == ["open"]


@pytest.mark.parametrize(
    ("basis", "expected"),
    [("rider", "fits"), ("rider with kit", "ruled out"), ("whole system", "ruled out"),
     ("unknown", "open"), (None, "ruled out")],
)  # fmt: skip
def test_a_shocks_mass_limit_is_judged_on_its_own_basis(basis: Any, expected: str) -> None:
    """78 kg: body 75, with kit 80, with the bike 95 kg. Blank is the rider with kit."""
    word = "" if basis == "unknown" else basis
    assert states(usual(shocks=air(rider_mass_limit_kg=78, rider_mass_limit_basis=word))) == [
        expected
    ]
