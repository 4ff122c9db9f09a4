"""Measured figures written back into a bike's file."""

import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner

from recommender.advice.fitted import written_back
from recommender.advice.readings import Measured, against_riding
from recommender.answer.records import PutIn
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.question import read_question
from recommender.cli.main import app
from recommender.facts.bike import Bike
from recommender.facts.problems import BadInput
from tests.catalogue.build import coil_shock, kit, shock, spring, write_catalogue

BIKE = """# my bike, measured in May
[bike]
name = "Mine"   # not its real name
tyre = { width_mm = 60, gap_mm = 12 }

[bike.present_shock]
part_number = "OLD"
volume_spacers = 2
"""


@pytest.fixture
def bike(tmp_path: Path) -> Path:
    path = tmp_path / "bike.toml"
    path.write_text(BIKE, encoding="utf-8")
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_catalogue(tmp_path / "catalogue", shocks=[
        shock("OLD"), shock("NEW"),
        shock("SHORT", length_mm=190, stroke_mm=45, stroke_settings_mm=""),
    ])  # fmt: skip


def test_sag_and_gap_are_set_and_all_else_stays(bike: Path, folder: Path) -> None:
    text, told = written_back(
        bike, PutIn(), Measured(15.5, 14.5, 9, 158), read_catalogue(folder)
    )
    got = tomllib.loads(text)["bike"]
    assert got["present_shock"] == {"part_number": "OLD", "volume_spacers": 2, "sag_mm": 15.0}
    assert got["tyre"] == {"width_mm": 60, "gap_mm": 9, "gap_eye_to_eye_mm": 158}
    assert "# my bike, measured in May" in text
    assert "# not its real name" in text
    assert any("friction 0.5 mm" in line for line in told)


def test_a_new_shock_takes_the_old_ones_facts_away(bike: Path, folder: Path) -> None:
    text, _ = written_back(bike, PutIn(shock="NEW"), Measured(), read_catalogue(folder))
    assert tomllib.loads(text)["bike"]["present_shock"] == {
        "part_number": "NEW", "condition": "good",
    }  # fmt: skip


def test_a_field_in_another_unit_gives_way(tmp_path: Path) -> None:
    bike = tmp_path / "bike.toml"
    bike.write_text(
        "[bike.tyre]\ngap_in = 0.5 # by eye\n[bike.present_shock]\npart_number = 'COIL'\n"
        "spring_rate_lbf_per_in = 500\n[bike.present_shock.head_sleeve]\nwidth_in = 1\n"
    )
    catalogue = read_catalogue(write_catalogue(
        tmp_path / "catalogue", shocks=[coil_shock("COIL")], springs=[spring("C", mass_g=430)],
        kits=[kit("K")],
    ))  # fmt: skip
    parts = PutIn(spring="C", head_kit="K")
    text, told = written_back(bike, parts, Measured(gap=9, eye_to_eye=158), catalogue)
    got = tomllib.loads(text)["bike"]
    assert got["tyre"] == {"gap_mm": 9, "gap_eye_to_eye_mm": 158}
    assert got["present_shock"] == {
        "part_number": "COIL", "spring_rate_n_per_mm": 90, "spring_mass_g": 430,
        "spring_outer_diameter_mm": 60,
        "head_sleeve": {"width_mm": 22, "bore_mm": 8, "diameter_mm": 12.7, "condition": "good",
                        "mass_g": 25},
    }  # fmt: skip
    assert "bike.present_shock.spring_rate_n_per_mm = 90" in told


@pytest.mark.parametrize(
    ("down", "up", "said"),
    [
        (14.5, 15.5, ""),
        (15.0, 15.0, ""),
        (15.5, 14.5, "Read both once more"),
        (10.0, 16.0, "Much friction"),
    ],
)
def test_readings_that_speak_against_themselves(
    down: float, up: float, said: str
) -> None:
    told = " ".join(against_riding(Measured(down, up), Bike(), None))
    assert told.startswith(said)
    assert bool(told) == bool(said)


@pytest.mark.parametrize(
    ("measured", "says"),
    [
        (Measured(), "nothing to write"),
        (Measured(sag_down=12), "--sag-up"),
        (Measured(gap=9), "--eye-to-eye"),
        (Measured(gap=float("nan"), eye_to_eye=150), "accepted: 0 to 1000 mm"),
        (Measured(gap=900, eye_to_eye=160), "0 to 150"),
        (Measured(gap=9, eye_to_eye=150), "is 210 mm long and moves 50 mm; accepted: 158 to 212"),
        (Measured(gap=9, eye_to_eye=240), "accepted: 158 to 212"),
        (Measured(sag_down=51, sag_up=52), "--sag-down: '51': cannot be"),
    ],
)
def test_what_cannot_be_is_refused(measured: Measured, says: str, bike: Path, folder: Path) -> None:
    with pytest.raises(BadInput) as bad:
        written_back(bike, PutIn(), measured, read_catalogue(folder))
    assert says in "\n".join(str(one) for one in bad.value.problems)


@pytest.mark.parametrize(
    ("measured", "says"),
    [
        (Measured(gap=2, eye_to_eye=161), "Do not ride it so: 2 mm"),
        (Measured(gap=30, eye_to_eye=180), "Not bottomed: at 180 mm eye to eye"),
        (Measured(sag_down=30, sag_up=32), "The sag is 62 % of the stroke; 15 to 40 % is usual"),
        (Measured(sag_down=5, sag_up=5.2), "The sag is 10 % of the stroke"),
        (Measured(gap=9, eye_to_eye=163, sag_down=14, sag_up=15), ""),
    ],
)
def test_what_speaks_against_riding_on(
    measured: Measured, says: str, bike: Path, folder: Path
) -> None:
    _, told = written_back(bike, PutIn(), measured, read_catalogue(folder))
    warned = [one for one in told if not one.startswith("bike.")]
    assert len(warned) == bool(says)
    assert says in " ".join(warned)


def test_readings_are_held_against_the_shock_that_went_on(bike: Path, folder: Path) -> None:
    parts, catalogue = PutIn(shock="SHORT"), read_catalogue(folder)
    with pytest.raises(BadInput, match="is 190 mm long"):
        written_back(bike, parts, Measured(gap=9, eye_to_eye=205), catalogue)
    written_back(bike, parts, Measured(gap=9, eye_to_eye=146), catalogue)


LAYOUTS = {
    "inline": "present_shock = { part_number = 'OLD', facts = { mass_g = 400 } }\n",
    "own head": "[bike.present_shock]\npart_number = 'OLD'\n[bike.present_shock.facts]\n"
    "mass_g = 400\n",
    "dotted": "present_shock.part_number = 'OLD'\npresent_shock.facts.mass_g = 400\n",
}  # fmt: skip


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("parts", [PutIn(shock="NEW", stroke_mm=50), PutIn(stroke_mm=50)])
def test_a_file_is_written_to_however_it_is_laid_out(
    layout: str, end: str, parts: PutIn, tmp_path: Path, folder: Path
) -> None:
    """What is said of the next table stays."""
    path, own = tmp_path / "bike.toml", LAYOUTS[layout]
    rider = "\n# Mine, weighed in May.\n[rider]\nmass_with_kit_kg = 80\n"
    path.write_bytes(f"[bike]\nname = 'x'\n{own}{rider}".replace("\n", end).encode())
    text, _ = written_back(path, parts, Measured(), read_catalogue(folder))
    got = tomllib.loads(text)
    now = got["bike"]["present_shock"]
    assert now["part_number"] == (parts.shock or "OLD")
    assert now["facts"] == {"stroke_mm": 50, **({} if parts.shock else {"mass_g": 400})}
    assert got["rider"] == {"mass_with_kit_kg": 80}
    assert f"# Mine, weighed in May.{end}[rider]" in text
    assert text.count("\n") == text.count(end)


def test_a_layout_that_cannot_be_written_to_is_refused(tmp_path: Path, folder: Path) -> None:
    path = tmp_path / "bike.toml"
    path.write_text("[bike]\npresent_shock.part_number = 'OLD'\n")
    with pytest.raises(BadInput, match="give each table a head of its own"):
        written_back(path, PutIn(stroke_mm=50), Measured(), read_catalogue(folder))


def test_facts_of_the_frame_s_own_shock_stay_with_that(tmp_path: Path) -> None:
    stock = "[bike]\n[bike.present_shock]\npart_number = 'OLD'\nvolume_spacers = 2\n"
    catalogue = read_catalogue(write_catalogue(
        tmp_path / "catalogue", shocks=[shock("OLD"), shock("NEW")], frames={"stock": stock},
    ))  # fmt: skip
    path = tmp_path / "bike.toml"
    path.write_text("[bike]\nframe = 'stock'\n")
    text, _ = written_back(path, PutIn(shock="NEW"), Measured(), catalogue)
    path.write_text(text)
    now = read_question([path], catalogue.frames).bike.present_shock
    assert now is not None
    assert (now.part_number, now.volume_spacers.known) == ("NEW", False)
    path.write_text("[bike]\nframe = 'stock'\n[bike.present_shock]\ncondition = 'good'\n")
    now = read_question([path], catalogue.frames).bike.present_shock
    assert now is not None
    assert (now.part_number, now.volume_spacers.low, now.condition) == ("OLD", 2, "good")


def test_a_number_of_the_delivered_tunes_is_known(tmp_path: Path) -> None:
    tunes = "part_number,shock,compression_class\nOLD/X1,OLD,firm\n"
    folder = write_catalogue(tmp_path / "catalogue", shocks=[shock("OLD")])
    (folder / "delivered_tunes.csv").write_text(tunes)
    path = tmp_path / "bike.toml"
    path.write_text("[bike]\n")
    text, _ = written_back(
        path, PutIn(shock="OLD/X1"), Measured(gap=9, eye_to_eye=161), read_catalogue(folder)
    )
    assert tomllib.loads(text)["bike"]["present_shock"]["part_number"] == "OLD/X1"


def test_command_writes_whole_or_nothing(bike: Path, folder: Path) -> None:
    run, options = CliRunner(), ["-c", str(folder), "--gap", "900", "--eye-to-eye", "158"]
    told = run.invoke(app, ["fitted", str(bike), *options])
    assert isinstance(told.exception, BadInput)
    assert bike.read_text(encoding="utf-8") == BIKE
    options[3] = "9"
    told = run.invoke(app, ["fitted", str(bike), *options])
    assert told.exit_code == 0, told.output
    assert tomllib.loads(bike.read_text(encoding="utf-8"))["bike"]["tyre"]["gap_mm"] == 9


def test_a_length_with_its_unit_is_told_what_is_accepted(tmp_path: Path) -> None:
    told = CliRunner().invoke(app, ["fitted", str(tmp_path), "--sag-down", "19.5mm"])
    assert told.exit_code == 2
    assert "'19.5mm': accepted: a plain number of mm" in " ".join(told.output.split())
    for odd in ("nan", "inf", "-inf"):
        told = CliRunner().invoke(app, ["fitted", str(tmp_path), "--stroke", odd])
        assert told.exit_code == 2
        assert "accepted: a plain number of mm" in " ".join(told.output.split())
