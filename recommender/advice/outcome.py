"""What another version of the catalogue would answer: states and first places that change."""

from recommender.answer.answer import Case
from recommender.answer.records import Record, State
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


class Outcome(Record):
    """How the answer to one question changes between two versions of a catalogue."""

    question: str
    currency: str
    states: tuple[StateChange, ...]
    first_old: Place
    first_new: Place

    @property
    def changes(self) -> bool:
        """Whether anything of it does."""
        return bool(self.states) or self.first_old != self.first_new


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
        first_old=_first(old), first_new=_first(new),
    )  # fmt: skip


def _states(case: Case) -> dict[str, str]:
    states = case.verdicts.state.tolist()
    return {key: STATES[state] for key, state in zip(case.keys, states, strict=True)}


def _first(case: Case) -> Place:
    if not len(case.order):
        return Place()
    best = case.order.firsts[0]
    name = "keep the fitted shock" if best.name == FITTED else best.name
    return Place(shock=name, price=best.price, points=best.points)
