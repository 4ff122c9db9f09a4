"""A bundle's part in words."""

from typing import Literal

from recommender.answer.records import Part
from recommender.answer.shopping import price_words


def priced(
    part: Part, currency: str, unit: Literal["money", "cents"] = "money"
) -> tuple[str, str]:
    """What it and the work on it cost, in words."""
    return price_words(part.price_ends, part.labour_ends, currency, unit)


def part_words(part: Part) -> str:
    """What it is, with the name it is ordered by where the words do not hold that already."""
    if not part.text:
        return part.name
    plain = part.name in part.text or part.how == "keep"
    return part.text if plain else f"{part.text} ({part.name})"
