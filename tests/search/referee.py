"""A brute-force referee of the verdicts: every completion of a shock, one at a time.

It shares with the engine only the rules' margins and the figures of the registry. Facts are read
cell by cell, every corner of every loose fact of a rule is evaluated with plain numbers, and the
families are all inclusion-minimal sets over the full product of choices.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.rules.registry import FIGURES, RULES, Rule, leaves
from tests.search.own_cells import Leaf, Option, Piece
from tests.search.own_facts import question_facts
from tests.search.own_options import shock_options
from tests.search.own_shocks import own_shocks, shock_facts

Bits = frozenset[str]
Sides = tuple[float, ...]
ZERO = 1e-9
JOINT = ("order minimum", "pieces in stock", "sold as a pair")


@dataclass(frozen=True)
class Interval:
    """Least and greatest value of each side of a margin over the corners."""

    least: Sides
    most: Sides

    @property
    def low(self) -> float:
        return min(self.least)

    @property
    def high(self) -> float:
        return min(self.most)


@dataclass(frozen=True)
class Ruling:
    """What brute force finds of one shock: its state and its two families."""

    state: str
    certain: frozenset[Bits]
    possible: frozenset[Bits]
    fitting: int
    """Completions whose possible set is empty."""


def active_rules(question: Question) -> list[Rule]:
    """The rules in force: every one but those of wishes that are no must."""
    out = []
    for rule in RULES.values():
        if rule.wish:
            must = getattr(question.wishes, rule.wish).must
            if must in (None, "by the numbers") or (must is False and rule.wish != "remote"):
                continue
        out.append(rule)
    return out


class Referee:
    """Judges shocks of one question, one completion after another."""

    def __init__(self, question: Question, catalogue: Catalogue) -> None:
        self.question, self.catalogue = question, catalogue
        self.facts = question_facts(question, catalogue)
        self.rules = active_rules(question)
        self._memo: dict[tuple[str, tuple[Any, ...]], Any] = {}

    @cached_property
    def shocks(self) -> list[str]:
        return [one.key for one in own_shocks(self.question, self.catalogue)]

    # One margin at plain numbers ------------------------------------------------------------

    def value(self, name: str, at: dict[str, Any]) -> Any:
        """A fact or figure with every leaf fact at one value."""
        if name not in FIGURES:
            return at[name]
        key = (name, tuple(at[leaf] for leaf in leaves(name)))
        if key not in self._memo:
            figure = FIGURES[name]
            self._memo[key] = figure.formula(*(self.value(read, at) for read in figure.reads))
        return self._memo[key]

    def sides(self, rule: Rule, at: dict[str, Any]) -> Sides:
        """The sides of a margin with every leaf fact at one value."""
        with np.errstate(all="ignore"):
            margin = rule.margin(*(self.value(read, at) for read in rule.reads))
        margin = margin if isinstance(margin, tuple) else (margin,)
        return tuple(float(side) for side in margin)

    def interval(self, rule: Rule, facts: dict[str, Leaf]) -> Interval:
        """The margin over every corner of its loose facts; a served range is met at both ends."""
        names = leaf_names(rule)
        if rule.name in ("length", "stroke ceiling"):
            facts = facts | {"shock_length_mm": self._fine(facts["shock_length_mm"])}
        facts = {name: _blanked(name, facts[name]) for name in names}
        free = [name for name in names if not facts[name].served]
        served = [name for name in names if facts[name].served]
        least: list[float] = []
        most: list[float] = []
        for values in product(*(facts[name].values for name in free)):
            at = dict(zip(free, values, strict=True))
            ends = [
                self.sides(rule, at | dict(zip(served, some, strict=True)))
                for some in product(*(facts[name].values for name in served))
            ]
            # No number: nothing is known.
            lows = [min(-np.inf if v != v else v for v in side) for side in zip(*ends, strict=True)]
            tops = [
                np.inf if any(v != v for v in side) else min(side)
                for side in zip(*ends, strict=True)
            ]
            least = lows if not least else [min(a, b) for a, b in zip(least, lows, strict=True)]
            most = tops if not most else [max(a, b) for a, b in zip(most, tops, strict=True)]
        return Interval(tuple(least), tuple(most))

    def _fine(self, length: Leaf) -> Leaf:
        """A loose length at many places: size rules turn where a size, or the middle of two, is."""
        if len(length.values) == 1:
            return length
        low, high = length.values
        sizes = [(q.low, q.high) for q in (size.length_mm for size in self.question.bike.sizes)]
        marks = [sum(size) / 2 for size in sizes]
        marks += [(a + b) / 2 for one in sizes for a in one for other in sizes for b in other]
        inside = [mark for mark in marks if low <= mark <= high]
        return Leaf((low, *np.linspace(low, high, 25).tolist(), *inside, high))

    # Completions ----------------------------------------------------------------------------

    def variants(self, shock: int) -> Iterator[tuple[dict[str, Leaf], dict[str, list[Option]]]]:
        """Each way of mounting a shock: its facts, and what may be chosen for it."""
        one = own_shocks(self.question, self.catalogue)[shock]
        turns = [False]
        if one.word("end_for_end") != "no" and self.question.bike.allows.end_for_end != "no":
            turns.append(True)
        for turned in turns:
            facts = self.facts | shock_facts(self.question, self.catalogue, one, turned)
            yield facts, shock_options(self.question, self.catalogue, one)

    def judge(self, shock: int) -> Ruling:
        """State and families of one shock over all its completions."""
        certain: set[int] = set()
        possible: set[int] = set()
        fitting = 0
        for facts, options in self.variants(shock):
            for sure, maybe in self.completions(facts, options):
                certain.add(sure)
                possible.add(maybe)
                fitting += not maybe
        state = "fits" if 0 in possible else "open" if 0 in certain else "ruled out"
        return Ruling(state, self.named(minimal(certain)), self.named(minimal(possible)), fitting)

    @cached_property
    def bits(self) -> dict[str, int]:
        """A power of two for every rule's bit."""
        names = dict.fromkeys([*(rule.bit for rule in self.rules), *JOINT])
        return {name: 1 << k for k, name in enumerate(names)}

    def named(self, masks: Iterable[int]) -> frozenset[Bits]:
        """Masks as sets of names."""
        return frozenset(
            Bits(name for name, bit in self.bits.items() if mask & bit) for mask in masks
        )

    def completions(
        self, facts: dict[str, Leaf], options: dict[str, list[Option]]
    ) -> Iterator[tuple[int, int]]:
        """(certain, possible) set of every completion of a shock as mounted, as masks."""
        choices = list(options)
        tables = self._tables(facts, options)
        places = [tuple(choices.index(choice) for choice in scope) for scope, _ in tables]
        sums = [rule for rule in self.rules if rule.couples]
        ordering = Ordering(self, facts["shock_piece"].values[0], options)
        for picked in product(*(range(len(options[choice])) for choice in choices)):
            sure = maybe = 0
            for (_, table), place in zip(tables, places, strict=True):
                a, b = table[tuple(picked[k] for k in place)]
                sure, maybe = sure | a, maybe | b
            parts = [options[choice][k] for choice, k in zip(choices, picked, strict=True)]
            for rule in sums:
                a, b = self._sum(rule, facts, parts)
                sure, maybe = sure | a, maybe | b
            a, b = ordering.broken(parts)
            yield sure | a, maybe | b

    def _tables(
        self, facts: dict[str, Leaf], options: dict[str, list[Option]]
    ) -> list[tuple[tuple[str, ...], dict[tuple[int, ...], tuple[int, int]]]]:
        """For every set of choices that some rule reads: the bits of each assignment of them."""
        out: dict[tuple[str, ...], dict[tuple[int, ...], tuple[int, int]]] = {}
        for rule in self.rules:
            if rule.couples:
                continue
            scope = choices_of(rule, options)
            table = out.setdefault(scope, {})
            bit = self.bits[rule.bit]
            for index in product(*(range(len(options[choice])) for choice in scope)):
                at = dict(facts)
                for choice, k in zip(scope, index, strict=True):
                    at |= options[choice][k].facts
                found = self.interval(rule, at)
                sure, maybe = table.get(index, (0, 0))
                sure |= bit * (found.high < -ZERO * rule.scale)
                maybe |= bit * (found.low < -ZERO * rule.scale)
                table[index] = sure, maybe
        return list(out.items())

    def _sum(self, rule: Rule, facts: dict[str, Leaf], parts: list[Option]) -> tuple[int, int]:
        """Bit of budget or mass: the favourable sum for certain, the unfavourable for possible."""
        must = getattr(self.question.wishes, rule.wish).must
        what = "cost" if rule.couples == "price" else "mass"
        own = facts[f"shock_{what}"].values
        low = own[0] + sum(getattr(part, what)[0] for part in parts)
        high = own[-1] + sum(getattr(part, what)[1] for part in parts)
        bit = self.bits[rule.bit]
        most = must + ZERO * rule.scale
        return bit * (low > most), bit * (high > most)


class Ordering:
    """Order minimums, scarce pieces and pairs, counted from the list of what is ordered."""

    def __init__(
        self, referee: Referee, shock: Piece | None, options: dict[str, list[Option]]
    ) -> None:
        self.bits = [referee.bits[name] for name in JOINT]
        self.shock = shock
        self.minimum = order_minimums(referee.question, referee.catalogue)
        self.ends = list(options).index("head_kit"), list(options).index("shaft_kit")

    def broken(self, parts: list[Option]) -> tuple[int, int]:
        """(certain, possible) bits of what a completion orders."""
        sure = maybe = 0
        bought = [piece for piece in (self.shock, *(one.piece for one in parts)) if piece]
        for supplier, least in self.minimum.items():
            mine = [piece.price for piece in bought if piece.supplier == supplier]
            if mine and least:
                sure |= self.bits[0] * (sum(high for _, high in mine) < least - ZERO)
                maybe |= self.bits[0] * (sum(low for low, _ in mine) < least - ZERO)
        for piece in bought:
            if piece.stock < len(bought):
                number = sum(other.part == piece.part for other in bought)
                sure |= self.bits[1] * (number > piece.stock)
        head, shaft = (parts[k] for k in self.ends)
        for one, other in ((head, shaft), (shaft, head)):
            sure |= self.bits[2] * bool(one.pairs_with and other.label != one.pairs_with)
        return sure, maybe | sure


CHAMBERS = (
    "shock_piston_area_mm2", "shock_chamber_cm3", "shock_negative_area_mm2",
    "shock_negative_chamber_cm3", "shock_equalise_at_mm", "shock_volume_spacer_cm3",
)  # fmt: skip


def _blanked(name: str, leaf: Leaf) -> Leaf:
    """A blank chamber says nothing of the gas: no number, since its ends bound nothing."""
    low, high = leaf.values[0], leaf.values[-1]
    broad = 1.25 if name == "shock_piston_area_mm2" else 2
    return Leaf((np.nan,)) if name in CHAMBERS and low != high and high >= broad * low else leaf


def leaf_names(rule: Rule) -> tuple[str, ...]:
    return tuple(dict.fromkeys(leaf for read in rule.reads for leaf in leaves(read)))


def choices_of(rule: Rule, options: Iterable[str]) -> tuple[str, ...]:
    """The choices that a rule's facts belong to, by the first words of their names."""
    names = leaf_names(rule)
    return tuple(one for one in options if any(name.startswith(one + "_") for name in names))


def minimal(masks: set[int]) -> list[int]:
    """The masks that contain no other of them."""
    return [s for s in masks if not any(t != s and t & ~s == 0 for t in masks)]


def order_minimums(question: Question, catalogue: Catalogue) -> dict[str, float]:
    """Least value of an order in the wishes' currency; blank: none known."""
    table, out = catalogue.suppliers, {}
    minimum, currency = table.number("order_minimum"), table.text("currency")
    for row, name in enumerate(table.keys()):
        if minimum.known is None or minimum.known[row]:
            rate = {question.wishes.currency: 1.0, **question.wishes.rates}[currency[row]]
            out[name] = float(minimum.low[row]) * rate
    return out
