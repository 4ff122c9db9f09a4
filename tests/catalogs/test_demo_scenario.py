"""The demonstration's bikes, riders and wishes are valid and agree with the catalogue."""

import tomllib
from pathlib import Path

import pytest

from recommender.facts.bike import Bike
from recommender.facts.rider import Rider
from recommender.facts.wishes import Wishes

from .tables import CATALOGUE, DEMO, SCENARIO, SHOCKS, TITLE, frame, merged, number


@pytest.mark.parametrize("path", SCENARIO, ids=lambda path: str(path.relative_to(DEMO)))
def test_scenario_file_is_valid(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.startswith(TITLE)
    models = {"bike": Bike, "rider": Rider, "wishes": Wishes}
    tables = tomllib.loads(text)
    assert set(tables) & set(models)
    for name in set(tables) & set(models):
        facts = tables[name]
        if name == "bike" and facts.get("frame"):
            facts = merged(frame(CATALOGUE / "frames" / f"{facts['frame']}.toml"), facts)
        models[name](**facts)


BIKES = [path for path in SCENARIO if "frame" in tomllib.loads(path.read_text()).get("bike", {})]


@pytest.mark.parametrize("path", BIKES, ids=lambda path: str(path.relative_to(DEMO)))
def test_the_fitted_shock_is_in_the_catalogue_and_of_the_frames_size(path: Path) -> None:
    bike = tomllib.loads(path.read_text(encoding="utf-8"))["bike"]
    own = merged(frame(CATALOGUE / "frames" / f"{bike['frame']}.toml"), bike)
    shock = {r["part_number"]: r for r in SHOCKS}[own["present_shock"]["part_number"]]
    assert shock["head_mount"] == own["mount"]
    assert any(
        abs(number(shock["length_mm"]) - size["length_mm"]) <= 1.5
        and number(shock["stroke_mm"]) <= size["stroke_ceiling_mm"]
        for size in own["sizes"]
    )
    assert own["present_shock"]["condition"] in ("good", "service due", "broken")


def test_the_scenario_has_its_folders() -> None:
    for folder in ("", "counter", *(f"questions/{name}" for name in (
        "keep", "tyre", "heavy", "coil-or-air", "hinge"))):  # fmt: skip
        assert {path.name for path in (DEMO / folder).glob("*.toml")} >= {
            "bike.toml", "rider.toml", "wishes.toml",
        }  # fmt: skip
    fleet = [path for path in SCENARIO if path.parent.name == "fleet" and path in BIKES]
    assert len(fleet) == 6
