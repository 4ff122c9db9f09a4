"""A plan looked at again, bike by bike, as the shortlist looks at a bundle.

Every distinct way with its two kits is put together as a whole completion and its broken rules
are counted anew, over the riders each setting is used for. What an order as a whole must meet
(minimums, pieces in stock) is the plan's own matter and is left out.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from recommender.answer import cautions
from recommender.catalogue.catalogue import Catalogue
from recommender.facts.quantity import Quantity
from recommender.fleet.changes import Change
from recommender.fleet.hardware import REUSED
from recommender.fleet.open_amounts import OpenAmount, open_amounts
from recommender.fleet.trial import KITS
from recommender.fleet.ways import Setting, mounting
from recommender.rules.market import open_market
from recommender.search.completion import Completion
from recommender.search.joint import JOINT
from recommender.search.whole import Whole, completion_sets, wholes

ALONE = JOINT[:2]
"""Joint rules about an order as a whole; the third, a pair, holds on each bike."""


@dataclass(frozen=True)
class Checked:
    """Bikes that get the same, and what was seen of it: its cautions, the amounts that are told
    with two ends, and at which ends ('head_kit', 'shaft_kit') new hardware is bought only because
    what is on the bike is not told."""

    changes: tuple[Change, ...]
    cautions: tuple[str, ...]
    open: tuple[OpenAmount, ...]
    untold: tuple[str, ...]

    @property
    def off(self) -> tuple[float, float]:
        """By how much a bike's cost may come to less (negative) and to more."""
        low = sum(one.low - one.taken for one in self.open)
        return low, sum(one.high - one.taken for one in self.open)


def checked(changes: Iterable[Change], catalogue: Catalogue) -> tuple[Checked, ...]:
    """Every bike looked at, alike ones together, in their order.

    Raises ValueError where a completion breaks a rule: the plan would be wrong.
    """
    alike: dict[tuple[object, ...], list[Change]] = defaultdict(list)
    for one in changes:
        key = (
            one.group.name, one.way.build, mounting(one.way), one.head.part.name,
            one.shaft.part.name,
        )  # fmt: skip
        alike[key].append(one)
    return tuple(_checked(tuple(some), catalogue) for some in alike.values())


def _checked(alike: tuple[Change, ...], catalogue: Catalogue) -> Checked:
    one = alike[0]
    settings = [completion_of(one, some, catalogue) for some in mounting(one.way).settings]
    told = [text for completion in settings for text in _cautions(one, completion)]
    fits = zip(KITS, REUSED, (one.head, one.shaft), strict=True)
    untold = (
        end for end, reused, fit in fits if fit.counted and _may_do(settings[0], end, reused)
    )
    return Checked(
        alike, tuple(dict.fromkeys(told)), tuple(open_amounts(settings)), tuple(untold)
    )


def of_bikes(some: Iterable[Checked], names: Collection[str]) -> tuple[Checked, ...]:
    """What was seen of those bikes alone."""
    left = (replace(x, changes=tuple(c for c in x.changes if c.bike in names)) for x in some)
    return tuple(one for one in left if one.changes)


def off_by_bike(some: Iterable[Checked]) -> dict[str, tuple[float, float]]:
    """By how much each bike's cost may come to less and to more."""
    return {change.bike: one.off for one in some for change in one.changes}


def cost_ends(off: Iterable[tuple[float, float]], cost: float) -> tuple[float, float] | None:
    """The least and the most that a cost may come to that may be off by all of those; None where
    all of it is told. It is told as if nothing of what is open lay on hand."""
    lows, highs = zip((0.0, 0.0), *off, strict=True)
    low, high = round(cost + sum(lows), 2), round(cost + sum(highs), 2)
    return (low, high) if low < high else None


def cautions_of(some: Iterable[Checked]) -> tuple[str, ...]:
    """The cautions of the plan's bundles, each with the bikes it is about."""
    told: dict[str, list[str]] = {}
    for one in some:
        for text in one.cautions:
            told.setdefault(text, []).extend(change.bike for change in one.changes)
    return tuple(f"{text} ({listed(bikes)})" for text, bikes in told.items())


def listed(bikes: list[str]) -> str:
    """The first three by name, and how many more."""
    return ", ".join(bikes[:3]) + (f" and {len(bikes) - 3} more" if len(bikes) > 3 else "")


def _cautions(one: Change, completion: Completion) -> tuple[str, ...]:
    choice = [np.array([row]) for row in completion.choice]
    mask = int(completion_sets(completion.whole, choice, certain=False)[0])
    broken = [name for name in completion.whole.rules.names(mask) if name not in ALONE]
    if broken:
        raise ValueError(f"{one.bike}: {one.way.build} breaks {', '.join(broken)}")
    return cautions.of_bundle(completion)


def _may_do(completion: Completion, end: str, reused: str) -> bool:
    """Whether what is on the bike at that end breaks no rule for sure, and may break one."""
    whole = completion.whole
    number = next(k for k, group in enumerate(whole.groups) if group.choices == (end,))
    rows = whole.rows(number)
    labels = np.array(whole.market.kits.labels)[whole.option(number, rows, end)]
    pair, mine = whole.tables[number], rows[labels == reused]
    return bool(((pair.certain.sets[mine] == 0) & (pair.possible.sets[mine] != 0)).any())


def completion_of(one: Change, setting: Setting, catalogue: Catalogue) -> Completion:
    """The whole completion of a bike with one of its settings, for the riders it serves."""
    low, high = setting.low, setting.high
    mass = one.group.riders
    if (low, high) != (mass.low, mass.high):
        mass = Quantity.exact(low) if low == high else Quantity(low, high, "range")
    rider = one.group.question.rider.model_copy(update={"mass_with_kit_kg": mass})
    question = replace(one.group.question, rider=rider)
    market = open_market(question, catalogue)
    how = mounting(one.way)
    rows = np.array([how.row], np.int64)
    whole = next(w for w in wholes(market, question.wishes, rows) if w.turned == how.turned)
    wanted = {
        "stroke": how.stroke_mm, "tune": how.tune, "spring": setting.spring,
        "head_kit": one.head.part.name, "shaft_kit": one.shaft.part.name,
        "clocking": float(how.clocked),
    }  # fmt: skip
    return Completion(whole, tuple(_rows(whole, wanted)))


def _rows(whole: Whole, wanted: dict[str, object]) -> Iterator[int]:
    """The row of each group's frame that makes those choices."""
    market = whole.market
    labels = {
        "stroke": market.stroke_mm.nominal.low, "clocking": np.array([0.0, 1.0]),
        "tune": np.array(market.tunes.labels), "spring": np.array(market.springs.labels),
        "head_kit": np.array(market.kits.labels), "shaft_kit": np.array(market.kits.labels),
    }  # fmt: skip
    for number, group in enumerate(whole.groups):
        rows = whole.rows(number)
        for name in group.choices:
            rows = rows[labels[name][whole.option(number, rows, name)] == wanted[name]]
        yield int(rows[0])
