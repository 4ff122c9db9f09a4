"""Corners of loose facts, laid out as rows.

A fact that is not exactly known is as a choice that nature has made and nobody has read. So every
corner of an owner's loose facts becomes an owner, every corner of an option's an option, with all
facts exact; a figure is computed once per corner, on the smallest frame it depends on, and what
was found is folded back onto the plain rows.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask
from recommender.rules.fact import Fact
from recommender.rules.registry import TURNING, entity, scope
from recommender.search.frames import Frames, Layout, Options, World, starts

Axis = tuple[tuple[str, int], ...]
"""Loose facts that move together: from first corner to last (1) or from last to first (-1)."""
Axes = Mapping[str, tuple[Axis, ...]]
"""The axes of each entity that is spread."""


@dataclass(frozen=True)
class Spread:
    """An entity's rows, each as often as it has corners: the row, which of its corners (0 first),
    how many corners each row has, and the values of the facts on the axes."""

    row: Ints
    corner: Ints
    number: Ints
    values: Mapping[str, Floats]


def spread(facts: Mapping[str, Fact], axes: tuple[Axis, ...]) -> Spread:
    """Rows at every corner of the axes. Along an axis a row has one corner unless a fact is loose.

    Where a fact along which figures turn is blank its value is NaN: nothing is known.
    """
    vague = {name: _vague(name, fact) for name, fact in facts.items()}
    number = np.ones(len(next(iter(facts.values()))), np.int64)
    strides, loose = [], []
    for axis in axes:
        strides.append(number)
        loose.append(np.logical_or.reduce([_moves(facts[n], vague[n]) for n, _ in axis]))
        number = number * np.where(loose[-1], _ends(facts, axis), 1)
    row = np.repeat(np.arange(len(number)), number)
    corner = np.arange(len(row)) - np.repeat(starts(number), number)
    values = {n: np.where(vague[n], np.nan, fact.low)[row] for n, fact in facts.items()}
    several = np.flatnonzero(number[row] > 1)
    for axis, stride, moves in zip(axes, strides, loose, strict=True):
        at = several[moves[row[several]]]
        digit = corner[at] // stride[row[at]] % _ends(facts, axis)
        for name, way in axis:
            for k, end in enumerate(facts[name].corners[::way]):
                some = at[digit == k]
                values[name][some] = end[row[some]]
    return Spread(row, corner, number, values)


def _vague(name: str, fact: Fact) -> Mask:
    """Rows where the fact is blank, or its tolerance too wide, and figures may turn along it."""
    wide = fact.high >= TURNING[name] * fact.low if name in TURNING else np.zeros(len(fact), bool)
    return wide if fact.loose is None else wide & fact.loose


def _moves(fact: Fact, vague: Mask) -> Mask:
    return np.zeros(len(fact), bool) if fact.loose is None else fact.loose & ~vague


def _ends(facts: Mapping[str, Fact], axis: Axis) -> int:
    return max(len(facts[name].corners) for name, _ in axis)


@dataclass(frozen=True)
class Fold:
    """Rows of a corner frame against those of the plain one: `first` picks each plain row's first
    corner, in order; `rest` are the other corners and `of` their plain rows."""

    first: Mask
    rest: Ints
    of: Ints

    def some(self, mask: Mask) -> Mask:
        """Plain rows with some corner in the mask."""
        out = mask[self.first]
        out[self.of[mask[self.rest]]] = True
        return out

    def every(self, mask: Mask) -> Mask:
        """Plain rows with every corner in the mask."""
        return ~self.some(~mask)

    def least(self, values: Floats) -> Floats:
        """The least value of each plain row's corners."""
        out = values[self.first]
        np.minimum.at(out, self.of, values[self.rest])
        return out


class Corners:
    """The corner frames of some plain frames, each made once."""

    def __init__(self, plain: Frames) -> None:
        self.plain = plain
        self._frames: dict[tuple[tuple[str, tuple[Axis, ...]], ...], CornerFrames] = {}
        self._spreads: dict[tuple[str, tuple[Axis, ...]], Spread] = {}

    def of(
        self, leaves: tuple[str, ...], rises: tuple[str, ...] = (), falls: tuple[str, ...] = ()
    ) -> Frames:
        """Frames over the corners of those facts; the plain ones where none is loose.

        Facts along which a margin never falls (or never rises) move together, worst to best.
        """
        alone: dict[str, list[Axis]] = {}
        together: dict[str, list[tuple[str, int]]] = {}
        for leaf in sorted(leaves):
            if leaf in self.plain.scalars or self.plain.fact(leaf).loose is None:
                continue
            if leaf.startswith(rises):
                together.setdefault(entity(leaf), []).append((leaf, 1))
            elif leaf.startswith(falls):
                together.setdefault(entity(leaf), []).append((leaf, -1))
            else:
                alone.setdefault(entity(leaf), []).append(((leaf, 1),))
        for name, facts in together.items():
            alone.setdefault(name, []).append(tuple(facts))
        return self.over({name: tuple(axes) for name, axes in alone.items()})

    def over(self, axes: Axes) -> Frames:
        """Frames whose entities are spread along those axes."""
        if not axes:
            return self.plain
        key = tuple(sorted(axes.items()))
        if key not in self._frames:
            self._frames[key] = CornerFrames(self, axes)
        return self._frames[key]

    def forget(self) -> None:
        """Let go of the corner frames, which know these corners and so would outlive their use."""
        self._frames, self._spreads = {}, {}

    def spread(self, name: str, axes: tuple[Axis, ...]) -> Spread:
        """An entity's rows, spread along those axes."""
        if (name, axes) not in self._spreads:
            facts = {leaf: self.plain.fact(leaf) for axis in axes for leaf, _ in axis}
            self._spreads[name, axes] = spread(facts, axes)
        return self._spreads[name, axes]


class CornerFrames(Frames):
    """Frames over corners. What depends on some of the spread entities only is computed, and kept,
    on the frames where only those are spread."""

    def __init__(self, corners: Corners, axes: Axes) -> None:
        self.corners = corners
        self.axes = axes
        plain = corners.plain
        self._spread = {name: corners.spread(name, along) for name, along in axes.items()}
        self._of = self._spread["shock"].row if "shock" in axes else np.arange(plain.owners)
        options = {name: self._options(name, one) for name, one in plain.options.items()}
        self._folds: dict[tuple[str, ...], Fold] = {}
        super().__init__(len(self._of), {}, plain.scalars, options)

    def _options(self, name: str, plain: Options) -> Options:
        """An owner's options at all their corners; `row` is the place in the spread's list, or in
        the plain list where the choice is not spread."""
        count = plain.count
        if name in self.axes:
            owner = np.repeat(np.arange(len(count)), count)
            number = self._spread[name].number
            count = np.bincount(owner, number, minlength=len(count)).astype(np.int64)
        mine = count[self._of]
        row = np.arange(int(mine.sum())) + np.repeat(starts(count)[self._of] - starts(mine), mine)
        return Options(mine, row, {})

    def layout(self, choices: tuple[str, ...]) -> Layout:
        home = self._home(frozenset(choices))
        return super().layout(choices) if home is self else home.layout(choices)

    def value(self, name: str, world: World = ()) -> Any:
        home = self if name in self.scalars else self._home(scope(name))
        return super().value(name, world) if home is self else home.value(name, world)

    def _home(self, names: frozenset[str]) -> Frames:
        """The frames where only those entities are spread; owners always are."""
        return self.corners.over(
            {name: axes for name, axes in self.axes.items() if name == "shock" or name in names}
        )

    def _read(self, leaf: str) -> Fact:
        name = entity(leaf)
        at = self._of if name == "shock" else self.options[name].row
        if name in self.axes:
            own = self._spread[name]
            if leaf in own.values:
                return Fact(own.values[leaf] if name == "shock" else own.values[leaf][at])
            at = own.row if name == "shock" else own.row[at]
        return Fact(self.corners.plain.fact(leaf).low[at])

    def fold(self, choices: tuple[str, ...]) -> Fold:
        """How this frame's rows fold onto the plain frame of the same choices."""
        if choices not in self._folds:
            self._folds[choices] = self._fold(choices)
        return self._folds[choices]

    def _fold(self, choices: tuple[str, ...]) -> Fold:
        first, of = self._folded(choices)
        rest = np.flatnonzero(~first)
        return Fold(first, rest, of(rest))

    def _folded(self, choices: tuple[str, ...]) -> tuple[Mask, Callable[[Ints], Ints]]:
        """Rows that are the first corner of their plain row, and the plain rows of any rows."""
        layout, plain = self.layout(choices), self.corners.plain
        if not choices:
            if "shock" not in self.axes:
                return np.ones(layout.size, bool), lambda rows: rows
            return self._spread["shock"].corner == 0, lambda rows: self._of[rows]
        base_first, base_of = self._folded(choices[:-1])
        name = choices[-1]
        listed = self.rows_of(choices, (name,))
        place = self.options[name].row if listed is None else self.options[name].row[listed]
        first = base_first[layout.parent]
        if name in self.axes:
            first &= (self._spread[name].corner == 0)[place]

        def of(rows: Ints) -> Ints:
            at = place[rows] if name not in self.axes else self._spread[name].row[place[rows]]
            position = at - plain.options[name].start[self._of[layout.owner[rows]]]
            begin = plain.layout(choices).first
            return begin[base_of(layout.parent[rows])] + position

        return first, of
