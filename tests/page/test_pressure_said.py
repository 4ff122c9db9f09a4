"""A start pressure is told with the same sureness by every output."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from recommender.cli.main import app
from tests.page.test_papers import plain

COUNTER = sorted(map(str, (Path(__file__).parents[2] / "demo" / "counter").glob("*.toml")))
OPEN = "can't be said yet"


def said(*words: str) -> str:
    got = CliRunner().invoke(app, list(words))
    assert got.exit_code == 0, got.output
    return " ".join(got.stdout.split())


def test_an_open_start_pressure_is_a_figure_nowhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert len(COUNTER) == 3
    asked = [word for file in COUNTER for word in ("-q", file)]
    assert f"start pressure {OPEN}" in said("bundle", "fitted", *asked)
    assert "190 psi" not in said("shortlist", *COUNTER)
    said("papers", *COUNTER, "--shock", "fitted")
    for paper in Path("papers").glob("*.html"):
        assert "190 psi" not in plain(paper.read_text()), paper.name
    sheet = plain(Path("papers/setup-sheet.html").read_text()).replace("&#39;", "'")
    assert f"start pressure {OPEN}" in sheet
    assert " bar;" not in sheet
    assert "% of the clicks" not in sheet


def test_sums_that_are_open_are_spans_everywhere() -> None:
    """30 EUR for the sleeve; of two volume spacers, and of setting them, nobody knows the need."""
    asked = [word for file in COUNTER for word in ("-q", file)]
    bundle = said("bundle", "fitted", *asked)
    assert "30 to 65 EUR" in bundle
    assert "15 to 32.50 EUR a year over 2 years (assumed)" in bundle
    assert "30 EUR, not in" in bundle
    assert "47.50" not in said("shortlist", *COUNTER)
