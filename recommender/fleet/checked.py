"""A plan looked at again, bike by bike, as the shortlist looks at a bundle.

Every distinct way with its two kits is put together as a whole completion and its broken rules
are counted anew, over the riders each setting is used for. What an order as a whole must meet
(minimums, pieces in stock) is the plan's own matter and is left out.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from recommender.answer import cautions
from recommender.catalogue.catalogue import Catalogue
from recommender.facts.quantity import Quantity
from recommender.fleet.changes import Change
from recommender.fleet.ways import Setting, mounting
from recommender.rules.market import open_market
from recommender.search.completion import Completion
from recommender.search.joint import JOINT
from recommender.search.whole import Whole, completion_sets, wholes

ALONE = JOINT[:2]
"""Joint rules about an order as a whole; the third, a pair, holds on each bike."""


def checked(changes: Iterable[Change], catalogue: Catalogue) -> tuple[str, ...]:
    """The cautions of the plan's bundles, each with the bikes it is about.

    Raises ValueError where a completion breaks a rule: the plan would be wrong.
    """
    told: dict[str, list[str]] = {}
    known: dict[tuple[object, ...], list[str]] = {}
    for one in changes:
        key = (
            one.group.name, one.way.build, mounting(one.way), one.head.part.name,
            one.shaft.part.name,
        )  # fmt: skip
        if key not in known:
            known[key] = [
                text for setting in mounting(one.way).settings
                for text in _cautions(one, setting, catalogue)
            ]  # fmt: skip
        for text in dict.fromkeys(known[key]):
            told.setdefault(text, []).append(one.bike)
    return tuple(f"{text} ({_listed(bikes)})" for text, bikes in told.items())


def _listed(bikes: list[str]) -> str:
    return ", ".join(bikes[:3]) + (f" and {len(bikes) - 3} more" if len(bikes) > 3 else "")


def _cautions(one: Change, setting: Setting, catalogue: Catalogue) -> tuple[str, ...]:
    completion = completion_of(one, setting, catalogue)
    choice = [np.array([row]) for row in completion.choice]
    mask = int(completion_sets(completion.whole, choice, certain=False)[0])
    broken = [name for name in completion.whole.rules.names(mask) if name not in ALONE]
    if broken:
        raise ValueError(f"{one.bike}: {one.way.build} breaks {', '.join(broken)}")
    return cautions.of_bundle(completion)


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
