"""One stage solved and then held, with the time that is left."""

import time

from recommender.fleet.model import Model
from recommender.fleet.programme import Solved, Terms


def minimise(model: Model, terms: Terms, end: float, last: Solved | None) -> Solved | None:
    """The stage's optimum; where the time runs out, the plan of the stage before with no bound."""
    try:
        return model.programme.minimise(terms, left(end))
    except TimeoutError:
        if last is None:
            raise
        value = sum(factor * last.values[column] for column, factor in terms.items())
        return Solved(last.values, float(value), min(0.0, float(value)))


def left(end: float) -> float:
    """Seconds left for the proof."""
    return max(1.0, end - time.monotonic())


def hold(model: Model, terms: Terms, value: float) -> None:
    """Keeps this stage's value for the stages after it."""
    whole = all(factor == round(factor) for factor in terms.values())
    model.programme.row(terms, most=value + (1e-6 if whole else 1e-4))
