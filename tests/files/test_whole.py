"""Written whole or not at all."""

import os
from pathlib import Path

import pytest

from recommender.facts.problems import BadInput
from recommender.files.whole import write_whole


def told(path: Path, content: str | bytes = "x") -> str:
    with pytest.raises(BadInput) as caught:
        write_whole(path, content)
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    return problem.message


def test_text_and_bytes(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.txt", "sag 30 % ±\r\n")
    assert (tmp_path / "a.txt").read_bytes() == "sag 30 % ±\r\n".encode()
    write_whole(tmp_path / "a.txt", b"\0\xff")
    assert (tmp_path / "a.txt").read_bytes() == b"\0\xff"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_permissions_follow_the_mask_and_the_file_that_stood_there(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    before = os.umask(0o027)
    try:
        write_whole(path, "x")
    finally:
        os.umask(before)
    assert path.stat().st_mode & 0o777 == 0o640
    path.chmod(0o604)
    write_whole(path, "y")
    assert path.stat().st_mode & 0o777 == 0o604


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_whole(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


def test_places_that_take_no_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    folder = tmp_path / "none"
    assert told(folder / "a") == f"cannot be written: the folder {folder} does not exist"
    assert told(tmp_path) == "cannot be written: a folder of that name stands there"
    assert told(Path("/dev/null")) == "cannot be written: a device, not a file, stands there"
    assert "Not a directory" in told(tmp_path / "file" / "a")
    assert told(tmp_path / ("x" * 300)).startswith("cannot be written: ")
    assert told(tmp_path / "a\0b").startswith("cannot be written: ")
    assert told(tmp_path / "a", "\ud800").startswith("cannot be written: ")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["file"]


def test_a_failure_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.txt").write_text("old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("recommender.files.whole.os.fsync", full)
    assert told(tmp_path / "a.txt", "new") == "cannot be written: No space left on device"
    assert (tmp_path / "a.txt").read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_read_only_places(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("old")
    (tmp_path / "a.txt").chmod(0o444)
    assert told(tmp_path / "a.txt") == "cannot be written: the file is read-only"
    tmp_path.chmod(0o555)
    try:
        assert told(tmp_path / "b.txt") == "cannot be written: Permission denied"
    finally:
        tmp_path.chmod(0o755)
