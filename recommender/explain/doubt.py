"""What to measure next: how many open verdicts each unknown fact could settle, and which way.

A fact is fixed at one value after another, everything else left as loose as it is, and the shocks
that it concerns are judged again; where two neighbouring values disagree, the value between them
is looked at, so the values at which verdicts turn are found to a part in `TURNS` of the range.
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.explain.again import Again
from recommender.explain.deciding import Deciding
from recommender.explain.narrowing import narrowed, value_at
from recommender.explain.unknowns import (
    Live,
    Unknown,
    live_rules,
    pulls_both_ways,
    question_unknowns,
    shock_unknowns,
)
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, Verdicts

TURNS = 1024
_MOST = 60
"""Values looked at of one fact, at most."""
_COARSE = 1 / 32
"""How finely a fact of the question is looked at for values between two that settle alike."""

Best = Callable[[Market, Verdicts], Hashable]
"""Names what comes first in a ranking; nothing here knows how."""


@dataclass(frozen=True)
class Stretch:
    """Values of a fact, first to last, for which the verdicts are the same (of a word: its number,
    twice); the shocks that then fit and that are then ruled out. `share` of the whole range."""

    low: float
    high: float
    share: float
    fits: tuple[int, ...]
    out: tuple[int, ...]

    @property
    def settled(self) -> int:
        """How many open verdicts such a value settles."""
        return len(self.fits) + len(self.out)


@dataclass(frozen=True)
class Measurement:
    """A fact worth knowing. `shock` is -1 for a fact of the question, else whose fact it is.

    `first_may_change` says whether some value puts another bundle first; None: not asked.
    """

    unknown: Unknown
    shock: int
    stretches: tuple[Stretch, ...]
    first_may_change: bool | None = None

    @property
    def most(self) -> int:
        """Verdicts that it settles at best."""
        return max((one.settled for one in self.stretches), default=0)

    @property
    def mean(self) -> float:
        """Verdicts that it settles if every value is as likely as another."""
        return sum(one.share * one.settled for one in self.stretches)

    @property
    def key(self) -> tuple[float, int, bool, str, int]:
        """By what is settled on average, then at best; facts of the question before a shock's."""
        return -round(self.mean, 6), -self.most, self.shock >= 0, self.unknown.fact, self.shock


@dataclass(frozen=True)
class _Trace:
    """States of some shocks at one value after another, as fractions of what the fact may be."""

    unknown: Unknown
    rows: Ints
    at: tuple[float, ...]
    states: tuple[np.ndarray, ...]
    doubtful: Mapping[float, Mask] = field(default_factory=dict)
    """By value the shocks that may be in another state up to the next value than at both."""

    def joined(self, k: int, some: Sequence[int]) -> bool:
        """Whether nothing is in doubt for those shocks from one value to the next."""
        return self.at[k] not in self.doubtful or not self.doubtful[self.at[k]][some].any()

    @property
    def settled(self) -> float:
        return float(np.mean([(one != OPEN).sum() for one in self.states]))


def measurements(
    market: Market,
    wishes: Wishes,
    verdicts: Verdicts,
    best: Best | None = None,
    detail: int = 3,
    state: np.ndarray | None = None,
) -> tuple[Measurement, ...]:
    """Facts that could settle some open verdict, the most telling first.

    The `detail` most telling facts of the question, and of the shocks, are looked at closely; the
    rest at the ends, and in the middle where rules pull both ways. `state` may hold states better
    than the verdicts' own (`refine`).
    """
    live = live_rules(wishes)
    open_rows = np.flatnonzero((verdicts.state if state is None else state) == OPEN)
    again = Again(market, wishes, live)
    deciding = Deciding(market, wishes, live, verdicts.rules, open_rows)
    out: list[Measurement] = []
    for unknowns in (question_unknowns(market, live), shock_unknowns(market, live)):
        found = [(one, deciding.concerned(one, open_rows, least=1)) for one in unknowns]
        traces = _traces(again, live, [(one, rows) for one, rows in found if len(rows)])
        traces = sorted(traces, key=lambda one: -one.settled)
        for rank, trace in enumerate(traces):
            close = rank < detail and trace.settled > 0
            looked = _between(again, live, _closer(again, trace) if close else trace)
            out += _told(market, verdicts, looked, best if close else None)
    return tuple(sorted((one for one in out if one.most), key=lambda one: one.key))


def _traces(again: Again, live: Live, asked: Sequence[tuple[Unknown, Ints]]) -> list[_Trace]:
    """The states of each fact's shocks at its ends, and in the middle where rules pull both ways;
    at each of its words. Columns of the shocks are looked at all together."""
    at = [_values(live, unknown) for unknown, _ in asked]
    looks = [(k, value) for k, values in enumerate(at) for value in values]
    if asked and asked[0][0].place == "shocks":
        sizes = [len(asked[k][1]) for k, _ in looks]
        which, value = (np.repeat(one, sizes) for one in zip(*looks, strict=True))
        rows = np.concatenate([asked[k][1] for k, _ in looks])
        states = again.cells([one for one, _ in asked], which, rows, value, value)
        every = np.split(states, np.cumsum(sizes)[:-1])
    else:
        every = [again.states(asked[k][0], (one, one), asked[k][1]) for k, one in looks]
    states_of: dict[int, list[np.ndarray]] = {}
    for (k, _), mine in zip(looks, every, strict=True):
        states_of.setdefault(k, []).append(mine)
    return [
        _Trace(unknown, rows, at[k], tuple(states_of[k])) for k, (unknown, rows) in enumerate(asked)
    ]


def _values(live: Live, unknown: Unknown) -> tuple[float, ...]:
    if unknown.number:
        return (0.0, 0.5, 1.0) if pulls_both_ways(unknown, live) else (0.0, 1.0)
    return tuple(piece[0] for piece in unknown.pieces)


def _closer(again: Again, trace: _Trace) -> _Trace:
    """The trace with values added between neighbours that disagree, the widest gap first."""
    if not trace.unknown.number:
        return trace
    found = dict(zip(trace.at, trace.states, strict=True))
    while len(found) < _MOST:
        at = sorted(found)
        gaps = [
            (high - low, low)
            for low, high in pairwise(at)
            if high - low > 1 / TURNS and not np.array_equal(found[low], found[high])
        ]
        if not gaps:
            break
        width, low = max(gaps, key=lambda gap: (gap[0], -gap[1]))
        middle = low + width / 2
        found[middle] = again.states(trace.unknown, (middle, middle), trace.rows)
    at = sorted(found)
    return _Trace(trace.unknown, trace.rows, tuple(at), tuple(found[one] for one in at))


def _between(again: Again, live: Live, trace: _Trace) -> _Trace:
    """The trace with what lies between two values that settle alike looked at as well: the whole
    of it is judged, and where that does not settle so too it is halved, or stays doubtful."""
    if not trace.unknown.number or not pulls_both_ways(trace.unknown, live):
        return trace
    found = dict(zip(trace.at, trace.states, strict=True))
    todo = list(pairwise(trace.at))
    doubtful: dict[float, Mask] = {}
    finest = 1.0 if trace.unknown.place == "shocks" else _COARSE
    while todo:
        low, high = todo.pop(0)
        alike = (found[low] == found[high]) & (found[low] != OPEN)
        if not alike.any():
            continue
        over = again.states(trace.unknown, (low, high), trace.rows)
        unsure = alike & (over != found[low])
        if not unsure.any():
            continue
        if high - low <= finest or len(found) >= _MOST:
            doubtful[low] = unsure
            continue
        middle = (low + high) / 2
        found[middle] = again.states(trace.unknown, (middle, middle), trace.rows)
        todo += [(low, middle), (middle, high)]
    at = sorted(found)
    states = tuple(found[one] for one in at)
    return _Trace(trace.unknown, trace.rows, tuple(at), states, doubtful)


def _told(
    market: Market, verdicts: Verdicts, trace: _Trace, best: Best | None
) -> list[Measurement]:
    """One measurement for a fact of the question; for a column of the shocks one a shock."""
    own = trace.unknown.place == "shocks"
    columns = [[k] for k in range(len(trace.rows))] if own else [list(range(len(trace.rows)))]
    out = []
    for some in columns:
        shock = int(trace.rows[some[0]]) if own else -1
        runs = _runs(trace, some)
        stretches = tuple(_stretch(market, trace, run, some, shock) for run in runs)
        changes = None
        if best is not None and any(one.settled for one in stretches):
            changes = _first_changes(market, verdicts, trace, runs, some, best)
        out.append(Measurement(trace.unknown, shock, stretches, changes))
    return out


def _runs(trace: _Trace, some: Sequence[int]) -> list[list[int]]:
    """Neighbouring values with the same states of those shocks; a word stands for itself."""
    runs: list[list[int]] = []
    for k, states in enumerate(trace.states):
        same = bool(runs) and np.array_equal(trace.states[runs[-1][0]][some], states[some])
        if same and trace.unknown.number and trace.joined(k - 1, some):
            runs[-1].append(k)
        else:
            runs.append([k])
    return runs


def _stretch(
    market: Market, trace: _Trace, run: Sequence[int], some: Sequence[int], shock: int
) -> Stretch:
    states, rows = trace.states[run[0]][some], trace.rows[some]
    return Stretch(
        value_at(market, trace.unknown, trace.at[run[0]], shock),
        value_at(market, trace.unknown, trace.at[run[-1]], shock),
        _share(trace, run, some),
        tuple(rows[states == FITS].tolist()),
        tuple(rows[states == RULED_OUT].tolist()),
    )


def _share(trace: _Trace, run: Sequence[int], some: Sequence[int]) -> float:
    """Of the range, up to halfway to the neighbouring runs, and nothing of what is doubtful;
    words count alike."""
    at = trace.at
    if not trace.unknown.number:
        return 1 / len(at)
    low, high = at[run[0]], at[run[-1]]
    if run[0] and trace.joined(run[0] - 1, some):
        low = (at[run[0] - 1] + low) / 2
    if run[-1] + 1 < len(at) and trace.joined(run[-1], some):
        high = (high + at[run[-1] + 1]) / 2
    return high - low


def _first_changes(
    market: Market,
    verdicts: Verdicts,
    trace: _Trace,
    runs: Sequence[Sequence[int]],
    some: Sequence[int],
    best: Best,
) -> bool:
    now = best(market, verdicts)
    for run in runs:
        k = run[len(run) // 2]
        state = verdicts.state.copy()
        state[trace.rows[some]] = trace.states[k][some]
        known = narrowed(market, trace.unknown, (trace.at[k], trace.at[k]))
        if best(known, replace(verdicts, state=state)) != now:
            return True
    return False
