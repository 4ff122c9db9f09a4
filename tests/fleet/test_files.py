"""Reading the fleet file, folding, changes bike by bike, and the page."""

import shutil
from dataclasses import replace
from html import unescape
from pathlib import Path
from types import SimpleNamespace

import openpyxl
import pytest

from recommender.answer.cautions import USUAL
from recommender.facts.problems import BadInput
from recommender.fleet.account import _why, plan_record
from recommender.fleet.changes import changes
from recommender.fleet.charts import AIR, charts_record
from recommender.fleet.dropped import drop_record
from recommender.fleet.fleet import Fleet
from recommender.fleet.groups import fold, read_groups
from recommender.fleet.orders import orders
from recommender.fleet.reading import read_fleet
from recommender.fleet.spare_parts import spares_record
from recommender.fleet.spares import Policy
from recommender.fleet.task import Limits
from recommender.output.fleet import proof
from recommender.output.page_fleet import fleet_page
from tests.cli.run import run
from tests.fleet.demo import FOLDER, catalogue, demo_fleet, groups

HEAD = "bike,model,count,rider_mass_with_kit_kg,wishes,condition,due\n"


def written(folder: Path, text: str, name: str = "fleet.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def beside(folder: Path) -> Path:
    """The folder, with the demo fleet's models and wishes in it."""
    for path in FOLDER.glob("*.toml"):
        shutil.copy(path, folder)
    return folder


def test_demo_fleet_is_forty_bikes_of_six_models() -> None:
    assert sum(group.count for group in groups()) == 40
    assert len({group.model for group in groups()}) == 6
    names = [name for group in groups() for name in group.bikes]
    assert len(set(names)) == 40


def test_alike_rows_fold_into_one_group(tmp_path: Path) -> None:
    text = HEAD + "a,trail-hire,2,55 to 90,wishes,good,\nb,trail-hire,3,55 to 90,wishes,good,\n"
    text += "c,trail-hire,1,55 to 91,wishes,good,\n"
    some = fold(read_fleet(written(tmp_path, text)), FOLDER, catalogue())
    assert [group.count for group in some] == [5, 1]
    assert some[0].bikes == ("a/1", "a/2", "b/1", "b/2", "b/3")


def test_a_column_in_another_unit(tmp_path: Path) -> None:
    text = "model,rider_mass_with_kit_lb\ntrail-hire,120 to 200\n"
    mass = read_fleet(written(tmp_path, text))[0].facts.rider_mass_with_kit_kg
    assert (mass.low, mass.high) == pytest.approx((54.4311, 90.7185), abs=1e-4)  # NIST SP 811 [C]


def test_all_faults_of_a_file_at_once(tmp_path: Path) -> None:
    text = HEAD + "a,trail-hire,2.5,55 to 900,wishes,god,2027-13-01\n=b,,1,nan,wishes,good,\n"
    with pytest.raises(BadInput) as bad:
        read_fleet(written(tmp_path, text))
    told = "\n".join(str(problem) for problem in bad.value.problems)
    for piece in (
        "row 2, count: '2.5': a whole number is wanted", "25 to 200 kg", "nearest: good",
        "2027-13-01", "row 3, model", "blank: a model is wanted", "'nan'",
    ):  # fmt: skip
        assert piece in told


def test_unknown_models_wishes_and_shocks_name_row_and_nearest(tmp_path: Path) -> None:
    text = "model,count,rider_mass_with_kit_kg,wishes,present_shock\n"
    text += "trail-hir,1,60,,\ntrail-hire,1,60,wishs,\ntrail-hire,1,60,,VS-210x5\ntrail-hire,1,,,\n"
    with pytest.raises(BadInput) as bad:
        fold(read_fleet(written(tmp_path, text)), FOLDER, catalogue())
    told = "\n".join(str(problem) for problem in bad.value.problems)
    assert "row 2, model" in told
    assert "nearest: trail-hire" in told
    assert "row 3, wishes" in told
    assert "row 4, present_shock" in told
    assert "row 5, rider_mass_with_kit_kg" in told


def test_what_is_told_of_the_models_shock_holds_of_no_other(tmp_path: Path) -> None:
    sleeve = "head_sleeve = { width_mm = 30 }\n"
    (tmp_path / "mine.toml").write_text(
        "[bike]\nframe = 'nevelstrand-ledda'\n[bike.present_shock]\npart_number = 'ML-210x50'\n"
        f"own_tune = 'yes'\nsag_mm = 14\nvolume_spacers = 1\n{sleeve}"
        "[bike.present_shock.facts]\nmass_g = 500\n"
    )
    text = "model,rider_mass_with_kit_kg,present_shock\nmine,60,\nmine,60,SN-210x50\n"
    own, other = (
        fold([row], tmp_path, catalogue())[0].question.bike.present_shock
        for row in read_fleet(written(tmp_path, text))
    )
    assert own is not None
    assert other is not None
    assert (own.own_tune, own.sag_mm.low, own.volume_spacers.low) == ("yes", 14, 1)
    assert (other.part_number, other.own_tune, other.facts) == ("SN-210x50", None, None)
    assert not other.sag_mm.known
    assert not other.volume_spacers.known
    assert other.head_sleeve == own.head_sleeve


def test_a_model_may_not_lead_out_of_the_folder(tmp_path: Path) -> None:
    text = "model,rider_mass_with_kit_kg\n../bike,60\n"
    with pytest.raises(BadInput):
        fold(read_fleet(written(tmp_path, text)), FOLDER, catalogue())


def test_the_same_name_twice_is_refused(tmp_path: Path) -> None:
    text = "bike,model,count,rider_mass_with_kit_kg\na,young,2,60\na/2,young,1,60\n"
    with pytest.raises(BadInput, match="stands in row 2 already"):
        read_fleet(written(tmp_path, text))


def test_a_row_of_several_shares_no_name_with_another_row(tmp_path: Path) -> None:
    """Rows are looked up by their names too: 'a' of two bikes and 'a' of one are one name."""
    text = "bike,model,count,rider_mass_with_kit_kg\na,young,2,60\n a ,young,1,60\nb,young,3,60\n"
    with pytest.raises(BadInput) as bad:
        read_fleet(written(tmp_path, text + "b,young,2,60\n"))
    assert [(p.row, p.column, p.value, p.message) for p in bad.value.problems] == [
        (3, "bike", "a", "this name stands in row 2 already"),
        (5, "bike", "b", "this name stands in row 4 already"),
    ]


def test_cells_and_what_they_name_are_faulted_together(tmp_path: Path) -> None:
    text = "bike,model,count,rider_mass_with_kit_kg,wishes,present_shock,condition\n"
    text += "a,trail-hir,1,60,,,\nb,trail-hire,two,90 to 60,wishs,VS-210x5,god\n"
    text += "b,trail-hire,1,,wishes,,\nc,trail-hire,1,60,wishes,,\n"
    path = written(beside(tmp_path), text)
    with pytest.raises(BadInput) as bad:
        read_groups(path, catalogue())
    assert [(p.row, p.column) for p in bad.value.problems] == [
        (2, "model"), (3, "count"), (3, "rider_mass_with_kit_kg"), (3, "condition"),
        (3, "wishes"), (3, "present_shock"), (4, "bike"), (4, "rider_mass_with_kit_kg"),
    ]  # fmt: skip


def test_of_a_cell_that_cannot_be_read_nothing_more_is_said(tmp_path: Path) -> None:
    """The model tells no masses: that a range runs backwards is told, that it is missing not."""
    path = written(beside(tmp_path), "model,rider_mass_with_kit_kg\ntrail-hire,90 to 60\n")
    with pytest.raises(BadInput) as bad:
        read_groups(path, catalogue())
    (problem,) = bad.value.problems
    assert "runs backwards" in problem.message


def test_workbook_with_a_mapping(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Rad", "Typ", "Fahrer", "Zustand", "Faellig"])
    import datetime

    sheet.append(["x", "young", "100 to 150", "kaputt", datetime.date(2027, 3, 1)])
    book.save(tmp_path / "fleet.xlsx")
    mapping = written(
        tmp_path,
        '[columns]\nbike = "Rad"\nmodel = "typ"\ndue = "Faellig"\n'
        'rider_mass_with_kit_kg = { from = "Fahrer", unit = "lb" }\n'
        'condition = { from = "Zustand", words = { "kaputt" = "broken" } }\n',
        "map.toml",
    )
    row = read_fleet(tmp_path / "fleet.xlsx", mapping)[0]
    assert (row.name, row.facts.condition, row.facts.due) == ("x", "broken", "2027-03-01")
    assert row.facts.rider_mass_with_kit_kg.low == pytest.approx(45.359237)


def test_mapping_of_an_unknown_field_is_refused(tmp_path: Path) -> None:
    mapping = written(tmp_path, '[columns]\nmodl = "Typ"\n', "map.toml")
    with pytest.raises(BadInput, match="modl"):
        read_fleet(FOLDER / "fleet.csv", mapping)


def test_every_bike_has_one_change_and_costs_add_up() -> None:
    fleet = demo_fleet()
    made = changes(fleet.plan, fleet.groups)
    assert len({one.bike for one in made}) == fleet.plan.served == 40
    assert sum(one.cost for one in made) == pytest.approx(fleet.plan.cost)
    listed = orders(fleet.plan, {})
    parts = sum(order.cost for order in listed)
    labour = sum(one.way.work + one.head.labour + one.shaft.labour for one in made)
    assert parts + labour == pytest.approx(fleet.plan.cost)


@pytest.mark.parametrize(
    ("models", "told"),
    [(1, "m0; "), (3, "m0, m1, m2; "), (4, "m0, m1, m2 and 1 more; "),
     (5, "m0, m1, m2 and 2 more; ")],
)  # fmt: skip
def test_of_the_models_that_share_a_build_three_are_named(models: int, told: str) -> None:
    fleet = demo_fleet()
    one = next(c for c in fleet.changes if c.way.build != fleet.task.own_best[c.way.group].build)
    others = [
        replace(one, group=replace(one.group, name=f"other {k}", model=f"m{k}"))
        for k in range(models)
    ]
    shared = SimpleNamespace(changes=(one, *others), currency="EUR", task=fleet.task)
    why = _why(shared, one, fleet.task.own_best[one.way.group])  # type: ignore[arg-type]
    assert why.startswith(f"shared with {told}")


@pytest.mark.parametrize(("missing", "told"), [(0.0, False), (0.01, True), (0.5, True)])
def test_the_plan_tells_of_an_order_a_little_below_its_minimum(missing: float, told: bool) -> None:
    fleet = replace(demo_fleet())
    order = orders(fleet.plan, {})[0]
    least = {order.supplier: order.cost + missing}
    vars(fleet)["market"] = replace(demo_fleet().market, order_minimum=least)
    notes = [one for one in plan_record(fleet).notes if "Order minimums" in one]
    assert bool(notes) is told


def test_plan_of_the_demo_is_proved_and_explained() -> None:
    record = plan_record(demo_fleet(), with_curve=True)
    assert record.served == 40
    assert record.proved
    assert all(one.why for one in record.bike_plans)
    assert any(point.builds == len(record.builds) and point.served == 40 for point in record.curve)
    for one in record.bike_plans:
        if one.build == one.own_best.build:
            assert one.why == "this build is the best if planned alone"
    charts = charts_record(demo_fleet())
    page = fleet_page(record, spares_record(demo_fleet(), Policy()), charts)
    sheets = {(one.model, one.build, one.riders, one.lines) for one in charts.charts}
    assert page.count('class="wall"') == len(sheets)
    assert page.count(AIR.replace("'", "&#39;")) == len(sheets)
    assert "would serve riders" not in page
    told = unescape(page)
    for text in (*USUAL, proof(record)):
        assert told.count(text) == 1
    assert "cost plus points lost at 20 EUR each, EUR" in told
    assert "http:" not in page.replace("http://www.w3.org", "")
    assert "https:" not in page


def test_page_escapes_what_data_says() -> None:
    record = plan_record(demo_fleet())
    evil = "<script>alert(1)</script>"
    hostile = record.model_copy(
        update={
            "notes": (evil,),
            "groups": tuple(g.model_copy(update={"name": evil}) for g in record.groups),
            "bike_plans": tuple(b.model_copy(update={"bike": evil}) for b in record.bike_plans),
        }
    )
    page = fleet_page(hostile, spares_record(demo_fleet(), Policy()), charts_record(demo_fleet()))
    assert "<script" not in page
    assert "&lt;script&gt;" in page


def test_a_dropped_part_is_told_with_the_bikes_that_use_it() -> None:
    """Whatever the part is: a build, a shock, a kit or a spring."""
    fleet = demo_fleet()
    uses: dict[str, list[str]] = {}
    for one in fleet.changes:
        names = {str(one.way.build), one.way.shock, *(part.name for part in one.parts)}
        for name in names - {""}:
            uses.setdefault(name, []).append(one.bike)
    told = [part for part in uses if part in fleet.task.names]
    few = min(told, key=lambda part: len(uses[part]))
    assert len(uses[few]) < len(fleet.changes)
    assert list(drop_record(fleet, few).used_on) == uses[few]


def test_a_build_is_dropped_by_its_name() -> None:
    fleet = demo_fleet()
    for build in map(str, fleet.plan.builds):
        made = drop_record(fleet, build)
        assert build not in {str(way.build) for way in fleet.task.without(build).ways}
        assert build not in made.instead
        assert made.used_on


def test_dropping_a_part_is_no_better_than_having_it() -> None:
    made = drop_record(demo_fleet(), "VS-210x50")
    assert made.proved
    kept = {one.bike for one in demo_fleet().changes if one.way.build.shock == "VS-210x50"}
    assert kept == {*made.used_on, *made.kept_on}
    assert kept <= {bike for one in made.swaps for bike in one.bikes}
    assert (made.served_after, -made.builds_after) <= (made.served_before, -made.builds_before)
    assert made.cost_after >= made.cost_before
    with pytest.raises(BadInput, match="nearest"):
        drop_record(demo_fleet(), "VS-210x5O")


def test_bikes_that_nothing_serves_are_explained(tmp_path: Path) -> None:
    text = "bike,model,rider_mass_with_kit_kg,wishes\nheavy,young,60 to 160,wishes\n"
    some = fold(read_fleet(written(tmp_path, text)), FOLDER, catalogue())
    record = plan_record(Fleet(some, catalogue()))
    assert record.served == 0
    left = record.unserved[0]
    assert left.bikes == ("heavy",)
    assert left.nearest
    assert "riders of 60 to" in left.least_change


def test_keep_keeps_every_shock_that_can_serve() -> None:
    fleet = replace(demo_fleet(), keep=True)
    able = {way.group for way in demo_fleet().task.ways if not way.shock}
    for one in fleet.changes:
        if one.way.group in able:
            assert not one.way.shock


def test_on_hand_pieces_are_not_ordered() -> None:
    fleet = replace(demo_fleet(), limits=Limits(on_hand={"VS-210x50": 3}))
    line = next(
        line for order in orders(fleet.plan, {}) for line in order.lines
        if line.part == "VS-210x50"
    )  # fmt: skip
    assert line.on_hand == 3
    assert fleet.plan.cost < demo_fleet().plan.cost
    with pytest.raises(BadInput, match="no such part"):
        _ = replace(demo_fleet(), limits=Limits(on_hand={"ZZ": 1})).plan




def test_kits_are_counted_in_pieces_not_in_bikes() -> None:
    done = run("fleet", "plan")
    lines = done.stdout.splitlines()
    head = next(line for line in lines if "build or kit" in line)
    kits = [line for line in lines if " kit DR-" in line]
    assert kits
    assert all(len(line.rstrip()) == head.index("pieces") + len("pieces") for line in kits)
