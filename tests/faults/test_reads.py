"""A catalogue that is changed while it is read is refused."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from recommender.catalogue import catalogue as reading
from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.source import read_bytes
from recommender.facts.problems import BadInput
from tests.catalogue import build


def opening(monkeypatch: pytest.MonkeyPatch, while_open: Callable[[], None]) -> None:
    """Does something once a file is open and its state noted, before it is read."""
    states = os.fstat
    calls = []

    def noted(handle: int) -> os.stat_result:
        found = states(handle)
        calls.append(handle)
        if len(calls) == 1:
            while_open()
        return found

    monkeypatch.setattr("recommender.catalogue.source.os.fstat", noted)


@pytest.mark.parametrize("change", ["grows", "shrinks", "same size"])
def test_a_file_that_changes_while_it_is_read(
    change: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "shocks.csv"
    path.write_text("part_number\nA\nB\n")
    os.utime(path, ns=(1, 1))
    new = {"grows": "part_number\nA\nB\nC\n", "shrinks": "part_number\n", "same size":
           "part_number\nA\nX\n"}[change]  # fmt: skip
    opening(monkeypatch, lambda: path.write_text(new) and None)
    with pytest.raises(BadInput, match=r"shocks\.csv: it was changed while it was read"):
        read_bytes(path, 1000)


def test_a_file_renamed_into_place_meanwhile_is_read_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As this project itself writes: whoever reads has the old file whole."""
    path, new = tmp_path / "shocks.csv", tmp_path / "new.csv"
    path.write_text("old")
    new.write_text("newer")
    opening(monkeypatch, lambda: os.replace(new, path))
    assert read_bytes(path, 1000) == b"old"
    assert path.read_text() == "newer"


def test_tables_that_change_between_one_another_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every table is changed on the disk as soon as it was read: none of them is believed."""
    folder = build.write_catalogue(tmp_path / "parts")
    read_catalogue(folder)

    def then_spoilt(path: Path, *rest: Any) -> bytes:
        data = read_bytes(path, *rest)
        path.write_text("spoilt")
        return data

    monkeypatch.setattr(reading, "read_bytes", then_spoilt)
    with pytest.raises(BadInput, match=r"shocks\.csv: changed while the catalogue was read"):
        read_catalogue(folder)
