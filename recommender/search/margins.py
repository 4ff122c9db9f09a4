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


def margin(made: Corners, rule: Rule) -> Margin:
    """The rule's margin interval on every row of its smallest frame; several rules that look at the
    same frames may share its corners."""
    choices = order(rule.scope)
    corners = _corners(made, rule)
    size = corners.layout(choices).size
    least: list[Floats] = []
    most: list[Floats] = []
    # Corners may lie outside physics (no volume left, a sag never reached): NaN is 'nothing known'.
    with np.errstate(all="ignore"):
        for sides in _sides(made, corners, rule, choices):
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
        begin = int(self.plain.layout(self.choices).start[first]) if first else 0
        rows_ = slice(begin, begin + part.layout(self.choices).size)
        return self.masks[0][rows_], self.masks[1][rows_]


def look(
    frames: Frames, rules: Sequence[tuple[Rule, int]], later: tuple[str, ...] | None = None
) -> list[Found]:
    """Every rule looked at, each with its bit; rows that it cannot tell apart only once. Rules over
    the choices `later` that tell most rows apart are left for when parts of the frames are."""
    corners, thinning = Corners(frames), Thinning(frames)
    heads: dict[tuple[str, ...], Corners] = {}
    found = []
    for rule, bit in rules:
        choices = order(rule.scope)
        alike = thinning.alike(rule.leaves, choices)
        masks = None
        if alike is not None:
            own = Corners(alike.frames)
            _share(heads.setdefault(alike.heads, own), own, rule, choices)
            masks = _masks(own, rule, choices)
            if own is not heads[alike.heads]:
                own.forget()
                alike.frames.forget()
        elif choices != later:
            masks = _masks(corners, rule, choices)
        found.append(Found(rule, bit, choices, frames, alike, masks))
    for one in heads.values():
        one.forget()
        one.plain.forget()
    corners.forget()
    return found


def _share(first: Corners, own: Corners, rule: Rule, choices: tuple[str, ...]) -> None:
    """Steady figures are worked out once on frames that are the same but for the last choice."""
    for figure in rule.steady:
        if not scope(figure) & set(choices[-1:]):
            _know(first, figure)
            own.plain.ends[figure] = first.plain.ends[figure]


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
    corners = _corners(made, rule)
    size = corners.layout(choices).size
    some = np.zeros(size, bool)
    every: list[Mask] = []
    with np.errstate(all="ignore"):
        for sides in _sides(made, corners, rule, choices):
            every = every or [np.ones(size, bool) for _ in sides]
            for k, side in enumerate(sides):
                every[k] &= side < -rule.tolerance
                some |= ~(side >= -rule.tolerance)  # NaN, 'nothing known', among them
    if isinstance(corners, CornerFrames):
        fold = corners.fold(choices)
        some, every = fold.some(some), [fold.every(one) for one in every]
    return np.logical_or.reduce(every), some


def _corners(made: Corners, rule: Rule) -> Frames:
    """Frames over the corners of what the rule reads; steady figures are known by their ends."""
    for figure in rule.steady:
        _know(made, figure)
    return made.of(_loose_leaves(rule), rule.rises, rule.falls)


def _loose_leaves(rule: Rule) -> tuple[str, ...]:
    """The leaf facts whose corners a rule must be looked at."""
    reads = [read for read in rule.reads if read not in rule.steady]
    return tuple(dict.fromkeys(leaf for read in reads for leaf in leaves(read)))


def _know(made: Corners, figure: str) -> None:
    """Works out a figure's ends on the plain frames: its least value, then its greatest. Where it
    rests on a range to be served each stands twice, as the lesser and the greater end take it."""
    if figure in made.plain.ends:
        return
    choices, rests = order(scope(figure)), leaves(figure)
    corners = made.of(rests)
    taken: list[list[Floats]] = []
    with np.errstate(all="ignore"):
        for world, served in _questions(corners, rests):
            values = [corners.at(figure, choices, (*world, *ends)) for ends in served]
            ends = [np.minimum.reduce(values), np.maximum.reduce(values)]
            taken.append(ends if len(served) > 1 else ends[:1])
        least, most = ([one.reduce(some) for some in zip(*taken, strict=True)]
                       for one in (np.minimum, np.maximum))  # fmt: skip
        if isinstance(corners, CornerFrames):
            fold = corners.fold(choices)
            least, most = [fold.least(one) for one in least], [-fold.least(-one) for one in most]
    made.plain.ends[figure] = (*least, *most)


def _sides(
    made: Corners, corners: Frames, rule: Rule, choices: tuple[str, ...]
) -> Iterator[tuple[Any, ...]]:
    """The margin's sides over a frame, once for every combination of the question's loose facts and
    of steady figures' ends; a range to be served must be met at both its ends."""
    figures = [(name, len(made.plain.ends[name]) // 2) for name in rule.steady]
    for world, served in _questions(corners, _loose_leaves(rule), rule.rises, rule.falls):
        for least in product((True, False), repeat=len(figures)):
            taken = [
                [(name, k if low else half + k) for k in range(half)]
                for (name, half), low in zip(figures, least, strict=True)
            ]
            sides: tuple[Any, ...] = ()
            for ends, known in product(served, product(*taken)):
                inputs = [corners.at(read, choices, (*world, *ends, *known)) for read in rule.reads]
                sides = _least(sides, as_sides(rule.margin(*inputs)))
            yield tuple(np.asarray(side, np.float64) for side in sides)


def _questions(
    frames: Frames, rests: Sequence[str], rises: tuple[str, ...] = (), falls: tuple[str, ...] = ()
) -> Iterator[tuple[World, list[World]]]:
    """Every combination of the question's loose facts, with the ends of the ranges to be served."""
    scalars = [leaf for leaf in rests if leaf in frames.scalars]
    loose = [leaf for leaf in scalars if frames.scalars[leaf].loose]
    ranges = [leaf for leaf in scalars if frames.scalars[leaf].served]
    served: list[World] = list(product(*([(leaf, 0), (leaf, 1)] for leaf in ranges)))
    for world in _worlds(frames, loose, rises, falls):
        yield world, served


def _worlds(
    frames: Frames, scalars: list[str], rises: tuple[str, ...], falls: tuple[str, ...]
) -> list[World]:
    """Every combination of corners; facts of known direction go together to either end."""
    axes: list[list[World]] = []
    bad: list[tuple[str, int]] = []
    good: list[tuple[str, int]] = []
    for leaf in scalars:
        last = len(frames.scalars[leaf].corners) - 1
        if leaf.startswith(rises):
            bad.append((leaf, 0))
            good.append((leaf, last))
        elif leaf.startswith(falls):
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
