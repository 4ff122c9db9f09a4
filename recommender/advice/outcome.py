"""What another version of the catalogue would answer: states and first places that change."""

from collections.abc import Iterator

from recommender.answer.answer import Case
from recommender.answer.records import Record, State
from recommender.ranking.firsts import First
from recommender.rules.market import FITTED
from recommender.search.verdicts import STATES


class StateChange(Record):
    """A shock whose verdict changes; '' where one version does not have it."""

    shock: str
    old: State | str
    new: State | str


class Place(Record):
    """The bundle in first place: shock, price and points; all blank if nothing fits."""

    shock: str = ""
    price: float = 0.0
    points: float = 0.0


class Move(Record):
    """A shock that is ranked by both versions, but at another price or with other points; places
    are counted from 1."""

    shock: str
    old_place: int
    new_place: int
    old: Place
    new: Place


class Outcome(Record):
    """How the answer to one question changes between two versions of a catalogue."""

    question: str
    currency: str
    states: tuple[StateChange, ...]
    first_old: Place
    first_new: Place
    moves: tuple[Move, ...] = ()

    @property
    def changes(self) -> bool:
        """Whether anything of it does."""
        return bool(self.states or self.moves) or self.first_old != self.first_new


def outcome(question: str, old: Case, new: Case) -> Outcome:
    """The change in the answer to one question, laid against both versions."""
    before, after = _states(old), _states(new)
    names = dict.fromkeys((*after, *before))
    changed = [
        StateChange(shock=name, old=before.get(name, ""), new=after.get(name, ""))
        for name in names
        if before.get(name) != after.get(name)
    ]
    # A shock that comes or goes ruled out changes no answer.
    telling = [one for one in changed if {one.old, one.new} != {"", "ruled out"}]
    return Outcome(
        question=question, currency=new.question.wishes.currency, states=tuple(telling),
        first_old=_first(old), first_new=_first(new), moves=tuple(_moves(old, new)),
    )  # fmt: skip


def _moves(old: Case, new: Case) -> Iterator[Move]:
    """Shocks ranked by both, in the new order, that are not as they were."""
    before = {one.name: (place, one) for place, one in enumerate(old.order.firsts, 1)}
    for place, one in enumerate(new.order.firsts, 1):
        if one.name in before:
            was, then = before[one.name]
            if _place(then) != _place(one):
                yield Move(
                    shock=_called(one), old_place=was, new_place=place, old=_place(then),
                    new=_place(one),
                )  # fmt: skip


def _states(case: Case) -> dict[str, str]:
    states = case.verdicts.state.tolist()
    return {key: STATES[state] for key, state in zip(case.keys, states, strict=True)}


def _first(case: Case) -> Place:
    if not len(case.order):
        return Place()
    return _place(case.order.firsts[0])


def _place(one: First) -> Place:
    return Place(shock=_called(one), price=one.price, points=one.points)


def _called(one: First) -> str:
    return "keep the fitted shock" if one.name == FITTED else one.name
