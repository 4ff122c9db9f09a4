"""The jobs of a bundle: those that wait for a fact, whose they are, and what they cost."""

from typing import Any

import pytest

from recommender.answer.answer import Case
from recommender.answer.records import BundleRecord, PutIn
from recommender.rules.market import FITTED
from tests.catalogue import build
from tests.explain.markets import asked

SLEEVE = {"width_mm": 22, "bore_mm": 8, "diameter_mm": 12.7, "condition": "good"}
KEPT = {"part_number": "AIR-1", "head_sleeve": SLEEVE, "shaft_sleeve": SLEEVE}
KIT = build.kit("K", bushing=None)
LISTED = "47.5;50"


def record(
    present: dict[str, Any] | None = None, name: str = "AIR-1", **tables: Any
) -> BundleRecord:
    """The record of that shock's best bundle; `present`: the shock on the bike."""
    bike = {"present_shock": present} if present else {}
    made = asked(bike, **tables)
    return Case(made.question, made.catalogue).bundle_of(name)[0]


def jobs(made: BundleRecord) -> list[str]:
    return [one.job for one in made.jobs]


@pytest.mark.parametrize(
    ("inside", "job"),
    [(None, "set volume spacers: see how many are in it; none is wanted"),
     ("0 to 2", "set volume spacers: see how many are in it; none is wanted"),
     ("1 to 2", "set volume spacers"), (0, "")],
)  # fmt: skip
def test_spacers_that_may_have_to_be_set_are_a_job(inside: Any, job: str) -> None:
    present = KEPT if inside is None else {**KEPT, "volume_spacers": inside}
    made = record(present, FITTED, shocks=[build.shock(volume_spacers_max=0)])
    assert [one for one in jobs(made) if "spacers" in one] == ([job] if job else [])
    if ":" in job:
        (line,) = [one for one in made.jobs if "spacers" in one.job]
        assert (line.price, line.price_ends, line.asked_ends) == (12.5, (0, 25), (25, 25))


def test_a_bushing_and_a_stroke_of_which_nobody_told_are_jobs_that_wait() -> None:
    assert "press bushing, only if that of the head kit is pressed in" in jobs(record(kits=[KIT]))
    loose = build.shock(stroke_mm="47 to 51", stroke_settings_mm=LISTED)
    told = jobs(record(shocks=[loose]))
    assert told[0] == "change stroke, only if it is not set to 50 mm yet"


PARTS: list[dict[str, Any]] = [
    {}, {"present": KEPT, "name": FITTED}, {"kits": [KIT]},
    {"kits": [build.kit("K", bushing="pressed metal-backed")]},
    {"shocks": [build.shock(stroke_mm="47 to 51", stroke_settings_mm=LISTED)]},
    {"shocks": [build.shock(eyelet_axis=None, eyelet_turnable=None)]},
    {"shocks": [build.coil_shock("AIR-1")], "springs": [build.spring()]},
    {"shocks": [build.shock(compression_class="firm", rebound_class="firm")]},
]  # fmt: skip


@pytest.mark.parametrize("which", PARTS)
def test_the_jobs_come_to_the_labour_of_the_parts(which: dict[str, Any]) -> None:
    made = record(**which)
    mine = [one for one in made.jobs if one.in_total]
    assert sum(one.price or 0 for one in mine) == sum(part.labour for part in made.parts)
    for end in (0, 1):
        assert sum((one.price_ends or (0, 0))[end] for one in mine) == sum(
            (part.labour_ends or (0, 0))[end] for part in made.parts
        )


DUE = {**KEPT, "condition": "service due", "volume_spacers": 0}


@pytest.mark.parametrize(
    ("own", "told"),
    [({"work_days": 4}, "about 25 EUR, 4 days"),
     ({"work_days": 1, "price": "80 to 110"}, "about 80 to 110 EUR, 1 day"),
     ({"work_days": "2 to 3", "price": None}, "price not told, 2 to 3 days"),
     ({"work_days": ""}, "about 25 EUR, days not told"),
     ({"place": "home"}, "")],
)  # fmt: skip
def test_a_service_that_is_due_is_told_with_what_it_costs(own: dict[str, Any], told: str) -> None:
    table = [one | own if one["job"] == "service shock" else one for one in build.ALL_JOBS]
    made = record(DUE, FITTED, jobs=table)
    cost = f"it is not in this price: {told}" if told else "it can be done at home with the tools"
    start = f"The fitted shock's service is due: have it done before riding on ({cost}"
    assert [one for one in made.cautions if one.startswith(start)]
    (line,) = [one for one in made.jobs if one.job.startswith("service shock, which is due")]
    assert not line.in_total
    assert made.price == 0


def test_a_service_that_is_ordered_or_not_due_is_not_told_as_due() -> None:
    for present in (KEPT, {**DUE, "condition": "good"}):
        made = record(present, FITTED)
        assert not [one for one in (*made.cautions, *jobs(made)) if "due" in one]


def test_at_home_a_job_costs_nothing_and_tells_what_the_workshop_asks() -> None:
    (line,) = [one for one in record().jobs if one.job == "fit shock"]
    assert (line.place, line.price_ends, line.asked_ends) == ("home", (0, 0), (25, 25))


@pytest.mark.parametrize(("price", "told"), [(5, ""), (None, ", price not told")])
def test_spacers_without_a_price_are_told_to_have_none(price: int | None, told: str) -> None:
    """The best bundle takes as many spacers as lift its reserve: their price is no zero."""
    part = build.shock(volume_spacer_price=price)
    made = asked(wishes={"reserve_mm": {"must": 115}}, shocks=[part])
    (spring,) = [
        one for one in Case(made.question, made.catalogue).bundle_of("AIR-1")[0].parts
        if one.role == "spring"
    ]
    assert spring.text == f"{spring.name}{told}"


def test_what_is_put_in_is_told_part_by_part() -> None:
    """A shock set to a shorter stroke, its eye turned, with hardware kept at one end."""
    short = build.shock(
        "NEW", stroke_mm=55, stroke_settings_mm="50;55", eyelet_axis="crosswise",
        eyelet_turnable="yes",
    )  # fmt: skip
    worn = {**SLEEVE, "condition": "worn"}
    kept = {**KEPT, "head_sleeve": worn, "shaft_sleeve": SLEEVE}
    bike = {"present_shock": kept, "sizes": [{"length_mm": 210, "stroke_ceiling_mm": 50}]}
    made = asked(bike, shocks=[build.shock(), short])
    got = Case(made.question, made.catalogue).bundle_of("NEW")[0].put_in
    assert got == PutIn(
        shock="NEW", head_kit="KIT-22x8", shaft_kit="from-shaft", spacers=0, stroke_mm=50,
        eye_turned=True,
    )  # fmt: skip
