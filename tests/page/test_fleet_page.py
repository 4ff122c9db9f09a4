"""The fleet's page in a real browser: widths, both schemes, access, paper, and many groups.

Accessibility is judged by axe-core (WCAG 2.1 A and AA): D, a reference library's own verdict.
"""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from recommender.fleet.account import plan_record
from recommender.fleet.charts import charts_record
from recommender.fleet.records import ChartsRecord, PlanRecord, SparesRecord
from recommender.fleet.spare_parts import spares_record
from recommender.fleet.spares import Policy
from recommender.fleet.task import Limits
from recommender.output.fleet_care import charts
from recommender.output.page_fleet import fleet_page
from tests.fleet.demo import demo_fleet

WIDTHS = (360, 768, 1280)
HOSTILE = "<script>window.ran=1</script><b onclick='x'>\u202e"
Records = tuple[PlanRecord, SparesRecord, ChartsRecord]


@pytest.fixture(scope="session")
def records() -> Records:
    fleet = demo_fleet()
    return plan_record(fleet, True), spares_record(fleet, Policy()), charts_record(fleet)


@pytest.fixture(scope="session")
def demo(records: Records, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("fleet") / "fleet.html"
    path.write_text(fleet_page(*records), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def crowded(records: Records, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with ninety groups, thirty builds, thirty points of the curve, and bad names."""
    plan, spares, charts = records
    builds = [
        plan.builds[0].model_copy(update={"name": f"P{k} | 50 mm | as delivered"})
        for k in range(29)
    ]
    groups = [
        plan.groups[0].model_copy(
            update={"name": f"group {k}", "builds_that_fit": (builds[k % 29].name,)}
        )
        for k in range(89)
    ]
    hostile = plan.groups[0].model_copy(update={"name": HOSTILE + "x" * 80})
    curve = [plan.curve[0].model_copy(update={"builds": k + 1}) for k in range(30)]
    update = {
        "builds": (*builds, plan.builds[0].model_copy(update={"name": HOSTILE})),
        "groups": (*groups, hostile), "curve": tuple(curve),
        "bike_plans": (plan.bike_plans[0].model_copy(update={"bike": HOSTILE, "build": HOSTILE}),),
    }  # fmt: skip
    path = tmp_path_factory.mktemp("fleet") / "crowded.html"
    path.write_text(
        fleet_page(
            plan.model_copy(update=update), spares,
            charts.model_copy(update={"charts": charts.charts[:1]}),
        ),
        encoding="utf-8",
    )
    return path


def test_masses_told_in_pounds_are_rounded_in_the_charts(records: Records) -> None:
    """1 lb = 0.45359237 kg exactly (NIST SP 811) [C]: 190 lb are 86.1826 kg."""
    plan, spares, told = records
    one = told.charts[0]
    lines = tuple(each.model_copy(update={"mass_kg": 86.18255}) for each in one.lines)
    made = told.model_copy(update={"charts": (one.model_copy(update={"lines": lines}),)})
    screen = Console(width=120, color_system=None)
    with screen.capture() as got:
        screen.print(charts(made))
    for text in (got.get(), fleet_page(plan, spares, made)):
        assert "86.2" in text
        assert "86.18" not in text


@pytest.mark.parametrize("which", ["demo", "crowded"])
def test_no_sideways_scroll(which: str, request: pytest.FixtureRequest, watch: Any) -> None:
    path = request.getfixturevalue(which)
    seen = watch()
    page = seen.open(path)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert seen.said == []
    assert seen.asked == [path.as_uri()]


@pytest.mark.parametrize(
    ("which", "width", "scheme"),
    [("demo", 360, "dark"), ("demo", 1280, "light"), ("crowded", 360, "light")],
)
def test_no_access_fault(
    which: str, width: int, scheme: str, request: pytest.FixtureRequest, watch: Any
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-core")
    seen = watch(viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True)
    page = seen.open(request.getfixturevalue(which))
    found = axe.Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
    bad = [
        (one["id"], [node["target"] for node in one["nodes"]][:3])
        for one in found.response["violations"]
    ]
    assert bad == []


def test_the_words_of_a_drawing_can_be_read_on_a_phone(demo: Path, watch: Any) -> None:
    page = watch(viewport={"width": 360, "height": 900}).open(demo)
    heights = page.locator("#curve svg text").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect()).map(box => [box.left, box.right,"
        " box.height])"
    )
    assert heights
    for left, right, height in heights:
        assert height >= 10
        assert 0 <= left < right <= 360


def test_dots_of_a_long_curve_are_told_apart(crowded: Path, watch: Any) -> None:
    page = watch(viewport={"width": 768, "height": 900}).open(crowded)
    names = page.locator("#curve svg text[text-anchor=middle]").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect()).map(box => [box.top, box.left,"
        " box.right])"
    )
    bottom = sorted(one for one in names if abs(one[0] - names[0][0]) < 2)
    assert len(bottom) > 5
    for one, other in pairwise(bottom):
        assert one[2] <= other[1]


def test_groups_stay_in_sight_when_the_matrix_is_moved(crowded: Path, watch: Any) -> None:
    page = watch(viewport={"width": 360, "height": 900}).open(crowded)
    page.evaluate("document.querySelector('#matrix .scroll').scrollLeft = 300")
    box = page.locator("#matrix tbody th").first.bounding_box()
    assert 0 <= box["x"] < 40


def test_the_plan_stands_in_the_matrix(demo: Path, records: Records, watch: Any) -> None:
    plan = records[0]
    page = watch().open(demo)
    cells = page.locator("#matrix td.takes").all_inner_texts()
    assert sum(int(one.split()[0]) for one in cells) == plan.served
    assert page.locator("#matrix tbody tr").count() == len(plan.groups)


def test_bikes_left_out_are_told_with_the_least_that_lets_them_in(
    records: Records, tmp_path: Path, watch: Any
) -> None:
    made = plan_record(replace(demo_fleet(), limits=Limits(budget=3000.0)))
    (tmp_path / "left.html").write_text(fleet_page(made, *records[1:]), encoding="utf-8")
    page = watch(viewport={"width": 360, "height": 900}).open(tmp_path / "left.html")
    told = page.locator("#left").inner_text()
    assert made.unserved
    assert all(one.least_change in told for one in made.unserved)
    assert "these are in from a budget of 5001 EUR (2001 more)" in told
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_no_text_of_data_runs_or_lays_out(crowded: Path, watch: Any) -> None:
    page = watch().open(crowded)
    assert page.evaluate("window.ran") is None
    assert page.locator("script, b[onclick]").count() == 0


def test_each_wall_chart_is_one_sheet_of_paper(demo: Path, records: Records, watch: Any) -> None:
    """The ends of the range are marked in the drawing and in the table, in every sheet."""
    page = watch(viewport={"width": 688, "height": 1017}).open(demo)  # A4 less its margins
    page.emulate_media(media="print")
    walls = page.locator(".wall")
    assert 1 < walls.count() <= len(records[2].charts)
    for k in range(walls.count()):
        wall = walls.nth(k)
        assert wall.bounding_box()["height"] < 1017
        assert wall.locator("tr.end").count() == wall.locator("line.edge").count() == 2
    assert page.pdf(format="A4").startswith(b"%PDF")
    assert not page.locator("nav").is_visible()
