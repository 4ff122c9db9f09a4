"""Which completions of a shock fit, and what that says where one fact is loose."""

from itertools import product

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from tests.search.referee import Referee


def fitting(question: Question, catalogue: Catalogue, shock: int) -> frozenset[tuple[str, ...]]:
    """The completions of a shock that break nothing whatever is measured, by their labels."""
    referee = Referee(question, catalogue)
    found = set()
    for facts, options in referee.variants(shock):
        labels = product(*([one.label for one in options[choice]] for choice in options))
        way = "turned" if facts["shock_reversed"].values[0] else "straight"
        for named, (_, maybe) in zip(labels, referee.completions(facts, options), strict=True):
            if not maybe:
                found.add((way, *named))
    return frozenset(found)


def state_along(fits: list[frozenset[tuple[str, ...]]]) -> str:
    """What is true of a shock of which one fact is loose, from what fits at each of its values."""
    if frozenset.intersection(*fits):
        return "fits"
    if all(fits):
        return "fits, the choice waits for a measurement"
    return "open" if any(fits) else "ruled out"
