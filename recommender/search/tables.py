"""The tables of a group of choices: for every entry its two sets of broken rules and its sums."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import Floats, Ints
from recommender.rules.registry import PARTS, Rule
from recommender.search.alike import first_of
from recommender.search.families import Family, Sets, alike, reduce_family
from recommender.search.frames import Frames
from recommender.search.groups import Group, Rules
from recommender.search.margins import Broken, broken


@dataclass(frozen=True)
class Pair:
    """A group's families: broken whatever is measured (with favourable sums), and broken for some
    value (with unfavourable sums). The two are one where everything is known."""

    certain: Family
    possible: Family

    @property
    def known(self) -> bool:
        """Whether nothing that is loose can make a difference."""
        return self.possible is self.certain

    def each(self, work: Callable[[Family], Family]) -> "Pair":
        """What that makes of either family."""
        certain = work(self.certain)
        return Pair(certain, certain if self.known else work(self.possible))

    def take(self, owners: Ints) -> "Pair":
        return self.each(lambda family: family.take(owners))


def entries(frames: Frames, group: Group, rules: Rules) -> Pair:
    """Every entry of the group for every owner, unreduced; sums that nothing limits stay zero."""
    return families_of(frames, group.choices, rules, *bit_sets(frames, group, rules))


def families_of(
    frames: Frames, choices: tuple[str, ...], rules: Rules, certain: Sets, possible: Sets
) -> Pair:
    """Those sets of every row of the frame, with the sums that something limits."""
    layout = frames.layout(choices)
    summed = {rule.couples for rule in rules.couplings}
    nothing = (np.zeros(layout.size),) * 2
    low, high = sums(frames, choices, "price") if "price" in summed else nothing
    light, heavy = sums(frames, choices, "mass") if "mass" in summed else nothing
    row = np.arange(layout.size)
    best = Family(layout.count, certain, low, light, row)
    if all(map(np.array_equal, (certain, low, light), (possible, high, heavy))):
        return Pair(best, best)
    return Pair(best, Family(layout.count, possible, high, heavy, row))


def bit_sets(frames: Frames, group: Group, rules: Rules) -> tuple[Sets, Sets]:
    """Certain and possible sets of every row of the group's frame."""
    return widest(frames, group.choices, broken(frames, numbered(group, rules)))


def numbered(group: Group, rules: Rules) -> list[tuple[Rule, int]]:
    """The group's rules, each with its bit."""
    return [(rule, rules.bit(rule)) for rule in group.rules]


def widest(frames: Frames, choices: tuple[str, ...], found: Broken) -> tuple[Sets, Sets]:
    """The sets found on several frames, on that of all those choices."""
    if choices not in found:
        size = frames.layout(choices).size
        found[choices] = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
    # Each frame's sets go into the next wider frame that has any: few are gathered to the widest.
    by_size = sorted(found, key=len)
    for place, narrow in enumerate(by_size[:-1]):
        wider = next(one for one in by_size[place + 1 :] if set(narrow) < set(one))
        rows = frames.rows_of(wider, narrow)
        for whole, part in zip(found[wider], found[narrow], strict=True):
            whole |= part[rows]
    return found[choices]


def sums(frames: Frames, choices: tuple[str, ...], what: str) -> tuple[Floats, Floats]:
    """Lowest and highest price (with labour) or mass that the chosen parts add, row by row."""
    if not choices:
        return _part_sums(frames, "shock", what)
    low = high = np.zeros(frames.owners)
    for k, part in enumerate(choices):
        inner = choices[: k + 1]
        parent, rows = frames.layout(inner).parent, frames.rows_of(inner, (part,))
        low, high = low[parent], high[parent]
        if part in PARTS:
            least, most = _part_sums(frames, part, what)
            low += least if rows is None else least[rows]
            high += most if rows is None else most[rows]
    return low, high


def _part_sums(frames: Frames, part: str, what: str) -> tuple[Floats, Floats]:
    if what == "mass":
        mass = frames.fact(f"{part}_mass_g")
        return mass.low, mass.high
    price, labour = frames.fact(f"{part}_price"), frames.fact(f"{part}_labour")
    return price.low + labour.low, price.high + labour.high


@dataclass(frozen=True)
class Shared:
    """Families that owners share: `index` says which of the pair's each owner has."""

    pair: Pair
    index: npt.NDArray[np.integer]

    @classmethod
    def own(cls, pair: Pair) -> "Shared":
        """Each owner has its own."""
        return cls(pair, np.arange(len(pair.certain.count)))

    def take(self, owners: Ints) -> "Shared":
        return Shared(self.pair, self.index[owners])

    def each(self) -> Pair:
        """The pair owner by owner."""
        return self.pair.take(self.index.astype(np.int64))

    def plain(self) -> "Shared":
        """The inclusion-minimal sets alone."""
        return Shared(self.pair.each(lambda family: reduce_family(family, False)), self.index)

    def once(self) -> "Shared":
        """The same sets, without sums; families that are alike are held once."""
        used = np.flatnonzero(np.bincount(self.index, minlength=len(self.pair.certain.count)))
        pair = self.pair.take(used)
        code = np.zeros(len(self.pair.certain.count), np.int64)
        code[used] = alike([pair.certain] if pair.known else [pair.certain, pair.possible])
        pair = pair.take(first_of(code[used]))
        index = code[self.index].astype(np.int32)
        return Shared(pair.each(Family.plain), index)
