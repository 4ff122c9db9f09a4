"""What a fleet's model and wishes name: files beside the fleet file, or frames."""

from pathlib import Path

import pytest

from recommender.facts.problems import BadInput
from recommender.facts.rider import Rider
from recommender.fleet.groups import Group, fold
from recommender.fleet.reading import read_fleet
from tests.fleet.demo import FOLDER, catalogue

FRAME = next(iter(catalogue().frames))
WISHES = "[wishes]\nmass_g = {must = 777}\n[rider]\nrear_share = 0.55\n"


def folded(folder: Path, model: str, wishes: str = "") -> Group:
    path = folder / "fleet.csv"
    path.write_text(f"model,rider_mass_with_kit_kg,wishes\n{model},80,{wishes}\n", "utf-8")
    (group,) = fold(read_fleet(path), folder, catalogue())
    return group


@pytest.mark.parametrize("written", [FRAME, f"{FRAME}.toml"])
@pytest.mark.parametrize("wishes", ["", "light", "light.toml"])
def test_a_frame_with_wishes_of_a_file_or_none(tmp_path: Path, written: str, wishes: str) -> None:
    (tmp_path / "light.toml").write_text(WISHES, "utf-8")
    question = folded(tmp_path, written, wishes).question
    assert question.bike.frame == FRAME
    assert question.bike.sizes == catalogue().frames[FRAME].bike.sizes
    assert question.wishes.mass_g.must == (777 if wishes else None)
    assert question.rider.mass_with_kit_kg.low == 80
    assert question.rider.rear_share.low == (0.55 if wishes else Rider().rear_share.low)


def test_a_file_of_the_frames_name_goes_before_the_frame(tmp_path: Path) -> None:
    own = (FOLDER / "trail-hire.toml").read_text("utf-8")
    (tmp_path / f"{FRAME}.toml").write_text(own, "utf-8")
    (tmp_path / "light.toml").write_text(WISHES, "utf-8")
    assert catalogue().frames[FRAME].bike.name != "hire, trail"
    for wishes, must in (("", None), ("light", 777)):
        question = folded(tmp_path, FRAME, wishes).question
        assert question.bike.name == "hire, trail"
        assert question.wishes.mass_g.must == must


def test_a_bike_beside_a_frame_of_the_catalogue_is_refused(tmp_path: Path) -> None:
    (tmp_path / "both.toml").write_text("[bike]\nmount = 'eyelet'\n[wishes]\nbudget = {must = 9}\n")
    with pytest.raises(BadInput, match="keep one"):
        folded(tmp_path, FRAME, "both")
