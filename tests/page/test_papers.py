"""The papers: what they say, their sums, and how they print."""

import json
import re
from dataclasses import replace
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from recommender.advice.complaints import COMPLAINTS, cautions, tries
from recommender.answer.answer import Case
from recommender.answer.cautions import REVALVE, UNREACHED, warmth
from recommender.cli.inputs import shipped
from recommender.cli.main import app
from recommender.facts.problems import BadInput
from recommender.facts.quantity import Quantity
from recommender.facts.rider import Rider
from recommender.output.papers.figures import settings
from recommender.output.papers.papers import PAPERS, WAITS, Terms, papers, revalve, sums
from recommender.output.screen import INVENTED
from recommender.output.written_back import words
from recommender.rules.fitted import row_record
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


@pytest.mark.parametrize("spring", ["air", "coil"])
def test_what_to_try_is_what_advice_says_of_that_shock(case: Case, spring: str) -> None:
    found = next(
        name for place in range(len(case.order))
        if (name := case.order.firsts[place].name)
        and case.bundle_of(name)[0].spring_kind == spring
    )  # fmt: skip
    on_bike, part = case.settings(found), row_record(case.market.shocks, case.row(found))
    sheet = plain(unescape(papers(case, found, Terms(DAY))["setup-sheet.html"]))
    for name in COMPLAINTS:
        assert " ".join(one.text for one in tries(name, part, on_bike.spacers)) in sheet
    for text in cautions(tries("bottoms out", part, on_bike.spacers), part):
        assert sheet.count(text) == 1


def test_the_sheet_tells_warmth_as_the_gauge_shows_it(case: Case, made: dict[str, str]) -> None:
    """Ideal gas: absolute pressure goes with absolute temperature; 101,325 Pa are 14.696 psi
    (NIST SP 811). 169 psi at 20 degrees C gain (169 + 14.696) x 10 / 293.15 = 6.27 psi."""
    assert warmth(169.0).endswith("by about 6 psi on the gauge at 169 psi.")
    assert re.search(r"about \d+ psi on the gauge", made["setup-sheet.html"])
    assert "absolute pressure" not in "".join(made.values())
    untold = Case(replace(case.question, rider=Rider()), case.catalogue)
    sheet = plain(papers(untold, untold.order.firsts[0].name, Terms(DAY))["setup-sheet.html"])
    assert re.search(r"start pressure \d+ to \d+ psi", " ".join(sheet.split()))
    assert "on the gauge" not in sheet
    assert " bar;" not in sheet
    assert "of the clicks from" not in sheet


def test_a_revalve_is_spoken_of_on_the_quote_alone(case: Case, best: str) -> None:
    """The worked bundle needs a revalve; its delivered tune is laid near, and far."""
    record, _ = case.bundle_of(best)
    on_bike = case.settings(best)
    with_it = record.model_copy(update={"cautions": (*record.cautions, REVALVE)})
    needed = {one.side: one.needed for one in on_bike.damping}
    row = row_record(case.market.shocks, case.row(best))
    for share, wanted in ((1.05, [WAITS]), (1.5, [UNREACHED])):
        ends = {
            f"{side}_{end}_n_s_per_m": Quantity.exact(need * share * more)
            for side, need in needed.items() for end, more in (("low", 1.0), ("high", 2.0))
        }  # fmt: skip
        part = row.model_copy(update=ends)
        assert revalve(case, with_it, part, on_bike) == wanted
        fitted = with_it.model_copy(update={"shock": FITTED})
        assert revalve(case, fitted, part, on_bike) == [UNREACHED]
    bare = record.model_copy(update={"cautions": ()})
    assert revalve(case, bare, row, on_bike) == []
    for one in case.order.firsts:
        if REVALVE in case.bundle_of(one.name)[0].cautions:
            made = papers(case, one.name, Terms(DAY))
            assert not any("Ride the delivered tune" in unescape(text) for text in made.values())
            assert not any("delivered tune" in made[f"{name}.html"]
                           for name in ("job-card", "setup-sheet"))  # fmt: skip
            return
    pytest.fail("no bundle of the demonstration has a revalve")


def test_what_goes_in_is_written_back_by_the_job_cards_command(case: Case, best: str) -> None:
    for name in (best, FITTED):
        parts = case.bundle_of(name)[0].put_in
        assert (parts.shock == "") == (name == FITTED)
        card = plain(papers(case, name, Terms(DAY))["job-card.html"])
        assert f"{' '.join(words(parts))} --sag-down …" in card


def test_spacers_on_the_card_are_told_by_their_number(case: Case) -> None:
    card = plain(papers(case, FITTED, Terms(DAY))["job-card.html"])
    assert "1 volume spacer" in card
    assert "volume spacers)" not in card


def test_no_clicks_are_told_of_an_adjuster_that_is_not_there(case: Case, best: str) -> None:
    record, on_bike = case.bundle_of(best)[0], case.settings(best)
    row = row_record(case.market.shocks, case.row(best))
    for told in ("yes", "no", None):
        part = row.model_copy(update={"low_speed_compression_adjuster": told})
        notes = {one[0]: one[2] for one in settings(record, on_bike, part)}
        assert ("compression" in notes) == (told != "no")
        if told != "no":
            assert ("if there is an adjuster" in notes["compression"]) == (told is None)


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
    again = ["papers", "--shock", best, "-o", str(folder), "--day", "2026-11-26"]
    before = (folder / "quote.html").read_bytes()
    assert isinstance(run.invoke(app, again).exception, BadInput)
    assert (folder / "quote.html").read_bytes() == before
    assert run.invoke(app, [*again, "--replace"]).exit_code == 0
    assert (folder / "quote.html").read_bytes() != before
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
