"""A short seeded run over every reader, and what longer runs have found.

Standing of these inputs: D, each is the finding itself.
"""

import random
import time
import tomllib
from pathlib import Path

import pytest

from recommender.advice.asking import answered, size_of
from recommender.advice.questions import BY_NAME
from recommender.advice.writing import toml_text
from recommender.catalogue.document import read_toml
from recommender.catalogue.foreign import read_number
from recommender.facts.fields import numbers
from recommender.facts.nearest import nearest
from recommender.facts.parts import Shock
from recommender.facts.problems import BadInput
from recommender.fleet.groups import fold
from recommender.fleet.reading import read_fleet
from tests.fuzz.mutate import mutated
from tests.fuzz.run import random_run
from tests.fuzz.targets import Place, prepared, small_catalogue, targets
from tests.fuzz.watch import Broken, watched


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Place:
    return prepared(tmp_path_factory.mktemp("fuzz"))


def test_every_reader_on_a_few_spoilt_files(
    place: Place, monkeypatch: pytest.MonkeyPatch, recwarn: pytest.WarningsRecorder
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(place.scratch))
    monkeypatch.chdir(place.scratch)
    tally = random_run(targets(place), place, inputs=700, seconds=60, seed=7)
    assert tally.findings == {}
    assert set(tally.taken) == {one.name for one in targets(place)}, "a sound file was refused"


def test_the_watch_notices(tmp_path: Path) -> None:
    """Else the runs would promise nothing."""
    inside, outside = tmp_path / "in", tmp_path / "out"
    inside.mkdir()
    with watched([inside]):
        (inside / "a").write_text("x")
    with pytest.raises(Broken, match="open of"), watched([inside]):
        outside.write_text("x")
    with pytest.raises(Broken, match=r"os\.mkdir of"), watched([inside]):
        outside.mkdir()
    assert not outside.exists()


def test_a_hang_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.fuzz.watch.SECONDS", 0.05)
    with pytest.raises(Broken, match="still at it"), watched([]):
        sum(1 for _ in iter(int, 1))


def test_the_same_seed_makes_the_same_inputs() -> None:
    sound = b'[bike]\nname = "a"\nhead = { gap_mm = 22 }\n'

    def made(seed: int) -> list[bytes]:
        rng = random.Random(seed)
        return [mutated(sound, [sound], rng) for _ in range(50)]

    assert made(3) == made(3) != made(4)
    assert len(set(made(3))) > 40


@pytest.mark.parametrize("count", ["2 to 3", "2 +/- 1", "1.5"])
def test_a_count_that_is_not_one_whole_number(count: str, tmp_path: Path) -> None:
    path = tmp_path / "fleet.csv"
    path.write_text(f"model,count\nbench,{count}\n")
    with pytest.raises(BadInput, match=r"row 2, count: .*: a whole number is wanted"):
        read_fleet(path)


def test_a_frame_named_as_a_file_is_that_frame(place: Place, tmp_path: Path) -> None:
    path = tmp_path / "fleet.csv"
    path.write_text("bike,model,rider_mass_with_kit_kg\nA,bench,80\nB,bench.toml,80\n")
    read = small_catalogue(place.parts)
    plain, dotted = fold(read_fleet(path), tmp_path, read)
    assert plain.question.bike == dotted.question.bike


LONG = 30_000


@pytest.mark.parametrize("text", ["1" + " " * LONG + "2", "1 x" * LONG, "9" * LONG, "€" * LONG])
@pytest.mark.parametrize("field", ["length_mm", "price"])
@pytest.mark.parametrize("part", [None, 1])
def test_a_cell_of_many_letters_takes_no_time(text: str, field: str, part: int | None) -> None:
    """The patterns would take the square of its length: minutes for a cell that a CSV may hold."""
    start = time.process_time()
    got = read_number(text, numbers(Shock)[field], ",", "", part)
    assert "letters" in got.fault
    assert time.process_time() - start < 0.5


def test_a_typed_size_of_many_letters_takes_no_time() -> None:
    with pytest.raises(ValueError, match="letters"):
        size_of("210" + " " * LONG + "x 55")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[bike]\n" + "a." * LONG + "a = 1\n", "row 2: nested too deeply: a key of over 20 parts"),
        ("[" + '"a" . ' * 30 + "a]\n", "row 1: nested too deeply"),
        ("[bike]\n" + "".join(f"[bike.a{k}]\n" for k in range(6000)), "6002 values; at most 5000"),
        ("[bike]\nsizes = [" + "1," * 6000 + "]\n", "6003 values; at most 5000"),
    ],
)
def test_a_document_of_many_parts_is_refused_at_once(text: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "question.toml"
    path.write_text(text)
    with pytest.raises(BadInput, match=told):
        read_toml(path)


def test_dots_in_texts_and_numbers_are_no_deep_key(tmp_path: Path) -> None:
    path = tmp_path / "question.toml"
    path.write_text("[bike]\nname = 'a.b, c. d'\nx = [" + "1.5, " * 60 + "]\n# 1.2.3 ...........\n")
    raw, _ = read_toml(path)
    assert len(raw["bike"]["x"]) == 60


def test_an_answer_beside_a_figure_that_is_none_is_kept() -> None:
    """`ask --go-on` is no judge of the file: whoever reads it next refuses the NaN."""
    old = "[wishes]\nreserve_mm = { prefer = nan }\n"
    document = answered(tomllib.loads(old), BY_NAME["rider"], "Wren")
    text = toml_text(document, old)
    assert "prefer = nan" in text
    assert 'name = "Wren"' in text


@pytest.mark.parametrize("text", ['"', '"",\n"",\n', ";;;\n"])
def test_a_table_of_blank_cells_is_empty(text: str, tmp_path: Path) -> None:
    path = tmp_path / "fleet.csv"
    path.write_text(text)
    with pytest.raises(BadInput, match=r"fleet\.csv: the file is empty"):
        read_fleet(path)


@pytest.mark.parametrize("text", ["inf", "1e999", "nan", "-Infinity %"])
def test_an_answer_that_is_no_number(text: str) -> None:
    with pytest.raises(ValueError, match="NaN and infinity are not accepted"):
        answered({}, BY_NAME["sag"], text)


def test_a_near_name_is_sought_by_the_first_letters() -> None:
    start = time.process_time()
    assert nearest("tunnion" + "x" * 200_000, ("trunnion", "eyelet")) == ""
    assert nearest("tunnion", ("trunnion", "eyelet")) == "; nearest: trunnion"
    assert time.process_time() - start < 0.5
