"""The command line's own answer for moved wishes, in the shape in which the page's is compared."""

import random
from collections.abc import Mapping
from typing import Any

from recommender.answer.answer import Case
from recommender.catalogue.question import Question
from recommender.facts.wishes import Wishes
from recommender.ranking.weights import weighed

Move = Mapping[str, Any]


def moved(case: Case, move: Move) -> Case:
    """The case with wishes and weights as the page's script has them: judged from the start."""
    told = case.question.wishes.model_dump()
    for name, wish in move["wishes"].items():
        told[name] = {**told[name], "must": wish["must"], "prefer": wish["prefer"]}
    wishes = weighed(Wishes.model_validate(told), told_weights(case, move))
    question = case.question
    return Case(Question(question.bike, question.rider, wishes, question.digest), case.catalogue)


def told_weights(case: Case, move: Move) -> dict[str, float]:
    """Weights of criteria that these wishes have at all: an unset wish has none to weigh."""
    stated = {"travel": "travel_mm", "adjusters": "adjusters", "spring kind": "spring_kind"}
    unset = {
        name for name, wish in stated.items()
        if move["wishes"][wish]["must"] is None and move["wishes"][wish]["prefer"] is None
    }  # fmt: skip
    return {name: weight for name, weight in move["weights"].items() if name not in unset}


def told(case: Case) -> list[dict[str, Any]]:
    """Of every shock that is not ruled out its state and best bundle, in order."""
    rows = []
    for found in case.order:
        best = found[0]
        rows.append(
            {
                "key": case.keys[best.bundle.whole.shock],
                "state": case.state(best.bundle.whole.shock),
                "sure": best.bundle.sure,
                "points": best.points,
                "price": best.price,
                "mass": best.mass,
                "days": best.days,
                "workshop": best.workshop,
                "doubt": best.bundle.doubtful.bit_count(),
                "scores": [[one.criterion.name, one.value, one.points] for one in best.scores],
                "parts": options(best.bundle),
            }
        )
    return rows


def options(bundle: Any) -> list[int]:
    """What the bundle chooses: rows of the option tables."""
    names = [name for group in bundle.whole.groups for name in group.choices]
    return [int(bundle.option(name)) for name in names]


def random_move(data: Mapping[str, Any], rng: random.Random) -> dict[str, Any]:
    """Wishes and weights somewhere in what the page's controls allow, often at a limit that some
    bundle just meets or just misses."""
    prices = _near(data, "price", rng)
    masses = _near(data, "mass", rng)

    def amount(values: list[float], loose: float) -> float | None:
        if rng.random() < 0.3:
            return None
        return max(0.0, rng.choice(values) + rng.choice([0.0, 0.0, -0.01, 1.0, loose, -loose]))

    def band() -> list[float | None] | None:
        if rng.random() < 0.3:
            return None
        low, high = sorted((rng.choice(range(90, 190)), rng.choice(range(90, 190))))
        return [rng.choice([None, float(low)]), rng.choice([None, float(high)])]

    def some() -> list[str] | None:
        names = ["rebound", "low-speed compression", "high-speed compression", "lockout"]
        return None if rng.random() < 0.4 else [n for n in names if rng.random() < 0.35]

    def word() -> str | None:
        return rng.choice([None, None, "air", "coil"])

    days = [float(n) for n in range(0, 40, 3)]
    wishes = {
        "budget": {"must": amount(prices, 100), "prefer": amount(prices, 100)},
        "mass_g": {"must": amount(masses, 60), "prefer": amount(masses, 60)},
        "days": {"must": amount(days, 2), "prefer": amount(days, 2)},
        "travel_mm": {"must": band(), "prefer": band()},
        "adjusters": {"must": some(), "prefer": some()},
        "spring_kind": {"must": word(), "prefer": word()},
    }
    weights = {
        one["name"]: rng.choice([one["weight"], 0.0, 0.25, 1.0, 2.75, 10.0])
        for one in data["criteria"]
    }
    if rng.random() < 0.5:
        for name in data["wishes"]:
            if rng.random() < 0.7:
                wishes[name] = data["wishes"][name]
    return {"wishes": wishes, "weights": weights}


def _near(data: Mapping[str, Any], what: str, rng: random.Random) -> list[float]:
    """Totals that bundles come to."""
    out = [100.0]
    for shock in data["shocks"]:
        for way in shock["ways"]:
            ends = [columns(data, group, what)[rng.choice((1, 2))] for group in way["groups"]]
            out.append(sum(rng.choice(one) if len(set(one)) > 1 else one[0] for one in ends))
    return out


def columns(data: Mapping[str, Any], group: int, what: str) -> list[list[float]]:
    """What that quantity of a group's entries is shown as, and the least and the most it may be."""
    told = data["groups"][group][data["fields"].index(what)]
    some = [told] * 3 if isinstance(told, int) else told
    return [data["columns"][one] for one in some]
