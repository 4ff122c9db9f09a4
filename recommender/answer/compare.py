"""Two candidates side by side: why one stands above the other, and what would turn that round."""

from recommender.answer.answer import Case
from recommender.answer.replies import Comparison, Difference, Turn
from recommender.facts.problems import BadInput, Problem
from recommender.ranking.order import Ranked
from recommender.ranking.stability import weight_to_win


def compare(case: Case, one: str, other: str) -> Comparison:
    """The better first. Raises BadInput where one of the two is ruled out or unknown, or both are
    the same."""
    places = sorted(case.place(name) for name in (one, other))
    if places[0] == places[1]:
        raise BadInput([Problem("the question", "name two different shocks", value=other)])
    winner, loser = (case.order[place][0] for place in places)
    first, second = map(case.record, places)
    differences = [
        Difference(
            criterion=a.criterion.name, unit=a.criterion.unit, first=round(a.quantity, 6),
            second=round(b.quantity, 6), points=round(a.points - b.points, 6),
        )
        for a, b in zip(winner.scores, loser.scores, strict=True)
    ]  # fmt: skip
    return Comparison(
        first=first,
        second=second,
        lead=round(winner.points - loser.points, 6),
        certainty_decides=winner.bundle.sure != loser.bundle.sure,
        differences=tuple(sorted(differences, key=lambda d: -abs(d.points))),
        turns=tuple(_turns(winner, loser)),
    )


def _turns(winner: Ranked, loser: Ranked) -> list[Turn]:
    """What alone would put the second first: a weight, or a lower price of the second."""
    if winner.bundle.sure != loser.bundle.sure:
        return []
    out = [
        Turn(what=f"weight of {name}", now=_weight(loser, name), needed=round(weight, 4))
        for name, weight in weight_to_win(loser, winner).items()
        if weight <= 100
    ]
    price = _price_to_win(loser, winner)
    if price is not None:
        out.append(Turn(what="price of the second", now=loser.price, needed=price))
    return out


def _weight(one: Ranked, name: str) -> float:
    return next(s.criterion.weight for s in one.scores if s.criterion.name == name)


def _price_to_win(loser: Ranked, winner: Ranked) -> float | None:
    """The highest price, to the cent, at which the second's points reach the first's."""
    score = next((s for s in loser.scores if s.criterion.fact == "price"), None)
    if score is None:
        return None
    gap = winner.points - loser.points

    def reaches(cents: int) -> bool:
        value = float(score.criterion.value(cents / 100))
        return score.criterion.weight * value - score.points >= gap

    low, high = 0, round(loser.price * 100)
    if not reaches(low):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if reaches(middle) else (low, middle - 1)
    return low / 100
