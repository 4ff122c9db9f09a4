"""A verdict on every shock of the market, with the families of broken-rule sets behind it.

Shocks are judged in chunks, air and coil apart. The groups of choices are independent unless a sum
(price, mass) couples them; only where that sum can decide are the groups combined.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.mounting import AIR, COIL
from recommender.search.families import Family, Sets, combine, reduce_family
from recommender.search.groups import Rules, rules_of
from recommender.search.owners import Owners, owners
from recommender.search.tables import Pair, group_pair, kit_pair

CHUNK = 8192
FITS, OPEN, RULED_OUT = 0, 1, 2
STATES = ("fits", "open", "ruled out")


@dataclass(frozen=True)
class Part:
    """Some shocks as mounted whose families are the unions of the same independent factors."""

    shock: Ints
    turned: Mask
    factors: tuple[Pair, ...]

    @cached_property
    def fits(self) -> Mask:
        """Some completion breaks nothing whatever is measured."""
        return _all([pair.possible.has_empty() for pair in self.factors], len(self.shock))

    @cached_property
    def not_ruled_out(self) -> Mask:
        """Some completion breaks nothing for some value of what is loose."""
        return _all([pair.certain.has_empty() for pair in self.factors], len(self.shock))

    def fewest(self, possible: bool) -> Sets:
        """Each owner's smallest union of sets: of every factor the smallest, lowest on a tie."""
        out = np.zeros(len(self.shock), np.uint64)
        for pair in self.factors:
            out |= _smallest(pair.possible if possible else pair.certain)
        return out


@dataclass(frozen=True)
class Verdicts:
    """States of all shocks, in the market's order, and the parts that hold their families."""

    rules: Rules
    state: np.ndarray
    broken: Sets
    doubtful: Sets
    parts: tuple[Part, ...]

    @cached_property
    def _place(self) -> dict[int, list[tuple[int, int]]]:
        out: dict[int, list[tuple[int, int]]] = {}
        for k, part in enumerate(self.parts):
            for row, shock in enumerate(part.shock.tolist()):
                out.setdefault(shock, []).append((k, row))
        return out

    def factors(self, shock: int) -> list[list[tuple[list[int], list[int]]]]:
        """For each way of mounting a shock, its factors' (certain, possible) families of sets."""
        return [
            [(pair.certain.of(row), pair.possible.of(row)) for pair in self.parts[k].factors]
            for k, row in self._place[shock]
        ]

    def count(self, state: int) -> int:
        return int((self.state == state).sum())


def judge(market: Market, wishes: Wishes, rows: Ints | None = None) -> Verdicts:
    """Verdicts on every shock (or on those rows)."""
    every = rules_of(wishes)
    rows = np.arange(len(market.shocks)) if rows is None else rows
    parts = [
        part
        for k in range(0, len(rows), CHUNK)
        for part in _chunk(market, wishes, rows[k : k + CHUNK])
    ]
    return _collect(every, len(market.shocks), tuple(parts))


def _chunk(market: Market, wishes: Wishes, rows: Ints) -> Iterator[Part]:
    kind = market.shocks.choice("spring_kind").codes[rows]
    for code, word in ((AIR, "air"), (COIL, "coil"), (-1, "")):
        some = rows[kind == code]
        if len(some):
            yield from _judge_kind(market, wishes, some, word)


def _judge_kind(market: Market, wishes: Wishes, rows: Ints, springs: str) -> Iterator[Part]:
    rules = rules_of(wishes, springs)
    made = owners(market, rows)
    coupled = bool(rules.couplings)
    pairs = []
    for group in rules.groups:
        if group.choices in (("head_kit",), ("shaft_kit",)):
            pairs.append(kit_pair(market, made.frames, group, rules, coupled))
        else:
            pairs.append(group_pair(made.frames, group, rules, coupled))
    if not coupled:
        yield Part(made.shock, made.turned, tuple(pairs))
    else:
        yield from _couple(market, made, rules, pairs)


def _couple(market: Market, made: Owners, rules: Rules, pairs: list[Pair]) -> Iterator[Part]:
    """Owners whose sums cannot decide keep their groups apart; the others' groups are combined."""
    limits = {rule.couples: float(market.scalars[rule.reads[1]].corners[0]) for rule in rules.couplings}
    families = ([pair.certain for pair in pairs], [pair.possible for pair in pairs])
    decided = np.ones(len(made.shock), bool)
    constant = [np.zeros(len(made.shock), np.uint64) for _ in families]
    for rule in rules.couplings:
        bit, limit = np.uint64(rules.bit(rule)), limits[rule.couples] + rule.tolerance
        for side, groups in enumerate(families):
            least, enough = _reach(groups, rule.couples)
            always, never = least > limit, enough <= limit
            constant[side][always] |= bit
            decided &= always | never
    apart, joint = np.flatnonzero(decided), np.flatnonzero(~decided)
    if len(apart):
        factors = [_plain(pair.take(apart)) for pair in pairs]
        factors.append(Pair(*(_constant(side[apart]) for side in constant)))
        yield Part(made.shock[apart], made.turned[apart], tuple(factors))
    if len(joint):
        whole = []
        for groups in families:
            union = reduce(
                lambda a, b: combine(a, b, True), [family.take(joint) for family in groups]
            )
            sets = union.sets.copy()
            for rule in rules.couplings:
                total = union.price if rule.couples == "price" else union.mass
                sets[total > limits[rule.couples] + rule.tolerance] |= np.uint64(rules.bit(rule))
            whole.append(
                reduce_family(
                    Family(union.count, sets, union.price, union.mass, union.row), False
                )
            )
        yield Part(made.shock[joint], made.turned[joint], (Pair(*whole),))


def _reach(groups: list[Family], what: str) -> tuple[Floats, Floats]:
    """The least total of any completion, and a total that suffices for every minimal set.

    The second takes, of each group, the dearest of its inclusion-minimal sets at their own least
    sums, so at or below the limit the sum can never be what breaks.
    """
    least, enough = 0.0, 0.0
    for family in groups:
        values = family.price if what == "price" else family.mass
        least = least + np.minimum.reduceat(values, family.start)
        enough = enough + np.maximum.reduceat(values, family.start)
    return np.asarray(least), np.asarray(enough)


def _plain(pair: Pair) -> Pair:
    return Pair(reduce_family(pair.certain, False), reduce_family(pair.possible, False))


def _constant(sets: Sets) -> Family:
    count = np.ones(len(sets), np.int64)
    zero = np.zeros(len(sets))
    return Family(count, sets, zero, zero, np.full(len(sets), -1, np.int64))


def _all(flags: list[Mask], size: int) -> Mask:
    return reduce(np.logical_and, flags, np.ones(size, bool))


def _smallest(family: Family) -> Sets:
    """Of each owner's sets the one with fewest rules; the lowest number on a tie."""
    number = np.bitwise_count(family.sets).astype(np.int64)
    order = np.lexsort((family.sets, number, family.owner))
    return family.sets[order[family.start]]


def _collect(rules: Rules, shocks: int, parts: tuple[Part, ...]) -> Verdicts:
    state = np.full(shocks, RULED_OUT, np.int8)
    for part in parts:
        best = np.where(part.fits, FITS, np.where(part.not_ruled_out, OPEN, RULED_OUT))
        np.minimum.at(state, part.shock, best.astype(np.int8))
    broken, doubtful = (_fewest(parts, shocks, possible) for possible in (False, True))
    return Verdicts(rules, state, broken, doubtful, parts)


def _fewest(parts: tuple[Part, ...], shocks: int, possible: bool) -> Sets:
    """Over the ways of mounting each shock the smallest union, lowest on a tie."""
    out = np.zeros(shocks, np.uint64)
    shock = np.concatenate([part.shock for part in parts])
    sets = np.concatenate([part.fewest(possible) for part in parts])
    order = np.lexsort((sets, np.bitwise_count(sets), shock))
    first = order[np.unique(shock[order], return_index=True)[1]]
    out[shock[first]] = sets[first]
    return out
