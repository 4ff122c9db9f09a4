"""The interval of every rule's margin, from the corners of what is not exactly known.

A band's margin is the lesser of two; its interval is taken side by side, so its high end is an
upper bound and its sign is exact wherever a single value can satisfy both sides.
"""

from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.rules.registry import FIGURES, Rule, leaves, scope
from recommender.search.frames import Frames, World, order


@dataclass(frozen=True)
class Margin:
    """[low, high] of one rule over the rows of its own frame."""

    rule: Rule
    choices: tuple[str, ...]
    low: Floats
    high: Floats

    @property
    def certain(self) -> Mask:
        """Broken whatever the loose facts turn out to be."""
        return self.high < -self.rule.tolerance

    @property
    def possible(self) -> Mask:
        """Broken for some value of the loose facts."""
        return self.low < -self.rule.tolerance


def margin(frames: Frames, rule: Rule) -> Margin:
    """The rule's margin interval on every row of its smallest frame."""
    choices = order(rule_scope(rule))
    size = frames.layout(choices).size
    tally = _Tally(size)
    rests = rule_leaves(rule)
    loose_rows = _loose_rows(frames, rests, choices, size)
    scalars = [leaf for leaf in rests if leaf in frames.scalars and frames.scalars[leaf].loose]
    served = [leaf for leaf in rests if leaf in frames.scalars and frames.scalars[leaf].served]
    # Corners may lie outside physics (no volume left, a sag never reached): NaN is 'nothing known'.
    with np.errstate(all="ignore"):
        for world in _worlds(frames, rule, scalars):
            tally.add(slice(None), _served(frames, rule, choices, world, served))
            for facts, rows in loose_rows:
                for corner in _corners(frames, rule, facts, rows, choices):
                    sides = _served_rows(frames, rule, choices, world, served, rows, corner)
                    tally.add(rows, sides)
    return Margin(rule, choices, *tally.ends())


class _Tally:
    """Least and greatest value of each side of a margin, corner after corner."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.least: list[Floats] = []
        self.most: list[Floats] = []

    def add(self, rows: Any, sides: tuple[Any, ...]) -> None:
        if not self.least:
            self.least = [np.full(self.size, np.inf) for _ in sides]
            self.most = [np.full(self.size, -np.inf) for _ in sides]
        for k, side in enumerate(sides):
            value = np.asarray(side, dtype=np.float64)
            nan = np.isnan(value)
            low = np.where(nan, -np.inf, value)
            high = np.where(nan, np.inf, value)
            self.least[k][rows] = np.minimum(self.least[k][rows], low)
            self.most[k][rows] = np.maximum(self.most[k][rows], high)

    def ends(self) -> tuple[Floats, Floats]:
        return np.minimum.reduce(self.least), np.minimum.reduce(self.most)


def rule_leaves(rule: Rule) -> tuple[str, ...]:
    """The leaf facts of a rule."""
    return tuple(dict.fromkeys(leaf for read in rule.reads for leaf in leaves(read)))


def rule_scope(rule: Rule) -> frozenset[str]:
    """The entities that a rule depends on."""
    return frozenset().union(*(scope(read) for read in rule.reads))


def _worlds(frames: Frames, rule: Rule, scalars: list[str]) -> list[World]:
    """Every combination of corners; facts of known direction go together to either end."""
    axes: list[list[World]] = []
    bad: list[tuple[str, int]] = []
    good: list[tuple[str, int]] = []
    for leaf in scalars:
        last = len(frames.scalars[leaf].corners) - 1
        if _starts(leaf, rule.rises):
            bad.append((leaf, 0))
            good.append((leaf, last))
        elif _starts(leaf, rule.falls):
            bad.append((leaf, last))
            good.append((leaf, 0))
        else:
            axes.append([((leaf, k),) for k in range(last + 1)])
    if bad:
        axes.append([tuple(bad), tuple(good)])
    return [tuple(pair for part in parts for pair in part) for parts in product(*axes)]


def _loose_rows(
    frames: Frames, rests: tuple[str, ...], choices: tuple[str, ...], size: int
) -> list[tuple[list[str], Ints]]:
    """Rows grouped by which of their facts are loose."""
    names: list[str] = []
    pattern = np.zeros(size, np.int64)
    for leaf in rests:
        if leaf in frames.scalars:
            continue
        fact = frames.fact(leaf)
        if fact.loose is None:
            continue
        rows = frames.rows_of(choices, order(scope(leaf)))
        loose = fact.loose if rows is None else fact.loose[rows]
        pattern |= loose.astype(np.int64) << len(names)
        names.append(leaf)
    touched = np.flatnonzero(pattern)
    out = []
    for one in np.unique(pattern[touched]).tolist():
        facts = [name for k, name in enumerate(names) if one >> k & 1]
        out.append((facts, touched[pattern[touched] == one]))
    return out


def _corners(
    frames: Frames, rule: Rule, facts: list[str], rows: Ints, choices: tuple[str, ...]
) -> "list[dict[str, Floats]]":
    """Every assignment of corners to those loose facts, over those rows."""
    bad: dict[str, Floats] = {}
    good: dict[str, Floats] = {}
    axes: list[list[tuple[str, Floats]]] = []
    for leaf in facts:
        fact = frames.fact(leaf)
        into = frames.rows_of(choices, order(scope(leaf)))
        at = rows if into is None else into[rows]
        ends = [corner[at] for corner in fact.corners]
        if _starts(leaf, rule.rises):
            bad[leaf], good[leaf] = ends[0], ends[-1]
        elif _starts(leaf, rule.falls):
            bad[leaf], good[leaf] = ends[-1], ends[0]
        else:
            axes.append([(leaf, end) for end in ends])
    directed = [bad, good] if bad else [{}]
    return [{**dict(parts), **ends} for parts in product(*axes) for ends in directed]


def _starts(leaf: str, prefixes: tuple[str, ...]) -> bool:
    return any(leaf.startswith(prefix) for prefix in prefixes)


def _served(
    frames: Frames, rule: Rule, choices: tuple[str, ...], world: World, served: list[str]
) -> tuple[Any, ...]:
    """Sides of the margin in a world; a range to be served must be met at both its ends."""
    sides: tuple[Any, ...] = ()
    for ends in product(*([(leaf, 0), (leaf, 1)] for leaf in served)):
        inputs = [frames.at(read, choices, (*world, *ends)) for read in rule.reads]
        sides = _least(sides, as_sides(rule.margin(*inputs)))
    return sides


def _served_rows(
    frames: Frames,
    rule: Rule,
    choices: tuple[str, ...],
    world: World,
    served: list[str],
    rows: Ints,
    corner: dict[str, Floats],
) -> tuple[Any, ...]:
    sides: tuple[Any, ...] = ()
    for ends in product(*([(leaf, 0), (leaf, 1)] for leaf in served)):
        memo: dict[str, Any] = dict(corner)
        full = (*world, *ends)
        inputs = [_resolve(frames, read, choices, full, rows, memo, corner) for read in rule.reads]
        sides = _least(sides, as_sides(rule.margin(*inputs)))
    return sides


def _resolve(
    frames: Frames,
    name: str,
    choices: tuple[str, ...],
    world: World,
    rows: Ints,
    memo: dict[str, Any],
    corner: dict[str, Floats],
) -> Any:
    """A fact or figure over some rows with some leaf facts at given corners."""
    if name not in memo:
        if name in FIGURES and any(leaf in corner for leaf in leaves(name)):
            figure = FIGURES[name]
            inputs = [
                _resolve(frames, read, choices, world, rows, memo, corner) for read in figure.reads
            ]
            memo[name] = figure.formula(*inputs)
        else:
            value = frames.at(name, choices, world)
            memo[name] = value[rows] if scope(name) else value
    return memo[name]


def as_sides(margin: Any) -> tuple[Any, ...]:
    """A margin as the tuple of its sides: one, or two for a band."""
    return margin if isinstance(margin, tuple) else (margin,)


def _least(sides: tuple[Any, ...], more: tuple[Any, ...]) -> tuple[Any, ...]:
    if not sides:
        return more
    return tuple(np.minimum(a, b) for a, b in zip(sides, more, strict=True))
