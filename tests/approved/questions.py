"""Seeded questions over small catalogues in which several shocks, kits and revalves contend."""

import random
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from recommender.answer.answer import Case
from tests.search import random_market
from tests.search import random_parts as parts

WORDS = ("ash", "birch", "cedar", "elm", "fir", "hazel", "larch", "maple", "oak", "pine", "rowan",
         "yew")  # fmt: skip
ORDERED = (6, 33)
SEEDS = (1, 2, 3, 5, 41, 46, 73, 94, 97)
DOUBTFUL = (2, 4, 9, 19, 20)
"""Of many those that together go most ways through the code in least time."""
CELLS = [(name, cell) for name, cells in random_market.CELLS.items() for cell in cells]
CELLS += [("bike", cell) for cell in random_market.BIKE_CELLS]
CELLS += [("rider", cell) for cell in random_market.RIDER_CELLS]
OF_PARTS = [(name, cell) for name, cell in CELLS if name in ("shocks", "kits", "springs")]


def raw(
    seed: int, shocks: int, loose: int, cells: Sequence[tuple[str, str]] = CELLS
) -> random_market.Case:
    """A case of that many shocks, its rows in no order, so many of its cells not exactly known."""
    rng = random.Random(seed)
    case = random_market.base(rng)
    bike = case.bike
    trunnion = bike["mount"] == "trunnion"
    gaps, bolts = ([bike[end][name] for end in ("head", "shaft")] for name in ("gap_mm", "bolt_mm"))
    sizes = [(one["length_mm"], one["stroke_ceiling_mm"]) for one in bike["sizes"]]
    made: dict[str, list[dict[str, Any]]] = {
        "shocks": [parts.shock(rng, "", trunnion, sizes) for _ in range(shocks)],
        "kits": [parts.kit(rng, "", k % 2, trunnion, gaps, bolts) for k in range(6)],
        "services": [parts.service(rng, "") for _ in range(3)],
        "springs": [parts.spring(rng, "") for _ in range(4)],
    }
    for name, rows in made.items():
        key = "service_number" if name == "services" else "part_number"
        for row, word in zip(rows, rng.sample(WORDS, len(rows)), strict=True):
            row[key] = f"{name[:2]} {word}"
    if rng.random() < 0.3:
        made["kits"][0]["pairs_with"] = made["kits"][rng.randrange(1, 6)]["part_number"]
    now = bike.get("present_shock", {})
    if "part_number" in now:
        now["part_number"] = made["shocks"][0]["part_number"]
    case = replace(case, tables={**case.tables, **made}, wishes=case.wishes | preferred(rng))
    for _ in range(loose):
        how = rng.choice(("blank", "measured"))
        name, cell = rng.choice(cells)
        case = random_market.twisted(
            case, name, cell, rng.randrange(8), how, rng.choice((0.05, 0.4, 2.0))
        )
    return case


def preferred(rng: random.Random) -> dict[str, Any]:
    """Wishes that count in the order and turn nothing down."""
    offers = {"sag_percent": [29, 31], "travel_mm": [128, 132], "budget": 400, "mass_g": 480,
              "days": 4, "reserve_mm": 95, "tune": "medium", "spring_kind": "air"}  # fmt: skip
    weights = (0.25, 0.5, 1.0, 2.0)
    return {name: {"prefer": offers[name], "weight": rng.choice(weights)}
            for name in rng.sample(sorted(offers), 3)}  # fmt: skip


def case(seed: int) -> Case:
    """The seed tells how many cells are not exactly known, too: none to five."""
    return Case(*raw(seed, shocks=4, loose=seed % 6).open())


def doubtful(seed: int) -> Case:
    """Eight cells of the parts are not exactly known, and nothing else."""
    return Case(*raw(seed, shocks=3, loose=8, cells=OF_PARTS).open())


def ordered(seed: int) -> Case:
    """Suppliers want orders of some size and have few pieces; what parts cost is not all known."""
    rng = random.Random(seed)
    prices = [(name, cell) for name, cell in CELLS if cell == "price" and name != "jobs"]
    made = raw(seed, shocks=3, loose=5, cells=prices)
    tables = {name: [dict(row) for row in rows] for name, rows in made.tables.items()}
    for row in tables["suppliers"]:
        row["order_minimum"] = rng.choice((40, 110, 330))
    for row in (*tables["kits"], *tables["shocks"]):
        row["stock"] = rng.choice((None, 1, 2))
    asked = {**made.wishes, "budget": {"must": rng.choice((500, 700, 900))}}
    return Case(*replace(made, wishes=asked, tables=tables).open())
