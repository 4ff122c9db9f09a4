"""DEVELOPERS.md: the files and commands it names are there, its glossary has the words in use."""

import importlib.util
import re
from pathlib import Path

import pytest

from recommender.facts import words
from recommender.facts.wishes import ADJUSTERS, Wishes
from recommender.ranking.criteria import criteria
from recommender.search.verdicts import STATES

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
GLOSSARY = TEXT[TEXT.index("## Glossary") : TEXT.index("## How to add things")].lower()
CHOICES = (
    words.MOUNTS, words.EYES, words.AXES, words.SPRING_KINDS, words.CLASSES, words.KIT_KINDS,
    words.BUSHINGS[1:], words.BASES, words.TASTES, words.ENDS, STATES, ADJUSTERS,
)  # fmt: skip


@pytest.mark.parametrize("word", sorted({word for some in CHOICES for word in some}))
def test_words_that_fields_take_are_in_the_glossary(word: str) -> None:
    for one in re.split(r"[ -]", word):
        assert one in GLOSSARY


@pytest.mark.parametrize("name", [one.name for one in criteria(Wishes())])
def test_what_is_valued_is_in_the_glossary(name: str) -> None:
    known = {"price", "mass", "days", "to", "spare", "the", "in", "certainty", "needed", "play"}
    for one in set(name.split()) - known:
        assert one in GLOSSARY, f"say in DEVELOPERS' glossary what the criterion's {one!r} is"


@pytest.mark.parametrize("name", sorted(set(re.findall(r"`([a-z_/]+\.py)(?:::\w+)?`", TEXT))))
def test_files_it_names_exist(name: str) -> None:
    assert (ROOT / name).exists() or (ROOT / "recommender" / name).exists()


@pytest.mark.parametrize("module", sorted(set(re.findall(r"python -m (tests[\w.]+)", TEXT))))
def test_commands_it_names_exist(module: str) -> None:
    assert importlib.util.find_spec(module) is not None
