"""The interval of every rule's margin, from the corners of what is not exactly known.

A band's margin is the lesser of two; its interval is taken side by side, so its high end is an
upper bound and its sign is exact wherever a single value can satisfy both sides.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import Floats, Mask
from recommender.rules.registry import Rule, leaves, scope
from recommender.search.alike import Alike, Thinning
from recommender.search.corners import CornerFrames, Corners
from recommender.search.frames import Frames, World, order

Sets = npt.NDArray[np.uint64]


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
    corners = Corners(frames).of(rule_leaves(rule), rule.rises, rule.falls)
    size = corners.layout(choices).size
    least: list[Floats] = []
    most: list[Floats] = []
    # Corners may lie outside physics (no volume left, a sag never reached): NaN is 'nothing known'.
    with np.errstate(all="ignore"):
        for sides in _sides(corners, rule, choices):
            if not least:
                least = [np.full(size, np.inf) for _ in sides]
                most = [np.full(size, -np.inf) for _ in sides]
            for k, side in enumerate(sides):
                nan = np.isnan(side)
                np.minimum(least[k], np.where(nan, -np.inf, side), out=least[k])
                np.maximum(most[k], np.where(nan, np.inf, side), out=most[k])
    if isinstance(corners, CornerFrames):
        fold = corners.fold(choices)
        least = [fold.least(one) for one in least]
        most = [-fold.least(-one) for one in most]
    return Margin(rule, choices, np.minimum.reduce(least), np.minimum.reduce(most))


@dataclass(frozen=True)
class Found:
    """The rows that break one rule, certainly and possibly, where they were looked at: on frames
    thinned to what the rule can tell apart, on the plain frames, or (None) not yet."""

    rule: Rule
    bit: int
    choices: tuple[str, ...]
    plain: Frames
    alike: Alike | None
    masks: tuple[Mask, Mask] | None

    def on(self, part: Frames, first: int, corners: Corners) -> tuple[Mask, Mask]:
        """Rows that break it in frames over consecutive owners of the plain ones, from that one
        on; `corners` are those of the part."""
        if self.masks is None:
            return _masks(corners, self.rule, self.choices)
        if self.alike is not None:
            rows = self.alike.part(part, first).rows(self.choices)
            return self.masks[0][rows], self.masks[1][rows]
        begin = int(self.plain.layout(self.choices).start[first])
        rows_ = slice(begin, begin + part.layout(self.choices).size)
        return self.masks[0][rows_], self.masks[1][rows_]


def look(
    frames: Frames, rules: Sequence[tuple[Rule, int]], later: tuple[str, ...] | None = None
) -> list[Found]:
    """Every rule looked at, each with its bit; rows that it cannot tell apart only once. Rules over
    the choices `later` that tell most rows apart are left for when parts of the frames are."""
    corners, thinning = Corners(frames), Thinning(frames)
    found = []
    for rule, bit in rules:
        choices = order(rule_scope(rule))
        alike = thinning.alike(rule_leaves(rule), choices)
        masks = None
        if alike is not None:
            own = Corners(alike.frames)
            masks = _masks(own, rule, choices)
            own.forget()
            alike.frames.forget()
        elif choices != later:
            masks = _masks(corners, rule, choices)
        found.append(Found(rule, bit, choices, frames, alike, masks))
    corners.forget()
    return found


Broken = dict[tuple[str, ...], tuple[Sets, Sets]]


def broken(frames: Frames, rules: Sequence[tuple[Rule, int]]) -> Broken:
    """Bit sets of the rules that each row breaks, certainly and possibly, on the rules' own frames;
    the bits are those of `margin`."""
    return broken_in(frames, 0, look(frames, rules))


def broken_in(part: Frames, first: int, found: Sequence[Found]) -> Broken:
    """The same for consecutive owners, from that one on, of the frames that were looked at."""
    corners = Corners(part)
    out: Broken = {}
    for one in found:
        if one.choices not in out:
            size = part.layout(one.choices).size
            out[one.choices] = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
        for sets, mask in zip(out[one.choices], one.on(part, first, corners), strict=True):
            if mask.any():
                sets |= np.where(mask, np.uint64(one.bit), np.uint64(0))
    corners.forget()
    return out


def _masks(made: Corners, rule: Rule, choices: tuple[str, ...]) -> tuple[Mask, Mask]:
    """Rows that break the rule, certainly: one side at every corner; possibly: at some corner."""
    corners = made.of(rule_leaves(rule), rule.rises, rule.falls)
    size = corners.layout(choices).size
    some = np.zeros(size, bool)
    every: list[Mask] = []
    with np.errstate(all="ignore"):
        for sides in _sides(corners, rule, choices):
            every = every or [np.ones(size, bool) for _ in sides]
            for k, side in enumerate(sides):
                every[k] &= side < -rule.tolerance
                some |= ~(side >= -rule.tolerance)  # NaN, 'nothing known', among them
    if isinstance(corners, CornerFrames):
        fold = corners.fold(choices)
        some, every = fold.some(some), [fold.every(one) for one in every]
    return np.logical_or.reduce(every), some


def rule_leaves(rule: Rule) -> tuple[str, ...]:
    """The leaf facts of a rule."""
    return tuple(dict.fromkeys(leaf for read in rule.reads for leaf in leaves(read)))


def rule_scope(rule: Rule) -> frozenset[str]:
    """The entities that a rule depends on."""
    return frozenset().union(*(scope(read) for read in rule.reads))


def _sides(
    corners: Frames, rule: Rule, choices: tuple[str, ...]
) -> Iterator[tuple[Any, ...]]:
    """The margin's sides over a frame, once for every combination of the question's loose facts;
    a range to be served must be met at both its ends."""
    rests = [leaf for leaf in rule_leaves(rule) if leaf in corners.scalars]
    loose = [leaf for leaf in rests if corners.scalars[leaf].loose]
    served = [leaf for leaf in rests if corners.scalars[leaf].served]
    for world in _worlds(corners, rule, loose):
        sides: tuple[Any, ...] = ()
        for ends in product(*([(leaf, 0), (leaf, 1)] for leaf in served)):
            inputs = [corners.at(read, choices, (*world, *ends)) for read in rule.reads]
            sides = _least(sides, as_sides(rule.margin(*inputs)))
        yield tuple(np.asarray(side, np.float64) for side in sides)


def _worlds(frames: Frames, rule: Rule, scalars: list[str]) -> list[World]:
    """Every combination of corners; facts of known direction go together to either end."""
    axes: list[list[World]] = []
    bad: list[tuple[str, int]] = []
    good: list[tuple[str, int]] = []
    for leaf in scalars:
        last = len(frames.scalars[leaf].corners) - 1
        if leaf.startswith(rule.rises):
            bad.append((leaf, 0))
            good.append((leaf, last))
        elif leaf.startswith(rule.falls):
            bad.append((leaf, last))
            good.append((leaf, 0))
        else:
            axes.append([((leaf, k),) for k in range(last + 1)])
    if bad:
        axes.append([tuple(bad), tuple(good)])
    return [tuple(pair for part in parts for pair in part) for parts in product(*axes)]


def as_sides(margin: Any) -> tuple[Any, ...]:
    """A margin as the tuple of its sides: one, or two for a band."""
    return margin if isinstance(margin, tuple) else (margin,)


def _least(sides: tuple[Any, ...], more: tuple[Any, ...]) -> tuple[Any, ...]:
    if not sides:
        return more
    return tuple(np.minimum(a, b) for a, b in zip(sides, more, strict=True))
