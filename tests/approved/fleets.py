"""Seeded small fleets, written as the files that a fleet is read from, over a small catalogue."""

import csv
import random
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from recommender.fleet.fleet import Fleet
from recommender.fleet.groups import fold
from recommender.fleet.reading import read_fleet
from recommender.fleet.task import Limits
from tests.approved.questions import WORDS
from tests.catalogue import build
from tests.search import random_market, tables
from tests.search import random_parts as parts

FLEETS: dict[str, tuple[int, dict[str, Any], bool]] = {
    "free": (16, {}, False),
    "kept": (17, {"on_hand": {"s hazel": 2}}, True),
    "limited": (15, {"budget": 2500.0, "in_stock": True}, False),
    "shared": (3, {"suppliers": 2, "share": 0.5}, False),
}
"""Name -> seed, limits, and whether fitted shocks that can serve are kept."""
MODELS = {"glade": (22.0, 22.0), "heath": (30.0, 22.0), "moor": (22.0, 30.0)}
SIZES = ((210.0, 50.0), (210.0, 55.0), (200.0, 51.0))
MASSES = ("60 to 85", "55 to 100", "75", "65 to 80")
RATES = {"rates": {"CHF": 1.05}}


def fleet(
    seed: int, folder: Path, limits: Mapping[str, Any] | None = None, keep: bool = False
) -> Fleet:
    """A fleet of three models in seven rows, its files written into `folder`."""
    rng = random.Random(seed)
    for (name, gaps), size in zip(MODELS.items(), SIZES, strict=True):
        bike = parts.bike(rng, False, gaps, (8.0, 8.0), [size])
        ends = {"ratio_start": 2.86, "ratio_end": rng.choice((2.3, 2.6))}
        bike["leverage"] = {"stroke_mm": 50, **ends}
        if rng.random() < 0.6:
            now = parts.present(rng, False, gaps, (8.0, 8.0), [size])
            bike["present_shock"] = {k: one for k, one in now.items() if k != "part_number"}
        _write(folder / f"{name}.toml", {"bike": bike})
    _write(folder / "some.toml", {"wishes": {**wishes(rng), **RATES}})
    _write(folder / "none.toml", {"wishes": RATES})
    made = _parts(rng)
    rows = [
        {
            "bike": f"{rng.choice('abc')}{k}", "model": rng.choice(sorted(MODELS)),
            "count": rng.randint(1, 4), "rider_mass_with_kit_kg": rng.choice(MASSES),
            "wishes": rng.choice(("some", "none")), "spring_changes": rng.choice(("yes", "no")),
            "taste": rng.choice(("plush", "neutral")),
            "present_shock": rng.choice(("", "", "none", made["shocks"][0]["part_number"])),
            "condition": rng.choice(("good", "service due", "broken", "")),
            "hours_per_year": rng.choice((120, 250, 400)),
            "due": rng.choice(("2027-03-15", "2027-01-10", "2028-06-01", "")),
        }
        for k in range(7)
    ]  # fmt: skip
    with (folder / "fleet.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    usual = random_market.base(rng).tables
    catalogue = tables.catalogue(**{**usual, **made, "tastes": build.TASTES})
    groups = fold(read_fleet(folder / "fleet.csv"), folder, catalogue)
    return Fleet(groups, catalogue, Limits(**(limits or {})), 20.0, keep)


def _parts(rng: random.Random) -> dict[str, list[dict[str, Any]]]:
    """Three shocks for each model, and kits for its ends; names in no order."""
    words = iter(rng.sample(WORDS, len(WORDS)))
    shocks = [
        parts.shock(rng, f"s {next(words)}", False, [size])
        | {"stock": rng.choice((1, 4, None)), "length_mm": size[0]}
        for size in SIZES for _ in range(3)
    ]  # fmt: skip
    ends = sorted({(end, gap) for gaps in MODELS.values() for end, gap in enumerate(gaps)})
    named = [(f"k {rng.choice(WORDS)} {k}", *one) for k in range(2) for one in ends]
    kits = [
        parts.kit(rng, f"{name} {end} {gap:g}", end, False, {end: gap}, (8.0, 8.0))
        for name, end, gap in named
    ]
    services = [parts.service(rng, f"r {next(words)}") for _ in range(2)]
    springs = [parts.spring(rng, f"c {rng.choice(WORDS)} {k}") for k in range(4)]
    made = {"shocks": shocks, "kits": kits, "services": services, "springs": springs}
    # No two sums alike: of plans that cost the same any may be found.
    dear = iter(rng.sample(range(1, 100), sum(map(len, made.values()))))
    return {name: [{**one, "price": one["price"] + next(dear) / 8} for one in rows]
            for name, rows in made.items()}  # fmt: skip


def wishes(rng: random.Random) -> dict[str, Any]:
    """Three of those that a fleet may have."""
    offers = {"budget": {"prefer": 500}, "mass_g": {"prefer": 600, "weight": 2.0},
              "sag_percent": {"prefer": [28, 32]}, "reserve_mm": {"must": 60},
              "days": {"prefer": 5}, "lockout": {"prefer": "medium"}}  # fmt: skip
    return {name: offers[name] for name in rng.sample(sorted(offers), 3)}


def _write(path: Path, facts: dict[str, Any]) -> None:
    path.write_text(tomlkit.dumps(facts), encoding="utf-8")
