"""What a column says of itself beside its unit, words and bounds."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Only:
    """Only the parts have it whose `field` is that word: blank in others is nothing unknown."""

    field: str
    word: str


@dataclass(frozen=True, slots=True)
class Blank:
    """What a blank says, where it stands for no unknown number: the maker sets no limit, or the
    fact is told by another one (a class's range, a price that is not asked for apart). `value` is
    what rules then read; None: what is told elsewhere."""

    says: Literal["no limit", "told elsewhere"]
    value: float | None = None


UNLIMITED = 1e6
NO_LIMIT, NO_LEAST = Blank("no limit", UNLIMITED), Blank("no limit", -UNLIMITED)
"""Of a highest and of a lowest value that a manual may state."""
ELSEWHERE = Blank("told elsewhere")
