"""What a picture of the page is, and what several of them ask of a bundle."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.bundle import completion_of
from recommender.answer.numbers import UNKNOWN
from recommender.answer.records import Answer, BundleRecord
from recommender.answer.wording import tell


@dataclass(frozen=True)
class Picture:
    """A picture with its caption; `key` names the lines it draws by their number."""

    title: str
    text: str
    svg: Markup
    key: tuple[tuple[int, str], ...] = ()


Pictures = Callable[[Case, Answer], Iterator[Picture]]
"""Draws what there is to draw of an answer: nothing, one picture or a few of one kind."""


def told_mm(case: Case, bundle: BundleRecord, fact: str) -> float | None:
    """A length of a bundle, None where it is not known."""
    shown = completion_of(case.order[bundle.rank - 1][0]).shown(fact)
    return None if tell(fact, shown) == UNKNOWN else (shown.low + shown.high) / 2
