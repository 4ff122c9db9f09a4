"""Changing the weights of criteria by name."""

import math
from collections.abc import Mapping

from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.facts.wishes import MOST_WEIGHT, Wishes
from recommender.ranking.criteria import every


def weighed(wishes: Wishes, weights: Mapping[str, float]) -> Wishes:
    """The wishes with those criteria's weights set. Raises BadInput for unknown names."""
    if not weights:
        return wishes
    known = {one.name: one for one in every(wishes)}
    problems = []
    changes: dict[str, object] = {}
    comfort = dict(wishes.weights)
    for name, weight in weights.items():
        if name not in known:
            accepted = ", ".join(known)
            problems.append(
                Problem(
                    "--weight", f"no such criterion; accepted: {accepted}"
                    f"{nearest(name, list(known))}", value=name,
                )
            )  # fmt: skip
        elif not (math.isfinite(weight) and 0 <= weight <= MOST_WEIGHT):
            message = f"a weight of 0 to {MOST_WEIGHT} is accepted, 1 is plain"
            problems.append(Problem("--weight", message, column=name, value=f"{weight:g}"))
        elif known[name].wish:
            wish = getattr(wishes, known[name].wish)
            changes[known[name].wish] = wish.model_copy(update={"weight": weight})
        else:
            comfort[name] = weight
    if problems:
        raise BadInput(problems)
    return wishes.model_copy(update={**changes, "weights": comfort})
