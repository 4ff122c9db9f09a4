"""Every rule's margin and every figure at seeded facts, many of them equal to one another or at
nothing, is the one that is kept: see `test_questions`."""

import random
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from recommender.mechanics.leverage import Leverage
from recommender.rules.registry import FIGURES, RULES
from recommender.rules.size import ApprovedSizes
from recommender.rules.tune import ClassRanges
from tests.approved.kept import same_as_kept
from tests.approved.plain import short
from tests.rules.one import USUAL, value

DRAWS = 32
SHARES = (1.0, 1.0, 0.97, 1.03, 0.6, 1.5)
WORDS = {"lockout_class": 4, "class": 3, "basis": 3, "kind": 2, "kit_kind": 3, "thread": 4,
         "bushing": 3}  # fmt: skip
"""How many words a fact has, by its ending; else two."""
NUMBERS = {"wish_travel_low_mm": 125.0, "wish_travel_high_mm": 135.0, "wish_reserve_mm": 95.0,
           "wish_budget": 700.0, "wish_mass_g": 900.0, "wish_days": 9.0, "total_price": 650.0,
           "total_mass_g": 880.0, "shock_preload_turns_min": 1.0, "shock_days": 2.0,
           "stroke_days": 1.0, "spring_work_days": 2.0, "spring_spacers": 1.0,
           "spring_outer_diameter_mm": 66.0}  # fmt: skip
CURVES = (
    Leverage.linear(2.86, 2.34, 0.050), Leverage.constant(0.130, 0.050),
    Leverage.table(np.arange(6) / 100, [0, 0.0283, 0.0561, 0.0834, 0.1102, 0.1365], 0.001),
)  # fmt: skip
SIZES = (
    ApprovedSizes((210.0,), (55.0,)), ApprovedSizes((), ()), ApprovedSizes((), (), free=True),
    ApprovedSizes((200.0, 210.0), (50.0, 52.5), (0.5, 1.0), (1.0, 2.0)),
    ApprovedSizes((200.0, 210.0), (50.0, 52.5), (0.5, 1.0), (1.0, 2.0), True),
)  # fmt: skip
CLASSES = (USUAL["classes"], ClassRanges((1, 2, 3), (4, 5, 6), (7, 8, 9), (10, 11, 12)))
THINGS = {"bike_leverage": CURVES, "bike_sizes": SIZES, "classes": CLASSES}


def usual(leaf: str) -> Any:
    """A fact that the others suit; a word's number where nothing is told of it."""
    if leaf in NUMBERS:
        return NUMBERS[leaf]
    try:
        return value(leaf)
    except KeyError:
        return 3.0 if leaf.endswith(("_days", "_price", "_labour", "_mass_g")) else 0


def words(leaf: str) -> int:
    """How many words a fact has."""
    endings = [ending for ending in WORDS if leaf.endswith(ending)]
    return WORDS[max(endings, key=len)] if endings else 2


def drawn(rng: random.Random, leaves: tuple[str, ...]) -> dict[str, Any]:
    """Facts near the usual ones, some of them equal to another in their unit, some at nothing; the
    fewer are moved the less one of them hides the others."""
    facts: dict[str, Any] = {}
    moved = rng.choice((0.15, 0.4, 0.9))
    for leaf in leaves:
        now = usual(leaf)
        if isinstance(now, float) and not np.isnan(now) and rng.random() > moved:
            facts[leaf] = now
        elif leaf in THINGS:
            facts[leaf] = rng.choice(THINGS[leaf])
        elif isinstance(now, int):
            facts[leaf] = rng.randrange(words(leaf))
        else:
            told = rng.choice((1500.0, 4000.0, now)) if np.isnan(now) else now * rng.choice(SHARES)
            unit = leaf.rsplit("_", 1)[-1]
            alike = [one for name, one in facts.items()
                     if isinstance(one, float) and name.rsplit("_", 1)[-1] == unit]  # fmt: skip
            facts[leaf] = rng.choice(alike) if alike and rng.random() < 0.25 else told
            if rng.random() < 0.04:
                facts[leaf] = 0.0
    return facts


def told(kind: str) -> Iterator[str]:
    """A line for each of the register's, its value at one draw after another."""
    every = {name: one.margin for name, one in RULES.items()} if kind == "rules" else {
        name: one.formula for name, one in FIGURES.items()
    }  # fmt: skip
    of: Any = RULES if kind == "rules" else FIGURES
    for name, formula in every.items():
        rng = random.Random(name)
        leaves = leaves_of(of[name].reads)
        found = []
        for _ in range(DRAWS):
            facts = drawn(rng, leaves)
            with np.errstate(all="ignore"):
                got = formula(*(value(read, **facts) for read in of[name].reads))
            sides = got if isinstance(got, tuple) else (got,)
            found.append(" ".join(short(np.asarray(one, float)) for one in sides))
        yield f"{name}: {', '.join(found)}"


def leaves_of(reads: tuple[str, ...]) -> tuple[str, ...]:
    """The facts behind facts and figures, in a fixed order."""
    found: dict[str, None] = {}
    for read in reads:
        found |= dict.fromkeys(leaves_of(FIGURES[read].reads) if read in FIGURES else (read,))
    return tuple(found)


@pytest.mark.parametrize("kind", ["rules", "figures"])
def test_what_is_worked_out_is_as_before(kind: str) -> None:
    same_as_kept(kind, told(kind))
