"""The papers: what they say, their sums, and how they print."""

import json
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from recommender.advice.complaints import COMPLAINTS
from recommender.answer.answer import Case
from recommender.cli.inputs import shipped
from recommender.cli.main import app
from recommender.facts.problems import BadInput
from recommender.output.papers.figures import steps
from recommender.output.papers.papers import PAPERS, Terms, papers, sums
from recommender.output.screen import INVENTED
from recommender.rules.market import FITTED

DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def best(case: Case) -> str:
    return case.keys[case.order[0][0].bundle.whole.shock]


@pytest.fixture(scope="module")
def made(case: Case, best: str) -> dict[str, str]:
    return papers(case, best, Terms(DAY, shop="Barn Lane", tax_percent=19))


def plain(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def test_each_paper_says_what_it_is_for(made: dict[str, str], case: Case, best: str) -> None:
    record, _ = case.bundle_of(best)
    assert set(made) == {f"{name}.html" for name in PAPERS}
    for part in record.parts:
        assert part.text in plain(made["quote.html"])
        assert part.text in plain(made["job-card.html"])
    for job in record.jobs:
        assert job.job in plain(made["job-card.html"])
        for tool in job.tools:
            assert tool in plain(made["job-card.html"])
    assert "2026-12-09" in made["quote.html"]
    assert "settling down" in made["setup-sheet.html"]
    assert "after an hour" in made["setup-sheet.html"]
    assert "leverage ratio" in made["tuner-brief.html"]
    assert 'class="blank"' in made["job-card.html"]
    for name, text in made.items():
        assert "nan" not in plain(text).lower().split(), name


def test_bolts_are_tight_before_the_suspension_is_cycled(made: dict[str, str]) -> None:
    """Workshop practice [cp]: nothing is moved through its travel on loose bolts."""
    card = plain(made["job-card.html"])
    jobs = card[card.index("Jobs, in order") :]
    assert jobs.index("torque wrench:") < jobs.index("cycle through full travel")


@pytest.mark.parametrize(("spring", "other"), [("air", "coil"), ("coil", "air")])
def test_what_to_try_is_what_advice_says_of_that_spring(spring: str, other: str) -> None:
    told = dict(steps(spring))
    assert list(told) == list(COMPLAINTS)
    for name, tries in COMPLAINTS.items():
        assert told[name] == [one.text for one in tries if one.only != other]
    assert any(one.only == other for tries in COMPLAINTS.values() for one in tries)


def test_the_fitted_shock_is_written_back_without_a_part_number(case: Case) -> None:
    card = plain(papers(case, FITTED, Terms(DAY))["job-card.html"])
    assert "recommender fitted BIKE.toml --sag-down" in card
    assert "1 volume spacer" in card
    assert "volume spacers)" not in card


def test_invented_data_is_marked_by_one_sentence(made: dict[str, str]) -> None:
    for name, text in made.items():
        assert plain(text).count(INVENTED) == 1, name


def test_tax_within_the_prices(case: Case, best: str) -> None:
    """19 % within 119.00 is 19.00 (D: closed form)."""
    record = case.bundle_of(best)[0].model_copy(update={"price": 119.0})
    got = sums(record, Terms(DAY, tax_percent=19))
    assert (got.net, got.tax, got.gross) == ("100.00", "19.00", "119.00")
    got = sums(record, Terms(DAY, tax_percent=19, included=False))
    assert (got.net, got.tax, got.gross) == ("119.00", "22.61", "141.61")
    got = sums(record.model_copy(update={"price": 0.05}), Terms(DAY, tax_percent=10))
    assert float(got.net) + float(got.tax or 0) == pytest.approx(0.05)


def test_a_shock_that_is_ruled_out_gets_no_papers(case: Case) -> None:
    out = next(key for k, key in enumerate(case.keys) if case.state(k) == "ruled out")
    with pytest.raises(BadInput, match="ruled out"):
        papers(case, out, Terms(DAY))


def test_papers_print_on_few_pages_without_a_fault(
    made: dict[str, str], watch: Any, tmp_path: Path
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe-core")
    for name, text in made.items():
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        seen = watch(viewport={"width": 360, "height": 800}, bypass_csp=True)
        page = seen.open(path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, name
        for paper in ("A4", "Letter"):
            # What is signed is one sheet.
            most = 1 if name in ("quote.html", "tuner-brief.html") else 2
            assert 1 <= page.pdf(format=paper).count(b"/Type /Page\n") <= most, (name, paper)
        found = axe.Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa"]})
        assert [one["id"] for one in found.response["violations"]] == [], name
        assert seen.said == [], name


def test_command_writes_them_or_nothing(tmp_path: Path, best: str) -> None:
    run = CliRunner()
    folder = tmp_path / "papers"
    told = run.invoke(app, ["papers", "--shock", best, "-o", str(folder), "--day", "2026-11-25"])
    assert told.exit_code == 0, told.output
    assert {one.name for one in folder.iterdir()} == {f"{name}.html" for name in PAPERS}
    told = run.invoke(app, ["papers", "--shock", "no-such", "-o", str(tmp_path / "other")])
    assert isinstance(told.exception, BadInput)
    assert not (tmp_path / "other").exists()


def test_command_writes_the_page(tmp_path: Path) -> None:
    out = tmp_path / "answer.html"
    told = CliRunner().invoke(app, ["page", "-o", str(out), "--full", "0"])
    assert told.exit_code == 0, told.output
    data = re.search(r'id="data">(.*?)</script>', out.read_text(encoding="utf-8"))
    assert data
    assert json.loads(data[1])["shocks"]


def test_a_page_without_a_folder_is_refused_before_it_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("recommender.output.page.page.page", None)
    told = CliRunner().invoke(app, ["page", "-o", str(tmp_path / "no" / "a.html"), "--full", "0"])
    assert isinstance(told.exception, BadInput)


def test_a_sum_that_is_open_is_told_from_least_to_most(tmp_path: Path) -> None:
    """Two volume spacers of which some may be in already: 0 to 20, and 0 to 15 to set them."""
    counter = [str(one) for one in sorted((shipped("demo") / "counter").glob("*.toml"))]
    told = ["papers", *counter, "--shock", "fitted", "--tax", "19", "--out", str(tmp_path)]
    assert CliRunner().invoke(app, told).exit_code == 0
    quote = (tmp_path / "quote.html").read_text(encoding="utf-8")
    assert "30.00 to 65.00 EUR" in quote
    assert "4.79 to 10.38 EUR" in quote
    assert "0.00 to 15.00 EUR" in quote
    assert "Fit shock (30 EUR): taking out and refitting the shock that is kept is not" in quote
