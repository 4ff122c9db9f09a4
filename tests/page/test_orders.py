"""Order minimums on loose prices, travel on a loose curve: the page's states are the program's."""

import os
import random
from typing import Any

import pytest

from recommender.answer.answer import Case
from tests.catalogue import build
from tests.explain.markets import BIKE, CLASSES, Asked, asked
from tests.page.moving import columns, moved, random_move, told
from tests.page.test_engine import ANSWERS, paged
from tests.search import tables

LONG = os.environ.get("HYPOTHESIS_PROFILE") == "long"
RULED_OUT, WAITING = (0, 3), (16, 20)
"""Cases of which a price rules some shock out, or lets it wait: few do."""
SEEDS = range(60) if LONG else (*RULED_OUT, *WAITING)
MOVES = 10
SUPPLIERS = ("Barn Lane Parts", "Mill Yard")
WAITS = "fits, the choice waits for a measurement"


def ordered(rng: random.Random) -> Asked:
    """Two shocks and a few kits, one spring among them, of two suppliers; one asks for about as
    much an order as a shock costs, whose price is loose. Kits' prices are loose now and then."""
    usual, spread = rng.randint(120, 320), rng.choice((4, 12, 30))
    mine, other = {"supplier": SUPPLIERS[0]}, {"supplier": SUPPLIERS[1]}

    def kit(k: int) -> dict[str, Any]:
        price, loose = rng.choice((2, 5, 15, 25, 45)), rng.choice((0, 0, 2, 8))
        told = f"{max(price, loose)} +/- {loose}" if loose else price
        of = rng.choice((mine, mine, other))
        return build.kit(f"K-{k}", mass_g=rng.choice((20, 25, 30)), **of | {"price": told})

    make, loose = rng.choice((build.shock, build.shock, build.coil_shock)), f"{usual} +/- {spread}"
    shocks = [make("S-0", **mine | {"price": loose}),
              build.shock("S-1", **rng.choice((mine, other)) | {"price": f"{usual} +/- 5"})]
    springs = [build.spring("C-0", **mine | {"price": f"{rng.randint(20, 80)} +/- {spread / 2}"})]
    least = (usual + rng.randint(-spread, spread + 60), rng.choice((0, 0, 30)))
    suppliers = [
        {"supplier": name, "order_minimum": one}
        for name, one in zip(SUPPLIERS, least, strict=True)
    ]
    return asked(
        shocks=shocks, kits=[kit(k) for k in range(rng.randint(2, 4))], springs=springs,
        suppliers=suppliers, wishes={"budget": {"must": 900}},
    )  # fmt: skip


def states(engine: Any, made: Asked, moves: list[dict[str, Any]]) -> list[dict[str, str]]:
    """The page's states of every shock not ruled out, move by move; they are the program's."""
    one = paged(Case(made.question, made.catalogue))
    engine.evaluate("data => { globalThis.DATA = data; }", one.data)
    found = []
    for move, rows in zip(moves, engine.evaluate(ANSWERS, moves), strict=True):
        got = {row["key"]: row["state"] for row in rows}
        assert got == {row["key"]: row["state"] for row in told(moved(one.case, move))}, move
        found.append(got)
    return found


def moves_of(data: dict[str, Any], rng: random.Random, count: int) -> list[dict[str, Any]]:
    """Budgets about what bundles cost, now and then with other wishes moved as well."""
    weights = {one["name"]: one["weight"] for one in data["criteria"]}
    dearest = max(
        (columns(data, one["ways"][0]["groups"][0], "price")[2][0] for one in data["shocks"]),
        default=0.0,
    )
    moves = []
    for _ in range(count):
        wishes = random_move(data, rng)["wishes"]
        if rng.random() < 0.8:
            wishes = data["wishes"] | {"budget": wishes["budget"]}
        if rng.random() < 0.8:
            wishes["budget"]["must"] = dearest + rng.uniform(-5, 70)
        moves.append({"wishes": wishes, "weights": weights})
    return moves


@pytest.mark.parametrize("seed", SEEDS)
def test_orders_of_loose_prices_are_decided_as_the_program_decides(seed: int, engine: Any) -> None:
    rng = random.Random(seed)
    made = ordered(rng)
    data = paged(Case(made.question, made.catalogue)).data
    seen = {state for one in states(engine, made, moves_of(data, rng, MOVES))
            for state in one.values()}  # fmt: skip
    assert seed not in WAITING or WAITS in seen, "no shock was settled along a price"


def test_a_price_that_an_order_minimum_hangs_on_is_cut_as_finely_as_by_the_program(
    engine: Any,
) -> None:
    """The shock costs 288 to 312 EUR and its supplier wants 300 EUR an order. With the kit of 5
    from 295 on, with that of 13 beneath, some bundle is within 325 EUR at every price; within 317
    none is where the shock costs most, and within 312 at no price that meets the order."""
    supplier = build.SUPPLIERS[0]["supplier"]
    mine = {"supplier": supplier}
    made = asked(
        shocks=[build.shock(price="300 +/- 12", **mine)],
        kits=[build.kit("A", price=5, **mine), build.kit("B", price=13, mass_g=20, **mine)],
        suppliers=[{"supplier": supplier, "order_minimum": 300}], wishes={"budget": {"must": 900}},
    )  # fmt: skip
    data = paged(Case(made.question, made.catalogue)).data
    weights = {one["name"]: one["weight"] for one in data["criteria"]}
    moves = [
        {"wishes": data["wishes"] | {"budget": {"must": budget, "prefer": None}},
         "weights": weights}
        for budget in (331.0, 325.0, 317.0, 290.0)
    ]  # fmt: skip
    wanted = [{"AIR-1": "fits"}, {"AIR-1": WAITS}, {"AIR-1": "open"}, {}]
    assert states(engine, made, moves) == wanted


def test_a_curve_that_the_travel_hangs_on_is_cut_as_finely_as_by_the_program(engine: Any) -> None:
    """50 mm of stroke give 124 to 136 mm. Of the stroke's two settings the longer keeps within 122
    to 133 mm where the curve is low, the shorter where it is high; within 126 to 128 mm neither
    does where it is lowest."""
    curve = {"leverage": {"stroke_mm": 50, "travel_mm": "130 +/- 6"}}
    question = tables.question(BIKE | curve, {"mass_with_kit_kg": 80}, {"budget": {"must": 900}})
    catalogue = tables.catalogue(
        shocks=[build.shock()], kits=[build.kit()], services=[], springs=[], tune_classes=CLASSES,
        tastes=build.TASTES, jobs=build.ALL_JOBS, suppliers=build.SUPPLIERS,
    )  # fmt: skip
    made = Asked(question, catalogue)
    data = paged(Case(question, catalogue)).data
    weights = {one["name"]: one["weight"] for one in data["criteria"]}
    moves = [
        {"wishes": data["wishes"] | {"travel_mm": {"must": band, "prefer": None}},
         "weights": weights}
        for band in ([120, 140], [122, 133], [126, 128], [150, 160])
    ]  # fmt: skip
    wanted = [{"AIR-1": "fits"}, {"AIR-1": WAITS}, {"AIR-1": "open"}, {}]
    assert states(engine, made, moves) == wanted
