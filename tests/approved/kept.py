"""Texts that were looked at once and are kept: `APPROVED_WRITE=1` writes them afresh."""

import os
from collections.abc import Iterable
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent / "answers"


def same_as_kept(name: str, told: Iterable[str]) -> None:
    """Fails where the text is not, letter by letter, the one that is kept."""
    path = FOLDER / f"{name}.txt"
    text = "\n".join(told) + "\n"
    if os.environ.get("APPROVED_WRITE"):
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        pytest.skip("written afresh")
    assert text.splitlines() == path.read_text(encoding="utf-8").splitlines(), (
        f"{path.name} is told otherwise than it was kept; look at the difference, and if it is "
        "meant write it afresh: APPROVED_WRITE=1 python -m pytest tests/approved"
    )
