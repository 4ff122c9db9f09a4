"""What nobody told is told: amounts with two ends, hardware bought for want of facts, stock."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from recommender.fleet.account import plan_record
from recommender.fleet.charts import charts_record
from recommender.fleet.checked import completion_of
from recommender.fleet.dropped import drop_record
from recommender.fleet.fleet import Fleet
from recommender.fleet.groups import read_groups
from recommender.fleet.rollout import rollout_record
from recommender.fleet.spare_parts import spares_record
from recommender.fleet.spares import Policy
from recommender.fleet.task import Limits
from recommender.fleet.ways import mounting
from recommender.output.page_fleet import fleet_page
from tests.cli.run import run
from tests.fleet.demo import catalogue, demo_fleet

WISHES = """
[wishes]
currency = "EUR"
sag_percent = { must = [24, 35] }
adjusters = { must = ["rebound"] }
budget = { must = 800, prefer = 500 }
"""
BIKE = """
[bike]
frame = "nevelstrand-ledda"
[bike.present_shock]
part_number = "ML-210x50"
"""
HEAD = "bike,model,count,rider_mass_with_kit_kg,wishes,condition,due\n"
GOOD = 'bore_mm = 8, diameter_mm = 12.7, condition = "good" }\n'


def asked(folder: Path, more: str = "") -> Path:
    """Three bikes that keep their shock, with what more is told of it; a service of theirs is due.
    """
    (folder / "wishes.toml").write_text(WISHES, encoding="utf-8")
    (folder / "hire.toml").write_text(BIKE + more, encoding="utf-8")
    path = folder / "fleet.csv"
    row = "A,hire,3,55 to 95,wishes,service due,2027-03-01\n"
    path.write_text(HEAD + row, encoding="utf-8")
    return path


def made(folder: Path, more: str = "", **limits: Any) -> Fleet:
    return Fleet(read_groups(asked(folder, more), catalogue()), catalogue(), Limits(**limits))


def test_a_cost_reaches_from_the_one_end_of_what_is_not_told_to_the_other(tmp_path: Path) -> None:
    """How many spacers are in the shock is told in turn: the costs lie between those ends, and they
    are reached."""
    blank = plan_record(made(tmp_path))
    told = [plan_record(made(tmp_path, f"volume_spacers = {n}\n")) for n in range(4)]
    assert {one.builds for one in told} == {blank.builds}
    costs = [one.cost for one in told]
    assert blank.cost_ends == (min(costs), max(costs))
    assert blank.cost == sum(blank.cost_ends) / 2
    for one in blank.bike_plans:
        assert one.cost_ends == (min(costs) / 3, max(costs) / 3)
    assert all(one.cost_ends is None for one in told)
    assert sum("Taken at its middle" in text for text in blank.notes) == 1
    assert not any("Taken at its middle" in text for one in told for text in one.notes)
    assert all(one.cost_ends is None for record in told for one in record.bike_plans)


@pytest.mark.parametrize("which", ["the demo", "open"])
def test_what_is_taken_adds_up_to_the_cost(which: str, tmp_path: Path) -> None:
    """The plan's own sums, against the facts of the whole completions."""
    fleet = demo_fleet() if which == "the demo" else made(tmp_path)
    for one in fleet.changes:
        total = 0.0
        for number, setting in enumerate(mounting(one.way).settings):
            whole = completion_of(one, setting, catalogue())
            roles = ("shock", "stroke", "head_kit", "shaft_kit", "tune", "spring")
            for role in roles if number == 0 else ("spring",):
                total += whole.number(f"{role}_price") + whole.number(f"{role}_labour")
        assert total == pytest.approx(one.cost, abs=0.01)


def test_both_ends_and_the_middle_are_told_wherever_the_cost_is(tmp_path: Path) -> None:
    fleet = made(tmp_path)
    record = plan_record(fleet)
    note = (
        "Taken at its middle: 0 to 15 EUR of labour for setting the volume spacers (A/1, A/2, "
        "A/3); how many are in the fitted shock is not told."
    )
    assert note in record.notes
    path = asked(tmp_path)
    low, high = record.cost_ends or (0.0, 0.0)
    told = " ".join(run("fleet", "plan", path).stdout.split())
    assert f"for {low:g} to {high:g} EUR." in told
    assert f"Costs with two ends count by their middle, {record.cost:.2f} EUR." in told
    assert f"{low / 3:g} to {high / 3:g}" in told
    each = f"cost {low / 3:g} to {high / 3:g} EUR each"
    assert each in " ".join(run("fleet", "bikes", "A", "--file", path).stdout.split())
    told = " ".join(run("fleet", "rollout", path).stdout.split())
    assert f"total with labour: {low:g} to {high:g} EUR" in told
    assert note in told
    page = fleet_page(record, spares_record(fleet, Policy()), charts_record(fleet))
    assert f"Cost {low:g} to {high:g} EUR, labour included." in page
    assert f"{low / 3:.2f} to {high / 3:.2f}" in page
    assert note in page
    made_json = json.loads(run("fleet", "rollout", path, "--json").stdout)
    assert made_json["cost_ends"] == made_json["years"][0]["cost_ends"] == [low, high]
    plain = " ".join(run("fleet", "plan").stdout.split())
    assert "middle," not in plain


def test_without_a_part_both_plans_are_told_by_their_ends(tmp_path: Path) -> None:
    """The kit is bought at the head end of three bikes: what is open is the same without it."""
    fleet = made(tmp_path)
    record = drop_record(fleet, fleet.changes[0].head.part.name)
    assert record.cost_before_ends == plan_record(fleet).cost_ends
    assert record.cost_after_ends is not None
    low, high = record.cost_after_ends
    assert (low + high) / 2 == record.cost_after
    again = made(tmp_path, "volume_spacers = 1\n")
    assert drop_record(again, fleet.changes[0].head.part.name).cost_after in (low, high)


def test_a_year_that_its_dearest_end_takes_over_the_budget_is_told(tmp_path: Path) -> None:
    fleet = made(tmp_path)
    one = fleet.changes[0].cost
    least, most = fleet.ends(fleet.changes[:1], one) or (0.0, 0.0)
    assert least < one < most
    for yearly, told in ((one, True), (most - 0.01, True), (most, False)):
        cautions = rollout_record(fleet, yearly).cautions
        mine = [text for text in cautions if "more than its budget" in text]
        assert bool(mine) is told
        assert not told or mine[0].startswith(f"year 1 may come to {most:g} EUR, ")


def test_hardware_bought_for_want_of_facts_is_told(tmp_path: Path) -> None:
    """Told as good nothing is bought, told as worn it is bought for that: neither is a want."""

    def cautions(more: str) -> list[str]:
        fleet = made(tmp_path, more)
        told = [one for one in plan_record(fleet).cautions if "not told in full" in one]
        assert told == [one for one in rollout_record(fleet, None).cautions if "in full" in one]
        return told

    head = f"head_sleeve = {{ width_mm = 30, {GOOD}"
    shaft = f"shaft_sleeve = {{ width_mm = 22.2, {GOOD}"
    (both,) = cautions("")
    assert both == (
        "Hardware of 3 bikes not told in full, so bought new for 27 EUR a bike (A/1, A/2, A/3). "
        "What is on them may do: tell bike.present_shock.head_sleeve and "
        "bike.present_shock.shaft_sleeve in the model's file."
    )
    (one,) = cautions(head)
    assert "bought new for 11 EUR a bike" in one
    assert "tell bike.present_shock.shaft_sleeve in" in one
    assert cautions(head + shaft.replace("good", "worn")) == []
    assert cautions(head + shaft) == []
    assert not made(tmp_path, head + shaft).plan.numbers
    (unsaid,) = cautions(head + shaft.replace(', condition = "good"', ""))
    assert "tell bike.present_shock.shaft_sleeve in" in unsaid


def test_in_stock_tells_whose_stock_nobody_told(tmp_path: Path) -> None:
    """Services have no stock, and are not asked for."""
    fleet = replace(demo_fleet(), limits=Limits(in_stock=True))
    names = {part.name for part in fleet.plan.parts() if part.stock == float("inf")}
    blank = sorted(names - set(catalogue().services.keys()))
    assert blank
    assert names & set(catalogue().services.keys())
    told = (
        "A stock that nobody told is taken as enough by --in-stock; ask the supplier before "
        f"ordering: {', '.join(blank)}."
    )
    assert told in plan_record(fleet).cautions
    assert told in rollout_record(fleet, None).cautions
    assert not [one for one in plan_record(demo_fleet()).cautions if "nobody told is taken" in one]
    out = " ".join(run("fleet", "plan", "--help").stdout.split())
    assert "a blank stock counts as enough" in out.replace("│ │ ", "")
