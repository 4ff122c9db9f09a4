"""A find is judged as the same row of a catalogue would be; and the look-up turned round."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rich.console import Console

from recommender.advice.find import find_of, judged
from recommender.advice.reverse import known, reverse, rows_of
from recommender.answer.answer import Case
from recommender.answer.cautions import LIMITS
from recommender.catalogue.catalogue import Catalogue, read_catalogue
from recommender.catalogue.question import Question, read_question
from recommender.facts.problems import BadInput
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes
from recommender.output.parts import yearly
from recommender.output.terminal import parts_table
from recommender.search.verdicts import STATES
from tests.catalogue.build import coil_shock, kit, shock, write_catalogue

BIKE = """
[bike]
name = "{name}"
mount = "eyelet"
eyelet_axis = "parallel"
sizes = [{{ length_mm = {length}, stroke_ceiling_mm = 55 }}]
leverage = {{ stroke_mm = 50, ratio_start = 2.86, ratio_end = 2.34 }}
head = {{ gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }}
shaft = {{ gap_mm = 22, bolt_mm = 8, carbon_lugs = "no" }}
tyre = {{ gap_mm = 40, gap_eye_to_eye_mm = 162, closing = 1, side_room_mm = 9, width_mm = 60 }}
allows = {{ coil = "yes", remote = "yes" }}
[bike.room]
measured = "whole travel"
""" + "\n".join(
    f"{third}_{side}_mm = 60"
    for third in ("head", "middle", "shaft")
    for side in ("up", "down", "left", "right")
)
NOW = """
[bike.present_shock]
part_number = "NOW"
condition = "service due"
head_sleeve = { width_mm = 22, bore_mm = 8, diameter_mm = 12.7, condition = "good" }
shaft_sleeve = { width_mm = 22, bore_mm = 8, diameter_mm = 12.7, condition = "good" }
"""
WIDE: dict[str, Any] = {
    "rebound_low_n_s_per_m": 500, "rebound_high_n_s_per_m": 9000,
    "compression_low_n_s_per_m": 300, "compression_high_n_s_per_m": 6000,
}  # fmt: skip


def bike(length: int = 210, name: str = "b") -> str:
    return BIKE.format(length=length, name=name)


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    folder = tmp_path_factory.mktemp("find") / "catalogue"
    frames = {"small": bike(190, "small"), "large": bike(210, "large"), "other": bike(230, "other")}
    return read_catalogue(
        write_catalogue(
            folder,
            shocks=[shock("NOW", price=500, **WIDE), shock("NEW", price=400, stock=2, **WIDE),
                    shock("FAR", length_mm=250, stroke_mm=70, stroke_settings_mm="", **WIDE)],
            kits=[kit()], frames=frames,
        )
    )  # fmt: skip


def case(catalogue: Catalogue, tmp_path: Path, wishes: str = "", now: str = NOW) -> Case:
    path = tmp_path / "q.toml"
    path.write_text(bike() + now + "[rider]\nmass_with_kit_kg = 80\n" + wishes)
    return Case(read_question([path], catalogue.frames), catalogue)


def raw(**facts: Any) -> dict[str, Any]:
    """The facts of a find as a file gives them: those of a builder's shock less its offer."""
    made = {name: value for name, value in shock(**facts).items() if value is not None}
    for name in ("supplier", "delivery_days", "part_number"):
        made.pop(name)
    return made


@pytest.mark.parametrize(
    "facts",
    [WIDE, {**WIDE, "length_mm": 200}, {**WIDE, "head_eye_width_mm": None},
     {**WIDE, "shaft_sleeve_diameter_mm": 15}, {**WIDE, "price": 900, "currency": "EUR"}],
)  # fmt: skip
def test_a_find_is_judged_like_its_row(
    catalogue: Catalogue, tmp_path: Path, facts: dict[str, Any]
) -> None:
    """State, broken rules and price equal those of the same shock standing in shocks.csv."""
    given = raw(**facts)
    made = judged(case(catalogue, tmp_path), find_of({**given, "used": "no"}, "f"))
    row = {**given, "part_number": "ROW"}
    folder = write_catalogue(tmp_path / "c", shocks=[shock("NOW", **WIDE), row], kits=[kit()])
    other = case(read_catalogue(folder), tmp_path)
    assert made.state == STATES[int(other.verdicts.state[other.row("ROW")])]
    if made.turned is not None:
        told = other.turned_of("ROW")
        assert [one.rule for one in made.turned.broken] == [one.rule for one in told.broken]
    if made.bundle is not None:
        assert made.bundle.price == other.bundle_of("ROW")[0].price


def test_a_used_one_carries_a_service_and_an_inspection(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    old = judged(case(catalogue, tmp_path), find_of({**raw(**WIDE, price=100)}, "f"))
    new = judged(case(catalogue, tmp_path), find_of({**raw(**WIDE, price=100), "used": "no"}, "f"))
    assert old.bundle is not None
    assert new.bundle is not None
    assert old.service_added == 25  # the builder's price of every job
    assert old.bundle.price == new.bundle.price + 25
    assert old.inspection
    assert not new.inspection


def test_keeping_serviced_is_laid_against_replacing_per_year(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    made = judged(case(catalogue, tmp_path), find_of(raw(**WIDE, price=100), "f"), years=2.0)
    ways = {way.what: way for way in made.ways}
    kept, serviced = ways["keep what you have"], ways["service what you have"]
    assert serviced.price == kept.price + 25  # the builder's price of every job
    assert serviced.per_year == pytest.approx(serviced.price / 2)
    assert ways["replace by the catalogue's first"].shock == "NEW"
    assert ways["replace by the catalogue's first"].years == 4.0
    per_year = [way.per_year for way in made.ways if way.per_year is not None]
    assert per_year == sorted(per_year)
    assert len(per_year) == len(made.ways)


def test_a_service_is_told_with_all_that_it_takes(catalogue: Catalogue, tmp_path: Path) -> None:
    """A worn sleeve is renewed with it; where the service is beyond a must, that is told."""
    for wishes, state, least in (("", "fits", 25 + 20), ("[wishes]\nbudget = { must = 44 }\n",
                                                         "ruled out", 25)):  # fmt: skip
        asked = case(catalogue, tmp_path, wishes, NOW.replace('"good"', '"worn"', 1))
        ways = {way.what: way for way in judged(asked, find_of(raw(**WIDE), "f")).ways}
        assert ways["keep what you have"].least == 20
        serviced = ways["service what you have"]
        assert (serviced.state, serviced.least) == (state, least)


def test_a_cost_that_is_open_is_told_by_its_ends(catalogue: Catalogue, tmp_path: Path) -> None:
    """How many spacers are in it is not known: three of 5 are bought and set, or nothing is."""
    made = judged(case(catalogue, tmp_path), find_of(raw(**WIDE, price=100), "f"), years=2.0)
    kept = next(way for way in made.ways if way.what == "keep what you have")
    assert kept.price_ends == (0, 3 * 5 + 25)
    assert kept.per_year_ends == (0, 20)


def test_a_price_that_nobody_told_is_not_nothing(catalogue: Catalogue, tmp_path: Path) -> None:
    """Known of it are the two sleeves and the service: the builder's prices."""
    made = judged(case(catalogue, tmp_path), find_of(raw(**WIDE, price=None), "f"))
    last = made.ways[-1]
    assert (last.what, last.price, last.per_year) == ("the find", None, None)
    assert made.bundle is not None
    assert last.least == made.bundle.price + 25
    assert made.service_added == 25
    shown = Console(width=80, no_color=True)
    with shown.capture() as got:
        shown.print(parts_table(made.bundle, "EUR"))
    assert f"not known, {made.bundle.price:g} EUR or more" in got.get()
    assert yearly(made.bundle) == ""


def test_the_same_thing_costs_the_same_a_year_wherever_it_is_told(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    """A kept or used shock lasts as long after a service as the wishes say, a new one longer."""
    for wishes, kept, new in (("", 2.0, 4.0),
                              ("[wishes]\nyears_after_service = 3\nyears_of_use = 5\n", 3.0, 5.0)):
        asked = case(catalogue, tmp_path, wishes)
        made = judged(asked, find_of(raw(**WIDE, price=100), "f"))
        assert made.bundle is not None
        assert made.bundle.years == kept
        ways = {way.what: way for way in made.ways}
        assert ways["the find"].per_year == made.bundle.per_year
        fitted, replaced = asked.bundle_of("fitted")[0], asked.bundle_of("NEW")[0]
        assert (fitted.years, replaced.years) == (kept, new)
        assert fitted.per_year == pytest.approx(fitted.price / kept, abs=0.005)
        told = {(way.price, way.per_year) for way in made.ways if way.shock == fitted.shock}
        assert (fitted.price, fitted.per_year) in told
        assert ways["replace by the catalogue's first"].per_year == replaced.per_year
        assert f"a year over {kept:g} years (assumed)" in yearly(fitted)


def test_a_find_has_the_frame_makers_limits_told_first(
    catalogue: Catalogue, tmp_path: Path
) -> None:
    for length in (210, 150):
        found = find_of({**raw(**WIDE), "length_mm": length}, "f")
        assert judged(case(catalogue, tmp_path), found).cautions[0] == LIMITS


def test_a_price_in_another_currency_needs_a_rate(catalogue: Catalogue, tmp_path: Path) -> None:
    found = find_of({**raw(**WIDE, price=100), "currency": "CHF"}, "f")
    with pytest.raises(BadInput, match="no rate from CHF"):
        judged(case(catalogue, tmp_path), found)
    made = judged(case(catalogue, tmp_path, "[wishes]\nrates = { CHF = 1.5 }\n"), found)
    assert made.bundle is not None
    shock_line = next(part for part in made.bundle.parts if part.role == "shock")
    assert shock_line.price == pytest.approx(100 * 1.5 + 25)


def test_a_find_that_cannot_be_is_refused() -> None:
    with pytest.raises(BadInput, match="half the length"):
        find_of({"length_mm": 150, "stroke_mm": 80}, "f")
    with pytest.raises(BadInput, match="nearest: length_mm"):
        find_of({"lenght_mm": 150}, "f")
    assert find_of({}, "f").used == "yes"


def test_a_find_may_bear_a_number_of_the_catalogue(catalogue: Catalogue, tmp_path: Path) -> None:
    made = judged(case(catalogue, tmp_path), find_of({**raw(**WIDE), "part_number": "NEW"}, "f"))
    assert made.shock == "found NEW"


def test_turned_round_it_is_the_same_answer(catalogue: Catalogue) -> None:
    """Every shock, bike and rider: served just where the question itself rules nothing out."""
    riders = [Rider.model_validate({"name": str(kg), "mass_with_kit_kg": kg}) for kg in (60, 80)]
    rows = rows_of(catalogue, ["NEW", "FAR", "NOW"], stock=False)
    made = reverse(catalogue, rows, known(catalogue, riders, {}), Wishes())
    got = {(one.shock, one.bike, one.rider): one.state for one in made.served}
    for name, frame in catalogue.frames.items():
        for rider in riders:
            straight = Case(Question(frame.bike, rider, Wishes(), ""), catalogue)
            for row, key in enumerate(catalogue.shocks.keys()):
                state = STATES[int(straight.verdicts.state[row])]
                assert got.get((key, name, rider.name), "ruled out") == state
    assert made.unserved == ("FAR",)
    assert {one.bike for one in made.served} == {"large"}
    assert all("22 x 8" in " ".join(one.parts) for one in made.served)


def test_the_stock_is_what_is_counted_and_there(catalogue: Catalogue) -> None:
    assert rows_of(catalogue, [], stock=True).tolist() == [1]
    with pytest.raises(BadInput, match="nearest: NEW"):
        rows_of(catalogue, ["NEV"], stock=False)
    empty = reverse(catalogue, np.array([], np.int64), known(catalogue, [], {}), Wishes())
    assert empty.served == ()


def test_the_shares_sort_and_are_capped(catalogue: Catalogue, tmp_path: Path) -> None:
    more = replace(catalogue)
    rows = rows_of(more, ["NEW"], stock=False)
    every = reverse(more, rows, known(more, [], {}), Wishes())
    keys = [(one.state != "fits", -one.share) for one in every.served]
    assert keys == sorted(keys)
    assert len(reverse(more, rows, known(more, [], {}), Wishes(), most=1).served) == 1


def test_a_coil_find_needs_its_spring(catalogue: Catalogue, tmp_path: Path) -> None:
    facts = {n: v for n, v in coil_shock(**WIDE).items() if v is not None and n != "supplier"}
    made = judged(case(catalogue, tmp_path), find_of(facts, "f"))
    assert made.bundle is None or any(part.role == "spring" for part in made.bundle.parts)
