"""The commands as their user runs them."""

import json
import re
from collections.abc import Sequence
from pathlib import Path

import pytest
from typer.testing import CliRunner

from recommender.answer.cautions import USUAL
from recommender.catalogue import catalogue
from recommender.catalogue.catalogue import Catalogue
from recommender.cli.main import app
from recommender.fleet import fleet, ways
from recommender.fleet.groups import Group
from recommender.fleet.records import PlanRecord
from recommender.fleet.task import Task
from recommender.output.fleet import proof
from tests.fleet.demo import FOLDER
from tests.fleet.demo import catalogue as demo_catalogue

RUN = CliRunner()
MADE: dict[tuple[float, bool, int], Task] = {}


@pytest.fixture(autouse=True)
def once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo's ways, the same for every command, are looked for once."""

    def task(groups: Sequence[Group], read: Catalogue, point: float, keep: bool) -> Task:
        key = point, keep, len(groups)
        if key not in MADE:
            MADE[key] = ways.make_task(groups, read, point, keep)
        return MADE[key]

    monkeypatch.setattr(fleet, "make_task", task)
    monkeypatch.setattr(catalogue, "read_catalogue", lambda folder: demo_catalogue())


def run(*args: str, code: int = 0) -> str:
    got = RUN.invoke(app, ["fleet", *args], env={"COLUMNS": "80", "NO_COLOR": "1"})
    assert got.exit_code == code, got.output
    return got.output


def test_plan_says_that_it_is_proved_within_80_columns(tmp_path: Path) -> None:
    page = tmp_path / "fleet.html"
    out, written = run("plan", "--curve", "--page", str(page)).rsplit("\n", 2)[:2]
    assert "40 of 40 bikes served" in out
    assert max(len(line) for line in out.splitlines()) <= 80
    assert written == f"Written: {page}"
    assert "--curve shows it" not in out
    json.loads(run("plan", "--page", str(page), "--json"))
    assert (tmp_path / "fleet.html").read_text(encoding="utf-8").startswith("<!doctype html>")


def test_plan_as_json() -> None:
    made = json.loads(run("plan", "--json"))
    assert made["served"] == 40
    assert [one["name"] for one in made["stages"]] == [
        "bikes served", "builds", "hardware kits", "cost and loss",
    ]  # fmt: skip


def test_rollout_writes_the_order_list(tmp_path: Path) -> None:
    out = run("rollout", "--yearly", "3000", "--out", str(tmp_path / "buy.xlsx"))
    assert "Year 1" in out
    assert out.endswith(f"Written: {tmp_path / 'buy.xlsx'}\n")
    assert (tmp_path / "buy.xlsx").stat().st_size > 1000


def test_spares_bikes_and_charts() -> None:
    plain, fill = (" ".join(run("spares", *told).split()) for told in ((), ("--fill",)))
    assert "before standardising" in plain
    assert "no shortage while waiting" in plain
    assert "demands met at once" in fill
    assert "this build is the best if planned alone" in " ".join(run("bikes", "guide 2").split())
    assert "heaviest" in run("charts")


@pytest.mark.parametrize("command", ["plan", "bikes", "without", "spares", "rollout", "charts"])
def test_help_has_an_example(command: str) -> None:
    assert "Example: recommender fleet" in run(command, "--help")


WIDE = (
    ("plan", "--curve"), ("without", "VS-210x50"), ("spares",), ("rollout", "--yearly", "3000"),
    ("bikes", "guide 2", "small 1"), ("plan", "--in-stock", "--budget", "3000", "--share", "0.2"),
)  # fmt: skip


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("command", WIDE)
def test_screens_keep_within_the_width(command: tuple[str, ...], columns: int) -> None:
    got = RUN.invoke(app, ["fleet", *command], env={"COLUMNS": str(columns), "NO_COLOR": "1"})
    assert got.exit_code == 0, got.output
    assert max(len(line) for line in got.output.splitlines()) <= columns


def test_alike_bikes_are_told_together() -> None:
    assert "long travel 1/1 to 3 (" in run("bikes", "long travel 1")
    assert "trail hire 1/1 to 8" in " ".join(run("rollout").split())


def test_bikes_left_out_by_a_limit_are_told_by_how_little() -> None:
    """At the amount that is told the bikes are served, a cent below they are not."""
    out = " ".join(run("plan", "--budget", "3000").split())
    assert "least change: it is in from a budget of 3342 EUR (342 more)" in out
    assert "leaves out 8 bikes; these are in from a budget of 5001 EUR (2001 more)" in out
    assert "40 of 40 bikes served" in run("plan", "--budget", "5001")
    assert "39 of 40 bikes served" in run("plan", "--budget", "5000.99")
    bike = " ".join(run("bikes", "guide 2", "--budget", "3000", code=1).split())
    assert "it is in from a budget of 3342 EUR (342 more)" in bike
    assert "guide 2" in run("bikes", "guide 2", "--budget", "5001")


def test_limits_that_are_not_what_leaves_bikes_out_are_named() -> None:
    out = " ".join(run("plan", "--builds", "2", "--share", "0.5").split())
    assert "left out by asking for exactly 2 builds" in out
    assert "one more is in with 3 builds (1 more)" in out
    assert "no change of the largest share alone is enough" in out
    assert "these are in with 4 builds (2 more)" in out


def test_limits_that_no_plan_keeps_are_told_by_how_little() -> None:
    got = RUN.invoke(app, ["fleet", "plan", "--suppliers", "9"])
    assert "one does with 3 suppliers (6 fewer)" in str(got.exception)
    assert "40 of 40" in run("plan", "--suppliers", "3")


def test_json_names_the_limit_and_its_least_amount() -> None:
    made = json.loads(run("plan", "--in-stock", "--json"))
    (change,) = made["all_in"][0]["easing"]["changes"]
    assert change["pieces"] == [{"part": "DR-N-8x30", "more": 4}]
    assert (change["change"], change["least"], change["proved"]) == (4, 4, True)
    (one,) = made["unserved"]
    assert one["eased"][0]["changes"][0]["pieces"] == [{"part": "DR-N-8x30", "more": 2}]


def test_stock_is_a_caution_unless_it_is_asked_for_as_a_limit() -> None:
    out = " ".join(run("plan").split())
    assert "Suppliers' stock is no limit here" in out
    assert "VS-210x50 (8 needed, 0 there)" in out
    out = " ".join(run("plan", "--in-stock").split())
    assert "Suppliers' stock is no limit here" not in out
    assert "one more is in with 2 more of DR-N-8x30 in stock" in out


def test_charts_that_are_alike_stand_once() -> None:
    """Long travel 1 and 2 are set alike; what no line has is no column."""
    out = run("charts")
    assert out.count("descent, 60 to 95 kg") == 1
    assert "N/mm" not in out.split("descent, 60 to 95 kg")[1].split("\n\n")[1]
    assert "0 volume spacers" not in out


@pytest.mark.parametrize("command", ["plan", "rollout", "spares", "charts"])
def test_a_fleet_that_nothing_serves_is_told_plainly(command: str, tmp_path: Path) -> None:
    for name in ("trail-hire", "wishes"):
        (tmp_path / f"{name}.toml").write_bytes((FOLDER / f"{name}.toml").read_bytes())
    path = tmp_path / "fleet.csv"
    path.write_text("bike,model,rider_mass_with_kit_kg,wishes\na,trail-hire,40 to 140,wishes\n")
    out = run(command, str(path), code=1 if command == "plan" else 0)
    told = {
        "plan": "None of 1 bike can be served.\nProved: no plan within the limits serves one.",
        "rollout": "Not served by the plan, so not in here: a.",
        "spares": "0 before standardising, 0 after", "charts": "No bike is served",
    }  # fmt: skip
    assert told[command] in out
    assert not [line for line in out.splitlines() if "\u2500" in line and command != "plan"]


def test_a_plan_that_is_not_proved_is_not_called_the_best_there_is() -> None:
    made = PlanRecord.model_validate_json(run("plan", "--json")).model_copy(
        update={"proved": False}
    )
    assert proof(made) == "The best found: time ran out before it was proved the best."


def test_what_is_proved_is_told_in_the_order_of_the_stages() -> None:
    """More builds may cost less: the cost is the least of the fewest builds only."""
    made = PlanRecord.model_validate_json(run("plan", "--curve", "--json"))
    assert min(one.cost for one in made.curve if one.served == made.served) < made.cost
    out = " ".join(run("plan").split())
    assert "the best there is" not in out
    assert "none has fewer builds; of these none fewer hardware kits; of these none a lower" in out
    assert "A plan with more builds may cost less: --curve shows it." in out
    assert "cost plus points lost at 20 EUR each, EUR" in out
    assert "points lost" not in run("plan", "--point", "0").split("Builds")[0]


@pytest.mark.parametrize(
    "command", [("plan",), ("rollout",), ("charts",), ("bikes", "guide 2")], ids=" ".join
)
def test_whoever_fits_a_shock_is_told_the_usual_cautions(command: tuple[str, ...]) -> None:
    out = " ".join(run(*command).split())
    for caution in USUAL:
        assert out.count(" ".join(caution.split())) == 1


def test_bikes_tells_the_cautions_of_those_bikes_alone() -> None:
    out = " ".join(run("bikes", "school 1/1").split())
    assert "before riding on (it is not in this price: about 95 EUR, 4 days). (school 1/1)" in out
    assert "long travel" not in out


def test_rollout_tells_of_services_that_it_does_not_pay() -> None:
    """School 1 gets nothing, trail hire 1 only a kit: all keep a shock whose service is due."""
    out = " ".join(run("rollout").split())
    assert "No new parts for school 1/1 to 6." in out
    assert (
        "service is due on school 1/1 to 6, trail hire 1/1 to 8 and is not in this budget: have it "
        "done before riding on."
    ) in out
    assert "later year" not in out


def test_rollout_tells_of_due_bikes_that_wait_for_a_later_year() -> None:
    out = " ".join(run("rollout", "--yearly", "3000").split())
    assert (
        "changed only in a later year: wide trail 1/3 to 6. Off hire, or repaired and serviced, "
        "until then."
    ) in out


def test_without_a_shock_that_some_bikes_keep() -> None:
    """Twelve keep it, and with five builds they could go on so: it is the fifth build that takes it
    off them, no want of the shock."""
    out = " ".join(run("without", "VS-210x50").split())
    assert "the plan buys it for 8 bikes and keeps it on 12 bikes that have it" in out
    assert "L-VR-medium instead of the fitted VS-210x50 | 50 mm | as delivered" in out
    assert "With them kept: 40 bikes served, 5 builds, 3 hardware kits, 6656 EUR" in out
    kept = RUN.invoke(app, ["fleet", "without", "VS-210x50", "--keep"])
    assert "no bike gets a new one" in str(kept.exception)
    cost = PlanRecord.model_validate_json(run("plan", "--builds", "5", "--json")).cost
    assert cost == 6656.0


def test_a_chart_is_for_its_own_riders_and_says_how_it_is_read() -> None:
    out = " ".join(run("charts").split())
    school = out.split("school, 50 to 80 kg")[1].split("trail-hire")[0]
    assert "Start pressure, with the shock fully extended. Check the sag. Never above" in school
    assert "Only for riders of 50 to 80 kg: set no one else by this chart." in school
    assert "would serve" not in out


def test_the_note_on_stock_names_the_option() -> None:
    assert "Add --in-stock for a plan within it." in " ".join(run("plan").split())


def test_options_say_what_they_count() -> None:
    told = " ".join(run("spares", "--help").split())
    for text in (
        "Hours between failures", "Hours between services", "Hours that a hardware kit lasts",
        "Days that a service", "Days until a new unit",
    ):  # fmt: skip
        assert text in told


def test_a_years_budget_below_one_bike_tells_the_least_that_does() -> None:
    got = RUN.invoke(app, ["fleet", "rollout", "--yearly", "50"])
    assert "guide 2 alone costs 458, and 22 others more than 50" in str(got.exception)
    years = re.findall(r"Year (-?\d+)", run("rollout", "--yearly", "458"))
    assert [int(one) for one in dict.fromkeys(years)] == list(range(1, len(set(years)) + 1))


def test_every_command_plans_within_the_same_limits() -> None:
    for command in ("plan", "bikes", "without", "spares", "rollout", "charts"):
        told = run(command, "--help")
        for option in ("--budget", "--in-stock", "--suppliers", "--share", "--builds", "--on-hand"):
            assert option in told
    assert "VS-210x52.5" in run("spares", "--budget", "3000").split("Before")[0]


def test_a_build_may_be_dropped_by_its_letter() -> None:
    """The letter that the plan's table marks it with, and its whole name, mean the same."""
    name = PlanRecord.model_validate_json(run("plan", "--json")).builds[1].name
    got = [RUN.invoke(app, ["fleet", "without", told, "--json"]) for told in ("B", name)]
    assert got[0].output == got[1].output
    assert json.loads(got[0].output)["part"] == name
    assert "no build of this fleet" in str(RUN.invoke(app, ["fleet", "without", "ZZ"]).exception)
