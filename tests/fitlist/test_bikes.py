"""Bikes from frames, a folder or a CSV."""

from pathlib import Path

import pytest

from recommender.catalogue.frames import read_frames
from recommender.cli.inputs import shipped
from recommender.facts.problems import BadInput
from recommender.fitlist.bikes import read_bikes

FRAMES = read_frames(shipped("catalogs") / "frames")
ID = "nevelstrand-ledda"


def _csv(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "bikes.csv"
    path.write_text(text)
    return path


def _told(path: Path) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read_bikes(path, FRAMES)
    return [str(problem) for problem in caught.value.problems]


def test_the_frames_of_the_catalogue() -> None:
    found = read_bikes(None, FRAMES)
    assert [one.name for one in found.bikes] == list(FRAMES)
    assert [one.bike for one in found.bikes] == [frame.bike for frame in FRAMES.values()]


def test_a_row_is_what_a_bike_file_would_say(tmp_path: Path) -> None:
    path = _csv(
        tmp_path,
        "bike,frame,sizes,head.gap_mm,shaft.gap_in,allows.coil,room.measured,tyre.gap_mm\n"
        f"A,{ID},,,,,,\n"
        f"B,{ID},210 x 52.5; 230x65,30.1 +/- 0.1,1,no,extended,?\n",
    )
    (one, two) = read_bikes(path, FRAMES).bikes
    assert one.bike.head == FRAMES[ID].bike.head
    assert two.bike.name == "B"
    assert (two.bike.head.gap_mm.low, two.bike.head.gap_mm.kind) == (30.0, "measured")
    assert two.bike.shaft.gap_mm.low == pytest.approx(25.4)
    assert [size.length_mm.low for size in two.bike.sizes] == [210, 230]
    assert two.bike.allows.coil == "no"
    assert two.bike.tyre.gap_mm == FRAMES[ID].bike.tyre.gap_mm  # a blank leaves the frame's word


def test_a_folder_of_bike_files(tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text(f'[bike]\nname = "mine"\nframe = "{ID}"\n')
    (tmp_path / "a.toml").write_text('[bike]\nmount = "trunnion"\n')
    found = read_bikes(tmp_path, FRAMES).bikes
    assert [one.name for one in found] == ["a", "b"]
    assert found[1].bike.sizes == FRAMES[ID].bike.sizes


def test_every_change_of_what_was_read_changes_the_digest(tmp_path: Path) -> None:
    texts = (
        f"bike,frame\nA,{ID}\n", f"bike,frame\nB,{ID}\n", f"bike,mount\nA,{ID[:0]}eyelet\n",
        f"bike,frame\nA,{ID}\nB,{ID}\n",
    )  # fmt: skip
    digests = [read_bikes(_csv(tmp_path, text), FRAMES).digest for text in texts]
    assert len(set(digests)) == len(texts)


def test_every_problem_of_a_file_with_its_place(tmp_path: Path) -> None:
    told = _told(
        _csv(
            tmp_path,
            "bike,frame,sizes,head.gap_mm,allows.coil\n"
            "A,nevelstrand-leda,,,\n"
            "A,,210 by 50,,\n"
            ",,,nan,\n"
            "C,,210x150,,perhaps,left over\n",
        )
    )
    joined = "\n".join(told)
    for part in (
        "row 2, frame: 'nevelstrand-leda': no frame of the catalogue has this id; nearest: "
        "'nevelstrand-ledda'",
        "row 3, bike: 'A': stands in row 2 already",
        "row 3, sizes: '210 by 50': accepted: length x longest stroke",
        "row 4, bike: a blank is not accepted",
        "row 4, head.gap_mm: 'nan'",
        "row 5, allows.coil: 'perhaps'",
        "row 5: 'left over': more cells than the header",
    ):
        assert part.split(";")[0] in joined, joined
    assert "Traceback" not in joined


@pytest.mark.parametrize(
    ("header", "part"),
    [
        ("bike,head.gapp_mm", "head.gapp_mm: no such field"),
        ("bike,heads.gap_mm", "heads.gap_mm: no such table of a bike; nearest: 'head'"),
        ("bike,head", "head: this is a table"),
        ("bike,leverage.table", "leverage.table: this is a table"),
        ("bike,mount,mount", "mount: this column stands twice"),
        ("name,mount", "the column bike is missing"),
    ],
)
def test_columns_that_are_not(tmp_path: Path, header: str, part: str) -> None:
    (told,) = _told(_csv(tmp_path, f"{header}\nA{chr(44) * header.count(chr(44))}\n"))
    assert "row 1" in told
    assert part.split(";")[0] in told


def test_a_bike_file_may_not_bring_its_own_rider(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text('[bike]\n[rider]\ntaste = "firm"\n')
    assert "one rider" in _told(tmp_path)[0]


def test_nothing_to_list(tmp_path: Path) -> None:
    assert "no bike" in _told(tmp_path)[0]
    assert "no bike" in _told(_csv(tmp_path, "bike,mount\n"))[0]
    with pytest.raises(BadInput, match="holds no frames"):
        read_bikes(None, {})
