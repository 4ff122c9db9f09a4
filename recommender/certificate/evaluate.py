"""Rules evaluated over every option of the choices they read, for one shock mounted one way.

The shock and each choice are axes of an array, in the order of ENTITIES; a fact lies along its own
axis, a figure or margin along those it depends on, and NumPy broadcasts the rest. Facts that are
not exactly known make their option several rows of its axis, one a corner, which are folded
together again when the margin's bounds are taken.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.certificate.options import Options
from recommender.rules.fact import Fact, Scalar
from recommender.rules.registry import ENTITIES, FIGURES, TURNING, Rule, entity, leaves, scope

World = tuple[tuple[str, int], ...]
"""The corner that each fact of the question takes; others take their first."""
Loose = tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]
"""Loose facts of one entity: each on its own; those that only help; those that only hurt."""


@dataclass(frozen=True)
class Spread:
    """An entity's options at their corners: option of each row, where each option's rows begin, and
    what the loose facts are there."""

    row: Ints
    start: Ints
    values: Mapping[str, Floats]


def spread(options: Options, loose: Loose) -> Spread:
    """Every option at each of its corners; facts that only help or only hurt have two ends, taken
    together. A fact along which figures turn, and of which next to nothing is known, is NaN."""
    if loose not in options.cache:
        options.cache[loose] = _spread(options, loose)
    made: Spread = options.cache[loose]
    return made


def _spread(options: Options, loose: Loose) -> Spread:
    alone, helps, hurts = loose
    facts = options.facts
    vague = {name: _vague(name, facts[name]) for name in (*alone, *helps, *hurts)}
    row: list[int] = []
    start: list[int] = []
    values: dict[str, list[float]] = {name: [] for name in vague}
    for k in range(len(options)):
        start.append(len(row))
        axes = [_corners(name, facts[name], vague[name], k) for name in alone]
        both = [{name: (facts[name], 0, -1) for name in helps},
                {name: (facts[name], -1, 0) for name in hurts}]  # fmt: skip
        ends = [
            {
                name: np.nan if vague[name][k] else float(fact.corners[way[end]][k])
                for one in both for name, (fact, *way) in one.items()
            }
            for end in (0, 1)
        ]  # fmt: skip
        axes.append(ends if ends[0] != ends[1] else ends[:1])
        for corner in product(*axes):
            row.append(k)
            for some in corner:
                for name, value in some.items():
                    values[name].append(value)
    found = {name: np.array(one) for name, one in values.items()}
    return Spread(np.array(row, np.int64), np.array(start, np.int64), found)


def _corners(name: str, fact: Fact, vague: Mask, k: int) -> list[dict[str, float]]:
    if vague[k]:
        return [{name: np.nan}]
    return [{name: one} for one in dict.fromkeys(float(corner[k]) for corner in fact.corners)]


def _vague(name: str, fact: Fact) -> Mask:
    blank = np.zeros(len(fact), bool)
    if name in TURNING and fact.loose is not None:
        blank = fact.loose & (fact.high >= TURNING[name] * fact.low)
    return blank


class Evaluator:
    """Margins and figures over the options of one mounted shock; each figure is computed once."""

    def __init__(self, scalars: Mapping[str, Scalar], options: Mapping[str, Options]) -> None:
        self.scalars = scalars
        self.options = options
        self._known: dict[Any, Any] = {}

    def margin(self, rule: Rule) -> tuple[Floats, Floats]:
        """Bounds of the rule's margin over what is loose, along ENTITIES; an axis that the rule
        does not read has length 1. Of a range to be served the worse end counts."""
        rests = rule.leaves
        spreads = self._spreads(rests, rule)
        low: list[Floats] = []
        high: list[Floats] = []
        with np.errstate(all="ignore"):
            for found in self._sides(rule, rests, spreads):
                sides = [one.reshape(one.shape or (1,) * len(ENTITIES)) for one in found]
                unknown = [np.isnan(side) for side in sides]
                least = [np.where(n, -np.inf, s) for n, s in zip(unknown, sides, strict=True)]
                most = [np.where(n, np.inf, s) for n, s in zip(unknown, sides, strict=True)]
                low = [np.minimum(a, b) for a, b in zip(low or least, least, strict=True)]
                high = [np.maximum(a, b) for a, b in zip(high or most, most, strict=True)]
        for axis, name in enumerate(ENTITIES):
            made = spreads.get(name)
            if made is not None and len(made.row) > len(made.start):
                low = [np.minimum.reduceat(one, made.start, axis) for one in low]
                high = [np.maximum.reduceat(one, made.start, axis) for one in high]
        return np.minimum.reduce(low), np.minimum.reduce(high)

    def number(self, name: str) -> Floats:
        """A fact or figure at the first corner of everything, along ENTITIES."""
        spreads = {one: spread(self.options[one], ((), (), ())) for one in scope(name)}
        with np.errstate(all="ignore"):
            return np.asarray(self._value(name, (), spreads), float)

    def _sides(
        self, rule: Rule, rests: tuple[str, ...], spreads: Mapping[str, Spread]
    ) -> Iterator[list[Floats]]:
        """The margin's sides, once for every combination of the question's loose facts."""
        scalars = [leaf for leaf in rests if leaf in self.scalars]
        served = [leaf for leaf in scalars if self.scalars[leaf].served]
        alone = [s for s in scalars if self.scalars[s].loose and not _one_way(s, rule)]
        axes: list[list[World]] = [
            [((leaf, k),) for k in range(len(self.scalars[leaf].corners))] for leaf in alone
        ]
        monotone = [s for s in scalars if self.scalars[s].loose and _one_way(s, rule)]
        last = {leaf: len(self.scalars[leaf].corners) - 1 for leaf in monotone}
        up = tuple((s, last[s] if s.startswith(rule.rises) else 0) for s in monotone)
        down = tuple((s, 0 if s.startswith(rule.rises) else last[s]) for s in monotone)
        axes.append([down, up] if monotone else [()])
        ends: list[list[World]] = [[((leaf, 0),), ((leaf, 1),)] for leaf in served]
        for parts in product(*axes):
            sides: list[Floats] = []
            for more in product(*ends):
                world = tuple(pair for part in (*parts, *more) for pair in part)
                found = self._apply(rule.margin, rule.reads, world, spreads)
                sides = [np.minimum(a, b) for a, b in zip(sides or found, found, strict=True)]
            yield sides

    def _spreads(self, rests: tuple[str, ...], rule: Rule) -> dict[str, Spread]:
        out = {}
        for name in dict.fromkeys(entity(leaf) for leaf in rests if leaf not in self.scalars):
            facts = self.options[name].facts
            mine = sorted(leaf for leaf in rests if entity(leaf) == name)
            mine = [leaf for leaf in mine if facts[leaf].loose is not None]
            helps = tuple(leaf for leaf in mine if leaf.startswith(rule.rises))
            hurts = tuple(leaf for leaf in mine if leaf.startswith(rule.falls))
            alone = tuple(leaf for leaf in mine if leaf not in helps and leaf not in hurts)
            out[name] = spread(self.options[name], (alone, helps, hurts))
        return out

    def _value(self, name: str, world: World, spreads: Mapping[str, Spread]) -> Any:
        if name in self.scalars:
            return self.scalars[name].corners[dict(world).get(name, 0)]
        rests = leaves(name)
        key = (
            name, tuple(pair for pair in world if pair[0] in rests),
            tuple(id(spreads[one]) for one in ENTITIES if one in scope(name)),
        )  # fmt: skip
        if key not in self._known:
            if name in FIGURES:
                (found,) = self._apply(FIGURES[name].formula, FIGURES[name].reads, world, spreads)
            else:
                found = self._leaf(name, spreads[entity(name)])
            self._known[key] = found
        return self._known[key]

    def _leaf(self, name: str, made: Spread) -> Floats:
        owner = entity(name)
        values = made.values.get(name)
        if values is None:
            values = self.options[owner].facts[name].low[made.row]
        shape = [1] * len(ENTITIES)
        shape[ENTITIES.index(owner)] = len(made.row)
        return values.reshape(shape)

    def _apply(
        self, formula: Any, reads: tuple[str, ...], world: World, spreads: Mapping[str, Spread]
    ) -> list[Any]:
        """The formula over flat columns, as the rules' authors mean it, and back onto the axes."""
        inputs = [self._value(read, world, spreads) for read in reads]
        own = [bool(scope(read)) for read in reads]
        if not any(own):
            made = formula(*inputs)
            return [np.asarray(one) if _numeric(one) else one for one in _sides_of(made)]
        shape = np.broadcast_shapes(
            *(one.shape for one, mine in zip(inputs, own, strict=True) if mine)
        )
        flat = [
            np.broadcast_to(one, shape).ravel() if mine else one
            for one, mine in zip(inputs, own, strict=True)
        ]
        size = int(np.prod(shape))
        return [
            np.broadcast_to(np.asarray(side), (size,)).reshape(shape)
            for side in _sides_of(formula(*flat))
        ]


def _numeric(value: Any) -> bool:
    return isinstance(value, bool | int | float | np.generic | np.ndarray)


def _sides_of(made: Any) -> tuple[Any, ...]:
    return made if isinstance(made, tuple) else (made,)


def _one_way(leaf: str, rule: Rule) -> bool:
    return leaf.startswith((*rule.rises, *rule.falls))
