"""What the question's facts are taken to be, told or blank, is what is kept: see
`test_questions`."""

from collections.abc import Iterator
from typing import Any

from recommender.rules.market import open_market
from tests.approved.kept import same_as_kept
from tests.approved.plain import short
from tests.approved.questions import raw
from tests.search import tables
from tests.search.test_pinned import BIKE, RIDER, usual

NOTHING = {"mount": "eyelet"}
WISHES: dict[str, Any] = {
    "budget": {"must": 700, "prefer": 500}, "sag_percent": {"prefer": {"high": 31}},
    "travel_mm": {"must": {"low": 120}}, "adjusters": {"must": ["lockout", "rebound"]},
    "reserve_mm": {"prefer": 90}, "tune": {"must": "by the numbers"}, "remote": {"prefer": True},
}  # fmt: skip
ASKED: dict[str, tuple[dict[str, Any], dict[str, Any], dict[str, Any]]] = {
    "nothing": (NOTHING, {}, {}),
    "a shock and no size": ({**NOTHING, "present_shock": {"part_number": "A"}}, RIDER, {}),
    "a worn shock of its own": (raw(8, 4, 0).bike, {"mass_with_kit_kg": "60 to 90"}, WISHES),
    "all but the tyre": ({**BIKE, "tyre": {}}, RIDER, WISHES),
    "a tyre of one width": ({**BIKE, "tyre": {"width_mm": 58, "gap_mm": 9}}, RIDER, {}),
    "limits and a heavy part": (
        {**BIKE, "limits": {"rider_mass_kg": 110}, "rear_sprung_mass_kg": "6 +/- 1",
         "room": {"middle_up_mm": "50 +/- 2"}},
        {"mass_kg": 70, "taste": "firm", "rear_share": 0.62}, {"sag_target_percent": 27},
    ),
    "a stroke ceiling that is not known": (
        {**BIKE, "sizes": [{"length_mm": "210 +/- 1"}, {"length_mm": 200}]}, RIDER, WISHES,
    ),
}  # fmt: skip


def facts(name: str) -> dict[str, str]:
    """Each fact's corners, the middle where it is told apart, whether it is a range or a word."""
    bike, rider, wishes = ASKED[name]
    question = tables.question(bike, rider, {**wishes, "rates": {"CHF": 1.05}})
    out = {}
    for key, one in sorted(open_market(question, usual()).scalars.items()):
        marks = [mark for mark, holds in (("served", one.served), ("word", one.category)) if holds]
        told = [*one.corners, *([one.middle] if one.middle is not None else []), *marks]
        out[key] = ", ".join(map(short, told))
    return out


def told() -> Iterator[str]:
    """What is taken where nothing is told, and what each question has otherwise."""
    plain = facts("nothing")
    for name in ASKED:
        yield name
        for key, value in facts(name).items():
            if key.startswith("bike_present_shock_facts"):
                continue
            if name == "nothing" or plain.get(key) != value:
                yield f"  {key}: {value}"


def test_the_questions_facts_are_taken_as_before() -> None:
    same_as_kept("asked", told())
