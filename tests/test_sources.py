"""The contributors' guide lists every outside source that tests check against, and no other.

SOURCES_WRITE=1 writes the list anew.
"""

import os
import re
from pathlib import Path

from tests.sources import BEGIN, END, STANDINGS, TESTS, sources, table

GUIDE = TESTS.parent / "DEVELOPERS.md"


def test_the_guide_lists_what_the_tests_name() -> None:
    text = GUIDE.read_text(encoding="utf-8")
    begin, end = text.index(BEGIN), text.index(END) + len(END)
    if os.environ.get("SOURCES_WRITE"):
        GUIDE.write_text(text[:begin] + table() + text[end:], encoding="utf-8")
        return
    assert text[begin:end] == table(), "SOURCES_WRITE=1 writes it"


def test_every_source_has_words_and_a_standing() -> None:
    found = sources()
    assert len(found) >= 40
    assert {one.standing for one in found} == set(STANDINGS)
    assert [one for one in found if len(one.text) < 4] == []


def test_the_tests_that_hold_the_promises_are_there() -> None:
    """Each test named in the security section exists."""
    text = GUIDE.read_text(encoding="utf-8")
    section = text[text.index("## Security") : text.index("## Sources")]
    named = re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", section)
    assert len(named) >= 12
    for file, test in named:
        path: Path = TESTS.parent / file
        assert path.exists(), file
        assert not test or f"def {test}(" in path.read_text(encoding="utf-8"), (file, test)
