"""One completion looked at closely: every fact, figure and margin with its interval."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.rules.fact import Fact, Scalar, blank_span
from recommender.rules.option_table import TABLE_OF
from recommender.rules.registry import FIGURES, Rule
from recommender.search.corners import Corners
from recommender.search.frames import CHOICES, Frames, Options
from recommender.search.margins import margin
from recommender.search.read import WhenRead
from recommender.search.whole import Whole, completion_sets
from recommender.search.whole_sets import reduced_rows


@dataclass(frozen=True)
class Shown:
    """A value as it can be told: a number's interval, the words it may be, or an object."""

    low: float = 0.0
    high: float = 0.0
    nominal: float = 0.0
    codes: tuple[int, ...] = ()
    thing: Any = None
    kind: str = "number"


@dataclass(frozen=True)
class Completion:
    """A shock mounted one way with one option per choice: rows of `whole`'s groups."""

    whole: Whole
    choice: tuple[int, ...]

    @cached_property
    def frames(self) -> Frames:
        """Frames with this one row."""
        whole, owner = self.whole, np.array([self.whole.owner])
        options = {}
        for name in CHOICES:
            options[name] = self._option(name)
        facts = WhenRead(whole.made.frames.owner_facts, lambda _, fact: fact.take(owner))
        return Frames(1, facts, whole.market.scalars, options)

    def _option(self, name: str) -> Options:
        whole = self.whole
        group = next(k for k, one in enumerate(whole.groups) if name in one.choices)
        row = np.array([self.choice[group]])
        all_options = whole.made.frames.options[name]
        position = whole.made.frames.layout(whole.groups[group].choices).position[name][row]
        at = all_options.start[whole.owner] + position
        flat = WhenRead(all_options.flat, lambda _, fact: fact.take(at))
        return Options(np.array([1]), all_options.row[at], all_options.table, flat)

    @cached_property
    def nominal(self) -> Frames:
        return self.frames.nominal()

    @cached_property
    def _corners(self) -> Corners:
        return Corners(self.frames)

    @cached_property
    def _told(self) -> Corners:
        """The same row with every range to be served told as what it may be: 60 to 100 kg."""
        scalars = WhenRead(self.frames.scalars, lambda _, one: replace(one, served=False))
        return Corners(Frames(1, self.frames.owner_facts, scalars, self.frames.options))

    def number(self, name: str) -> float:
        """Nominal value of a numeric fact or figure."""
        with np.errstate(all="ignore"):
            return float(np.asarray(self.nominal.value(name), float).reshape(-1)[0])

    def shown(self, name: str) -> Shown:
        """A fact or figure with everything that it may be."""
        if name in FIGURES and FIGURES[name].unit in ("", "place"):
            code = int(np.asarray(self.nominal.value(name)).reshape(-1)[0])
            return Shown(codes=(code,), kind=FIGURES[name].unit or "word")
        if name not in FIGURES:
            fact: Scalar | Fact = self.frames.scalars.get(name) or self.frames.fact(name)
            if fact.category:
                return Shown(codes=_codes(fact), kind="word")
            if isinstance(fact, Scalar) and not isinstance(fact.corners[0], float | int):
                return Shown(thing=fact.nominal, kind="thing")
        low, high = self.interval(name)
        # What is loose may take the one value to score by beyond what the figure can come to.
        return Shown(low, high, float(np.clip(self.number(name), low, high)))

    def interval(self, name: str) -> tuple[float, float]:
        """[low, high] of a numeric fact or figure over the corners of what is loose."""
        got = margin(self._told, _telling(name))
        return float(got.low[0]), float(got.high[0])

    def margin(self, rule: Rule) -> tuple[float, float]:
        """[low, high] of a rule's margin."""
        got = margin(self._corners, rule)
        return float(got.low[0]), float(got.high[0])

    def loose(self, rule: Rule) -> tuple[str, ...]:
        """The loose facts that a rule reads here."""
        found = []
        for leaf in rule.leaves:
            scalar = self.frames.scalars.get(leaf)
            if scalar is not None:
                loose = scalar.loose
            else:
                mask = self.frames.fact(leaf).loose
                loose = mask is not None and bool(mask[0])
            if loose:
                found.append(leaf)
        return tuple(found)

    def unknown(self, name: str) -> bool:
        """Whether a numeric fact is blank: it spans all that its field may hold, or nearly."""
        fact = self.frames.fact(name)
        return fact.loose is not None and bool(fact.high[0] - fact.low[0] >= blank_span(name))

    def label(self, name: str) -> str:
        """Key of the option chosen, as the catalogue or the market calls it."""
        table = getattr(self.whole.market, TABLE_OF[name])
        return str(table.labels[int(self._option(name).row[0])])


def _telling(name: str) -> Rule:
    """A fact or figure as a margin, so that its interval is found the same way."""
    of = FIGURES.get(name)
    rises, falls = ((), ()) if of is None else (of.rises, of.falls)
    return Rule(
        name, "limit", "", "", "", "", lambda value: value, (name,), name, rises=rises, falls=falls
    )


def _codes(fact: Scalar | Fact) -> tuple[int, ...]:
    if isinstance(fact, Scalar):
        return tuple(int(code) for code in fact.corners)
    return tuple(dict.fromkeys(int(corner[0]) for corner in fact.corners))


MOST_SHORT, NO_AMOUNT = 1e6, 1e9
"""Shortfalls are counted up to so much in their unit; and what a rule without an amount counts."""


def least_broken(whole: Whole, short: list[Floats]) -> Completion:
    """The completion with fewest certainly broken rules; of these the one that falls least short,
    each rule's shortfall over its scale; then with fewest rules in doubt; then the first, parts by
    name. Of parts alike in all of this, each group has but its first row in the running.

    A rule without an amount (a wrong word, a part that nobody sells) falls short by more than any
    amount. Where nothing is certainly broken it is the completion with fewest rules in doubt.
    `short` is `shortfalls` of any shock of the same batch.
    """
    lists = []
    for group in range(len(whole.groups)):
        rows = reduced_rows(whole, group, whole.rows(group), certain=True)
        lists.append(np.union1d(rows, _least_short(whole, group, short[group])))
    best, sets = _least(whole, short, lists)
    if sets == 0:
        lists = [
            np.union1d(rows, reduced_rows(whole, group, whole.rows(group), certain=False))
            for group, rows in enumerate(lists)
        ]
        best, _ = _least(whole, short, lists, doubts=True)
    return best


def _least(
    whole: Whole, short: list[Floats], lists: list[Ints], doubts: bool = False
) -> tuple[Completion, int]:
    """The least broken completion of those rows, and its set of certainly broken rules."""
    index = np.unravel_index(
        np.arange(int(np.prod([len(rows) for rows in lists]))), [len(rows) for rows in lists]
    )
    choice = [rows[k] for rows, k in zip(lists, index, strict=True)]
    sets = completion_sets(whole, choice, certain=True)
    missing = np.zeros(len(sets))
    for table, rows in zip(short, choice, strict=True):
        missing += table[rows]
    for (couples, _, limit), rule in zip(whole.limits(), whole.rules.couplings, strict=True):
        found = sum(
            getattr(pair.certain, couples)[rows]
            for pair, rows in zip(whole.tables, choice, strict=True)
        )
        missing += np.clip(found - limit, 0.0, MOST_SHORT) / rule.scale
    # Sums of shortfalls differ in their last digits by the order of adding: those count as equal.
    missing = np.round(missing, 9)
    doubt = np.bitwise_count(completion_sets(whole, choice, certain=False))
    least = np.arange(len(sets))
    for key in (np.bitwise_count(sets), *((doubt, missing) if doubts else (missing, doubt))):
        least = least[key[least] == key[least].min()]
    best = int(least[0])
    return Completion(whole, tuple(int(rows[best]) for rows in choice)), int(sets[best])


def shortfalls(whole: Whole) -> list[Floats]:
    """For each group, row by row, what is certainly missing, over the rules' unit scales; for all
    shocks of the batch at once."""
    out = []
    frames = whole.made.frames
    corners = Corners(frames)
    for group in whole.groups:
        total = np.zeros(frames.layout(group.choices).size)
        for rule in group.rules:
            got = margin(corners, rule)
            # A wrong word has no amount: any near miss is told before it.
            amount = (
                NO_AMOUNT if rule.categorical
                else np.clip(-got.high, 0.0, MOST_SHORT) / rule.scale
            )  # fmt: skip
            short = np.where(got.certain, amount, 0.0)
            rows = frames.rows_of(group.choices, got.choices)
            total += short if rows is None else short[rows]
        out.append(total)
    corners.forget()
    return out


def _least_short(whole: Whole, group: int, short: Floats) -> Ints:
    """Of the group's rows with fewest broken rules the one with least missing, then with fewest
    rules in doubt."""
    rows = whole.rows(group)
    pair = whole.tables[group]
    doubt = np.bitwise_count(pair.possible.sets[rows])
    order = np.lexsort((rows, doubt, short[rows], np.bitwise_count(pair.certain.sets[rows])))
    return rows[order[:1]]
