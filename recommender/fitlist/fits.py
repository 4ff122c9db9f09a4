"""One bike's verdict on every shock of the catalogue, with its reasons as a set of rules."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.explain.refine import REFINED, refine
from recommender.facts.wishes import Wishes
from recommender.rules.market import FITTED, open_market
from recommender.search.families import Sets
from recommender.search.judging import judge
from recommender.search.screening import Screening
from recommender.search.verdicts import FITS, RULED_OUT

STATES = REFINED


@dataclass(frozen=True)
class Fits:
    """`state` indexes STATES, shock by shock; `reasons` holds bits of the rules behind it.

    Ruled out: what no choice can mend about the shock as mounted, or, where that is nothing, what
    its least-broken completion breaks. Open, or waiting: the rules in doubt. Fits: none. `keys` has
    the fitted shock last where the bike's file tells it.
    """

    keys: tuple[str, ...]
    state: np.ndarray
    reasons: Sets

    def counts(self) -> tuple[int, ...]:
        """How many shocks are in each of STATES."""
        return tuple(np.bincount(self.state, minlength=len(STATES)).tolist())


class Judge:
    """Judges bike after bike for one rider with one set of wishes; alike bikes share the work.

    `closer` looks at open shocks along each unknown fact, as the commands for one bike do.
    """

    def __init__(self, catalogue: Catalogue, wishes: Wishes, closer: bool) -> None:
        self._catalogue = catalogue
        self._closer = closer
        self._screening = Screening(wishes, len(catalogue.shocks))
        self._last: tuple[Question, Fits] | None = None

    @property
    def rules(self) -> tuple[str, ...]:
        """What each bit of the reasons means."""
        return self._screening.rules.bits

    @cached_property
    def _keys(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Of the catalogue's shocks, and with the fitted one; the same objects for every bike."""
        keys = tuple(self._catalogue.shocks.keys())
        return keys, (*keys, FITTED)

    def fits(self, question: Question) -> Fits:
        """The verdicts on every shock, the fitted one last. Raises BadInput as `open_market`."""
        asked = _read_by_rules(question)
        if self._last is None or self._last[0] != asked:
            self._last = asked, self._fits(question)
        return self._last[1]

    def _fits(self, question: Question) -> Fits:
        market, wishes = open_market(question, self._catalogue), question.wishes
        fitted = int(market.present is not None)
        screened = np.append(self._screening.sets(market), np.zeros(fitted, np.uint64))
        rows = np.flatnonzero(screened == 0)
        state = np.full(len(screened), RULED_OUT, np.int8)
        reasons = screened
        if len(rows):
            verdicts = judge(market, wishes, rows)
            state[rows] = verdicts.state[rows]
            if self._closer:
                state = refine(market, wishes, verdicts).state
            broken = np.where(verdicts.state == RULED_OUT, verdicts.broken, verdicts.doubtful)
            reasons = np.where(screened == 0, broken, screened)
            reasons[state == FITS] = 0
        return Fits(self._keys[fitted], state, reasons)


def _read_by_rules(question: Question) -> Question:
    """The question without what no rule reads: bikes that are alike in the rest share a run."""
    bike = question.bike.model_copy(update={"name": "", "frame": "", "source": ""})
    return Question(bike, question.rider, question.wishes, "")


