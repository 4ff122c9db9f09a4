"""What a part that nobody offers must be, as values with units.

No tolerance is repeated here: a part's fact is tried over all its field admits, and what every
rule about it accepts is what the part must be.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from recommender.catalogue.columns import Floats, Mask
from recommender.explain.amounts import least_changes
from recommender.explain.corrections import Correction
from recommender.facts import words
from recommender.facts.fields import numbers
from recommender.facts.parts import Kit, Row, Spring
from recommender.facts.quantity import Number
from recommender.facts.wishes import Wishes
from recommender.rules.choices import MADE, Market
from recommender.rules.fact import Fact
from recommender.rules.hardware import BOLTS, NO_BUSHING
from recommender.rules.registry import Rule, leaves
from recommender.rules.tune_options import COEFFICIENTS
from recommender.search.completion import Completion
from recommender.search.corners import Corners
from recommender.search.frames import Frames, Options
from recommender.search.margins import margin

_POINTS = 4001
_ZOOMS = 3
_PUSH_FIT = words.BUSHINGS.index("push-fit polymer")
_TUNE_WORDS = MappingProxyType({
    "rebound_class": words.CLASSES, "compression_class": words.CLASSES,
    "lockout_class": words.LOCKOUTS,
})  # fmt: skip
_DAMPING = ("needed_rebound_n_s_per_m", "needed_compression_n_s_per_m")


@dataclass(frozen=True)
class Need:
    """What one fact of the part must be: within [low, high], None where nothing limits it, or one
    of the words. `aim` is the value to ask for where one is better than the rest.

    `sure` False: no value suits whatever the loose facts are. Then every value that may suit is
    told, and `measure` names what to measure before one is ordered.
    """

    fact: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    aim: float | None = None
    words: tuple[str, ...] = ()
    sure: bool = True
    measure: tuple[str, ...] = ()


@dataclass(frozen=True)
class Specification:
    """A missing part: the choice it is for ('head_kit', 'shaft_kit', 'spring', 'tune'), what it
    must be, and the completion it belongs to."""

    choice: str
    needs: tuple[Need, ...]
    completion: Completion


@dataclass(frozen=True)
class Asked:
    """The part that is asked for: its choice in a completion, and the rules that give way."""

    completion: Completion
    choice: str
    given_up: frozenset[str]

    def rules(self, fact: str) -> list[Rule]:
        """The rules that read a fact of the part and do not give way."""
        return [
            rule
            for group in self.completion.whole.groups
            for rule in group.rules
            if f"{self.choice}_{fact}" in rule.leaves and rule.bit not in self.given_up
        ]

    def about(self, fact: str) -> tuple[str, ...]:
        """Loose facts that those rules read."""
        return self.loose(leaf for rule in self.rules(fact) for leaf in rule.leaves)

    def loose(self, facts: Iterable[str]) -> tuple[str, ...]:
        """Those of the facts that are not exactly known."""
        frames, out = self.completion.frames, []
        for leaf in dict.fromkeys(facts):
            if leaf in frames.scalars:
                loose = frames.scalars[leaf].loose
            else:
                mask = frames.fact(leaf).loose
                loose = mask is not None and bool(mask[0])
            if loose:
                out.append(leaf)
        return tuple(out)


def specifications(
    market: Market, wishes: Wishes, shock: int, correction: Correction
) -> tuple[Specification, ...]:
    """What each part must be that the correction asks the shop to offer; none for other rules."""
    if not any(name.endswith("on offer") for name in correction.rules):
        return ()
    changes = least_changes(market, wishes, shock, correction.rules, correction.sure)
    made = [one.completion for one in changes if set(one.rules) == set(correction.rules)]
    if not made:
        return ()
    given_up = frozenset(correction.rules)
    return tuple(specified(made[0], choice, given_up) for choice in made_parts(made[0]))


def made_parts(completion: Completion) -> list[str]:
    """The choices in which a completion takes a part made to specification."""
    parts = ("head_kit", "shaft_kit", "tune", "spring")
    return [one for one in parts if completion.label(one) == MADE]


def specified(
    completion: Completion, choice: str, given_up: frozenset[str] = frozenset()
) -> Specification:
    """What the part of that choice must be for this completion, some rules aside."""
    asked = Asked(completion, choice, given_up)
    needs = {"tune": _tune, "spring": _spring}.get(choice, _kit)(asked)
    return Specification(choice, tuple(one for one in needs if one is not None), completion)


def _kit(asked: Asked) -> list[Need | None]:
    end = asked.choice.removesuffix("_kit")
    kind = int(asked.completion.number(f"{end}_takes"))
    found = [_word(asked, "kind", words.KIT_KINDS, {})]
    given = {"kind": float(kind), "bushing": float(NO_BUSHING)}
    if kind == BOLTS:
        found.append(_word(asked, "thread", words.THREADS, given))
        return [*found, _number(asked, "protrusion_mm", Kit, given)]
    for fact in ("width_mm", "bore_mm", "sleeve_diameter_mm"):
        found.append(_number(asked, fact, Kit, given))
    with_bushing = {**given, "bushing": float(_PUSH_FIT)}
    return [*found, _number(asked, "bushing_diameter_mm", Kit, with_bushing)]


def _spring(asked: Asked) -> list[Need | None]:
    coil = {"is_coil": 1.0}
    rate = _number(asked, "rate_n_per_mm", Spring, coil)
    aim = asked.completion.number("needed_rate_n_per_mm")
    facts = ("inner_diameter_mm", "free_length_mm", "usable_travel_mm", "outer_diameter_mm")
    return [
        None if rate is None else replace(rate, aim=aim),
        *(_number(asked, fact, Spring, coil) for fact in facts),
    ]


def _tune(asked: Asked) -> list[Need | None]:
    completion = asked.completion
    found: list[Need | None] = []
    for figure in _DAMPING:
        low, high = completion.interval(figure)
        told = bool(np.isfinite([low, high]).all())
        found.append(
            Need(
                figure, "n_s_per_m", low if told else None, high if told else None,
                completion.number(figure), sure=told,
                measure=() if low == high else asked.loose(leaves(figure)),
            )
        )  # fmt: skip
    # No measured coefficients: the class's range is what the part is judged by.
    given = dict.fromkeys(COEFFICIENTS, np.nan)
    wished = float(completion.whole.market.scalars["wish_tune_class"].corners[0])
    if wished >= 0:
        given |= {"rebound_class": wished, "compression_class": wished}
    return [*found, *(_word(asked, fact, all_, given) for fact, all_ in _TUNE_WORDS.items())]


def _number(
    asked: Asked, fact: str, model: type[Row], given: Mapping[str, float]
) -> Need | None:
    """The least stretch of values that holds all accepted ones; None if every value is."""
    field = numbers(model)[fact]
    for sure in (True, False):
        ends = _accepted(asked, sure, fact, field, given)
        if ends is not None:
            low = None if ends[0] <= field.low else ends[0]
            high = None if ends[1] >= field.high else ends[1]
            measure = () if sure else asked.about(fact)
            limited = low is not None or high is not None
            return Need(fact, field.unit, low, high, None, (), sure, measure) if limited else None
    return Need(fact, field.unit, sure=False, measure=asked.about(fact))


def _accepted(
    asked: Asked, sure: bool, fact: str, field: Number, given: Mapping[str, float]
) -> tuple[float, float] | None:
    """Least and greatest accepted value; None if none is."""
    values = np.linspace(field.low, field.high, _POINTS)
    good = np.flatnonzero(_meets(asked, sure, fact, given, values))
    if not len(good):
        return None
    first, last = int(good[0]), int(good[-1])
    return (
        _edge(asked, sure, fact, given, values[[first, max(first - 1, 0)]]),
        _edge(asked, sure, fact, given, values[[last, min(last + 1, len(values) - 1)]]),
    )


def _edge(
    asked: Asked, sure: bool, fact: str, given: Mapping[str, float], ends: Floats
) -> float:
    """The last accepted value on the way from an accepted one to one that is not."""
    inside, outside = float(ends[0]), float(ends[1])
    for _ in range(_ZOOMS):
        finer = np.linspace(inside, outside, _POINTS)
        met = int(np.flatnonzero(_meets(asked, sure, fact, given, finer))[-1])
        inside, outside = float(finer[met]), float(finer[min(met + 1, _POINTS - 1)])
    plain = round(inside, 6)
    return plain if _meets(asked, sure, fact, given, np.array([plain]))[0] else inside


def _word(
    asked: Asked, fact: str, accepted: tuple[str, ...], given: Mapping[str, float]
) -> Need | None:
    """The accepted words; None if every word is."""
    codes = np.arange(float(len(accepted)))
    for sure in (True, False):
        good = _meets(asked, sure, fact, given, codes)
        if good.all():
            return None
        if good.any():
            some = tuple(word for word, met in zip(accepted, good.tolist(), strict=True) if met)
            return Need(fact, words=some, sure=sure, measure=() if sure else asked.about(fact))
    return Need(fact, sure=False, measure=asked.about(fact))


def _meets(
    asked: Asked, sure: bool, fact: str, given: Mapping[str, float], values: Floats
) -> Mask:
    """Which values of the fact every rule that reads it accepts, for a part that is not made:
    accepts whatever is measured, or may accept."""
    frames = asked.completion.frames
    size = len(values)
    choice = asked.choice
    made = frames.options[choice]
    table = {
        name: Fact(np.full(size, float(one.low[made.row[0]])), category=one.category)
        for name, one in made.table.items()
    }
    told = {**given, "made": 0.0, "fits": 0.0}
    for name, value in told.items():
        if f"{choice}_{name}" in table:
            table[f"{choice}_{name}"] = Fact(np.full(size, value))
    table[f"{choice}_{fact}"] = Fact(values)
    flat = {name: one.take(np.zeros(size, np.int64)) for name, one in made.flat.items()}
    row = np.arange(size)
    options = {**frames.options, choice: Options(np.array([size]), row, table, flat)}
    trial = Corners(Frames(1, frames.owner_facts, frames.scalars, options))
    good = np.ones(size, bool)
    for rule in asked.rules(fact):
        got = margin(trial, rule)
        good &= ~(got.possible if sure else got.certain)
    return good
