"""A bundle's part in words."""

from recommender.answer.records import Part
from recommender.rules.choices import SPACERS


def part_words(part: Part) -> str:
    """What it is, with the name it is ordered by where the words do not hold that already."""
    if not part.text:
        return part.name
    # The words count an air shock's spacers, as the name does.
    plain = part.name in part.text or part.how == "keep" or part.name.endswith(SPACERS)
    return part.text if plain else f"{part.text} ({part.name})"
