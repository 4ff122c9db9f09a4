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
        least = [fold.apply(np.minimum, one) for one in least]
        most = [fold.apply(np.maximum, one) for one in most]
    return Margin(rule, choices, np.minimum.reduce(least), np.minimum.reduce(most))


def broken(
    frames: Frames, rules: Sequence[tuple[Rule, int]]
) -> dict[tuple[str, ...], tuple[Sets, Sets]]:
    """Bit sets of the rules that each row breaks, certainly and possibly, on the rules' own frames;
    the bits are those of `margin`."""
    corners = Corners(frames)
    found: dict[tuple[Frames, tuple[str, ...]], _Bits] = {}
    with np.errstate(all="ignore"):
        for rule, bit in rules:
            choices = order(rule_scope(rule))
            spread = corners.of(rule_leaves(rule), rule.rises, rule.falls)
            if (spread, choices) not in found:
                found[spread, choices] = _Bits(spread.layout(choices).size)
            found[spread, choices].add(rule, np.uint64(bit), _sides(spread, rule, choices))
    out: dict[tuple[str, ...], tuple[Sets, Sets]] = {}
    for (spread, choices), bits in found.items():
        certain, possible = bits.folded(spread, choices)
        if choices in out:
            certain |= out[choices][0]
            possible |= out[choices][1]
        out[choices] = certain, possible
    return out


class _Bits:
    """What each corner breaks: of any rule's margin, and of each side of the margins."""

    def __init__(self, size: int) -> None:
        self.any = np.zeros(size, np.uint64)
        self.side: list[Sets] = []

    def add(self, rule: Rule, bit: np.uint64, worlds: Iterator[tuple[Any, ...]]) -> None:
        size = len(self.any)
        some = np.zeros(size, bool)
        every: list[Mask] = []
        for sides in worlds:
            every = every or [np.ones(size, bool) for _ in sides]
            for k, side in enumerate(sides):
                every[k] &= side < -rule.tolerance
                some |= ~(side >= -rule.tolerance)  # NaN, 'nothing known', among them
        if some.any():
            self.any |= np.where(some, bit, np.uint64(0))
        for k, mask in enumerate(every):
            if k == len(self.side):
                self.side.append(np.zeros(size, np.uint64))
            if mask.any():
                self.side[k] |= np.where(mask, bit, np.uint64(0))

    def folded(self, spread: Frames, choices: tuple[str, ...]) -> tuple[Sets, Sets]:
        """Certain: a side broken at every corner. Possible: broken at some corner."""
        side, any_ = self.side, self.any
        if isinstance(spread, CornerFrames):
            fold = spread.fold(choices)
            any_ = fold.apply(np.bitwise_or, any_)
            side = [fold.apply(np.bitwise_and, one) for one in side]
        return np.bitwise_or.reduce(side), any_


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
