"""Small markets for the explanations: random ones, and one shock that a test spoils at will."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from hypothesis import settings
from hypothesis import strategies as st

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.explain.part_values import PARTS
from recommender.explain.unknowns import Live, Unknown, cell_unknowns, option_table
from recommender.facts.problems import BadInput
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.market import open_market
from recommender.search.judging import judge
from recommender.search.verdicts import Verdicts
from tests.catalogue import build
from tests.search import tables
from tests.search.random_market import Case, cases

some = settings(max_examples=max(1, settings().max_examples // 3))
"""A third of the profile's examples: every one looks at all completions of some shocks."""
ROOM = {f"{t}_{s}_mm": 60 for t in ("head", "middle", "shaft")
        for s in ("up", "down", "left", "right")}  # fmt: skip
BIKE: dict[str, Any] = {
    "mount": "eyelet", "eyelet_axis": "parallel",
    "head": {"gap_mm": 22, "bolt_mm": 8, "carbon_lugs": "no"},
    "shaft": {"gap_mm": 22, "bolt_mm": 8, "carbon_lugs": "no"},
    "sizes": [{"length_mm": 210, "stroke_ceiling_mm": 52.5}],
    "leverage": {"stroke_mm": 50, "ratio_start": 2.86, "ratio_end": 2.34},
    "tyre": {"bead_seat_mm": 622, "width_mm": 58, "measured_width_mm": 58, "gap_mm": 20,
             "closing": 0.6, "gap_eye_to_eye_mm": 160, "side_room_mm": 8},
    "room": {**ROOM, "measured": "whole travel"},
    "allows": {"coil": "yes", "remote": "yes", "end_for_end": "no"},
}  # fmt: skip
RIDER: dict[str, Any] = {"mass_with_kit_kg": 80}
CLASSES = (
    build.tune_class("light", 1500, 3600, compression_high_n_s_per_m=1900),
    build.tune_class("medium", 2200, 5700, compression_high_n_s_per_m=2600),
    build.tune_class("firm", 3600, 7500, compression_high_n_s_per_m=3600),
)


@dataclass(frozen=True)
class Asked:
    """A question, its catalogue, and what is made of the two."""

    question: Question
    catalogue: Catalogue

    @property
    def wishes(self) -> Wishes:
        return self.question.wishes

    @property
    def market(self) -> Market:
        return open_market(self.question, self.catalogue)

    def judged(self) -> Verdicts:
        return judge(self.market, self.wishes)

    def states(self) -> list[int]:
        return np.asarray(self.judged().state).tolist()


def asked(
    bike: dict[str, Any] | None = None,
    rider: dict[str, Any] | None = None,
    wishes: dict[str, Any] | None = None,
    **parts: Any,
) -> Asked:
    """The plain question with other facts put in; None takes a part's plain list."""
    made: dict[str, Any] = {
        "shocks": [build.shock()], "kits": [build.kit()], "services": [], "springs": [],
        "tune_classes": CLASSES, "tastes": build.TASTES, "jobs": build.ALL_JOBS,
        "suppliers": build.SUPPLIERS, **parts,
    }  # fmt: skip
    question = tables.question(
        merged(BIKE, bike or {}), merged(RIDER, rider or {}), wishes or {"budget": {"must": 900}}
    )
    return Asked(question, tables.catalogue(**made))


def merged(under: dict[str, Any], over: dict[str, Any]) -> dict[str, Any]:
    """Facts of `over` in place of those of `under`, at any depth."""
    out = dict(under)
    for name, value in over.items():
        deep = isinstance(value, dict) and isinstance(out.get(name), dict)
        out[name] = merged(out[name], value) if deep else value
    return out


def opened(case: Case) -> Asked | None:
    """A random case; None where its wishes contradict each other before anything is judged."""
    try:
        return Asked(*case.open())
    except (BadInput, ValueError):
        return None


@st.composite
def random_asked(draw: st.DrawFn, loose: int = 3) -> Asked:
    """A random question over a few parts with at most `loose` loose cells."""
    made = opened(draw(cases(loose)))
    if made is None:
        made = asked()
    return made


def cells_of_parts(market: Market, live: Live, last: int | None = None) -> list[Unknown]:
    """Every loose fact of every part; of the last so many of each table alone."""
    found: list[Unknown] = []
    for place in PARTS:
        rows = range(len(option_table(market, place).labels))
        for row in rows if last is None else rows[-last:]:
            found += cell_unknowns(market, live, place, row)
    return found
