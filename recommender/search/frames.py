"""Facts laid out over combinations of choices.

An *owner* is a shock as mounted (as fitted now or end for end). A frame holds one row for every
combination of the options of some choices, owner by owner; a fact or figure is computed on the
smallest frame it depends on and gathered from there.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from typing import Any

import numpy as np

from recommender.catalogue.columns import Floats, Ints
from recommender.rules.fact import Fact, Scalar
from recommender.rules.registry import ENTITIES, FIGURES, entity, leaves, scope
from recommender.search.read import WhenRead

World = tuple[tuple[str, int], ...]
"""Which corner each loose fact of the question takes, and which of its ends a figure that is known
by them; facts not named take their first."""

CHOICES = tuple(one for one in ENTITIES if one != "shock")


@dataclass(frozen=True)
class Options:
    """What an owner may choose: `row` lists, owner after owner, rows of the option table.

    `flat` facts hold one value per listed option instead of one per table row.
    """

    count: Ints
    row: Ints
    table: Mapping[str, Fact]
    flat: Mapping[str, Fact] = field(default_factory=dict)

    @cached_property
    def start(self) -> Ints:
        return starts(self.count)


def starts(count: Ints) -> Ints:
    """Where each owner's stretch begins."""
    return count.cumsum() - count


@dataclass(frozen=True)
class Layout:
    """Rows of one frame. `base` is the frame of all its choices but the last: `parent` is each
    row's row there, and `first` where each of those rows' stretch begins."""

    choices: tuple[str, ...]
    owner: Ints
    count: Ints
    base: "Layout | None"
    parent: Ints
    first: Ints

    @cached_property
    def start(self) -> Ints:
        return starts(self.count)

    @property
    def size(self) -> int:
        return len(self.owner)

    @cached_property
    def position(self) -> Mapping[str, Ints]:
        """Each row's position among its owner's options, choice by choice."""
        if self.base is None:
            return {}
        out = {name: one[self.parent] for name, one in self.base.position.items()}
        out[self.choices[-1]] = np.arange(self.size) - self.first[self.parent]
        return out


class Frames:
    """All frames over one set of owners, with what was computed on them."""

    def __init__(
        self,
        owners: int,
        owner_facts: Mapping[str, Fact],
        scalars: Mapping[str, Scalar],
        options: Mapping[str, Options],
    ) -> None:
        self.owners = owners
        self.owner_facts = owner_facts
        self.scalars = scalars
        self.options = options
        self._layouts: dict[tuple[str, ...], Layout] = {}
        self._values: dict[tuple[str, World], Any] = {}
        self._facts: dict[str, Fact] = {}
        self._maps: dict[tuple[tuple[str, ...], tuple[str, ...]], Ints] = {}
        self.ends: dict[str, tuple[Floats, ...]] = {}

    def nominal(self) -> "Frames":
        """The same frames with every loose fact at its one value to show and to score by."""

        def known(facts: Mapping[str, Fact]) -> Mapping[str, Fact]:
            return WhenRead(facts, lambda name, fact: fact.nominal_as(name))

        options = {
            name: Options(one.count, one.row, known(one.table), known(one.flat))
            for name, one in self.options.items()
        }
        scalars = WhenRead(self.scalars, lambda _, one: Scalar((one.nominal,)))
        return Frames(self.owners, known(self.owner_facts), scalars, options)

    def stretches(
        self, choices: tuple[str, ...], most: int
    ) -> "Iterator[tuple[int, Frames]]":
        """The same frames, some consecutive owners at a time: the first owner, and frames over it
        and the next, at most so many rows of the frame of those choices (or one owner)."""
        number = np.ones(self.owners, np.int64)
        for name in choices:
            number *= self.options[name].count
        ends = np.cumsum(number)
        first = 0
        while first < self.owners:
            done = int(ends[first - 1]) if first else 0
            last = max(first + 1, int(np.searchsorted(ends, done + most, side="right")))
            whole = last - first == self.owners
            yield first, self if whole else self._stretch(choices, first, last)
            first = last

    def _stretch(self, choices: tuple[str, ...], first: int, last: int) -> "Frames":
        facts = {
            name: fact.take(np.arange(first, last)) for name, fact in self.owner_facts.items()
        }
        options = {}
        for name in choices:
            one, count = self.options[name], self.options[name].count[first:last]
            listed = int(one.start[first]) + np.arange(int(count.sum()))
            flat = {key: fact.take(listed) for key, fact in one.flat.items()}
            options[name] = Options(count, one.row[listed], one.table, flat)
        return Frames(last - first, facts, self.scalars, options)

    def layout(self, choices: tuple[str, ...]) -> Layout:
        """The frame of those choices (in the order of CHOICES)."""
        if choices not in self._layouts:
            self._layouts[choices] = self._make(choices)
        return self._layouts[choices]

    def _make(self, choices: tuple[str, ...]) -> Layout:
        if not choices:
            every = np.arange(self.owners)
            return Layout((), every, np.ones(self.owners, np.int64), None, every, every)
        base, last = self.layout(choices[:-1]), self.options[choices[-1]]
        number = last.count[base.owner]
        parent = np.repeat(np.arange(base.size), number)
        count = base.count * last.count
        return Layout(choices, base.owner[parent], count, base, parent, starts(number))

    def rows_of(self, choices: tuple[str, ...], inner: tuple[str, ...]) -> Ints | None:
        """For each row of a frame its row in the frame of fewer choices; None: the same rows."""
        if choices == inner:
            return None
        if (choices, inner) not in self._maps:
            self._maps[choices, inner] = self._map(choices, inner)
        return self._maps[choices, inner]

    def _map(self, choices: tuple[str, ...], inner: tuple[str, ...]) -> Ints:
        outer = self.layout(choices)
        if not inner:
            return outer.owner
        if inner[-1] != choices[-1]:
            rows = self.rows_of(choices[:-1], inner)
            return outer.parent if rows is None else rows[outer.parent]
        # The last choice is in both: the rows of one parent are a run of rows in both.
        rows = self.rows_of(choices[:-1], inner[:-1])
        run = self.layout(inner).first[rows] - outer.first
        return run[outer.parent] + np.arange(outer.size)

    def forget(self) -> None:
        """Drop what was computed; the frames' layouts stay."""
        self._values, self._facts, self._maps, self.ends = {}, {}, {}, {}

    def fact(self, leaf: str) -> Fact:
        """A leaf fact over its entity's own frame."""
        if leaf not in self._facts:
            self._facts[leaf] = self._read(leaf)
        return self._facts[leaf]

    def _read(self, leaf: str) -> Fact:
        owner = entity(leaf)
        if owner == "shock":
            return self.owner_facts[leaf]
        options = self.options[owner]
        if leaf in options.flat:
            return options.flat[leaf]
        return options.table[leaf].take(options.row)

    def value(self, name: str, world: World = ()) -> Any:
        """A fact or figure in that world, at its first corner if not told, over its own smallest
        frame."""
        which = dict(world).get(name) if world else None
        if name in self.scalars:
            return self.scalars[name].corners[which or 0]
        if which is not None:
            return self.ends[name][which]
        key = (name, _restrict(world, name))
        if key not in self._values:
            if name in FIGURES:
                choices = order(scope(name))
                inputs = [self.at(read, choices, world) for read in FIGURES[name].reads]
                self._values[key] = FIGURES[name].formula(*inputs)
            else:
                self._values[key] = self.fact(name).low
        return self._values[key]

    def at(self, name: str, choices: tuple[str, ...], world: World = ()) -> Any:
        """The value gathered to a frame; what depends on no entity stays a scalar."""
        value = self.value(name, world)
        own = scope(name)
        if not own:
            return value
        rows = self.rows_of(choices, order(own))
        if rows is None:
            return value
        size = self.layout(order(own)).size
        return value[rows] if np.shape(value) == (size,) else np.broadcast_to(value, (size,))[rows]


@cache
def order(names: frozenset[str]) -> tuple[str, ...]:
    """Choices of a scope in the fixed order; the shock itself is no choice."""
    return tuple(one for one in CHOICES if one in names)


def _restrict(world: World, name: str) -> World:
    if not world:
        return world
    rests = leaves(name)
    return tuple(pair for pair in world if pair[0] in rests or pair[0] == name)
