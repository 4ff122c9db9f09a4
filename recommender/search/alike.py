"""Rows alike: what a rule cannot tell apart is looked at once.

Owners that agree in every fact that a rule reads, and in the options that they list as far as the
rule can see them, are one owner to it; so are options that agree. A rule about coils and strokes
asks nothing of a thousand shocks of one size but what it asks of one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from recommender.catalogue.codes import code_of_both
from recommender.catalogue.columns import Ints
from recommender.rules.fact import Fact
from recommender.rules.registry import entity
from recommender.search.frames import Frames, Options, starts

WORTH = 0.6
"""Frames are thinned where at most this share of the rows would be left."""
FEW = 500
"""Up to so many rows are looked at sooner than they are compared."""
LONGEST = 64
"""Lists longer than this are compared only as a whole: all alike, or none."""


@dataclass(frozen=True)
class Alike:
    """Thinned frames, and where in them the plain ones' owners and listed options are found.

    Where `heads` are the same the frames are, over all choices but the last."""

    heads: tuple[str, ...]
    frames: Frames
    plain: Frames
    owner: Ints
    place: Mapping[str, Ints]

    def part(self, plain: Frames, first: int) -> "Alike":
        """The same for consecutive owners of the plain frames, from that one on."""
        owners = slice(first, first + plain.owners)
        place = {}
        for name, one in self.place.items():
            begin = int(self.plain.options[name].start[first])
            place[name] = one[begin : begin + len(plain.options[name].row)]
        return Alike(self.heads, self.frames, plain, self.owner[owners], place)

    def rows(self, choices: tuple[str, ...]) -> Ints:
        """For each row of the plain frame the thinned frame's row that is alike."""
        if not choices:
            return self.owner
        layout, name = self.plain.layout(choices), choices[-1]
        begin = self.frames.layout(choices).first[self.rows(choices[:-1])]
        if name not in self.place:
            return (begin - layout.first)[layout.parent] + np.arange(layout.size)
        listed = self.plain.rows_of(choices, (name,))
        place = self.place[name] if listed is None else self.place[name][listed]
        return begin[layout.parent] + place


class Thinning:
    """The plain frames as rules see them; what several rules ask for is worked out once."""

    def __init__(self, plain: Frames) -> None:
        self.plain = plain
        self._known: dict[tuple[str, tuple[str, ...]], tuple[Ints, Ints]] = {}

    def alike(self, leaves: Sequence[str], choices: tuple[str, ...]) -> Alike | None:
        """The frames as a rule over those choices sees them that reads those facts; None where
        that would hardly be less, or the rows are few."""
        every = {name: self.plain.options[name] for name in choices}
        size = _size(every, self.plain.owners)
        if size <= FEW:
            return None
        read: dict[str, list[str]] = {name: [] for name in ("shock", *choices)}
        for leaf in sorted(leaves):
            if leaf not in self.plain.scalars:
                read[entity(leaf)].append(leaf)
        facts = {name: {one: self.plain.fact(one) for one in read[name]} for name in read}
        codes = {name: self._codes(name, facts[name]) for name in read}
        owner, last = codes["shock"][0], ""
        for name in choices:
            _, lists = codes[name]
            if name == choices[-1] and lists.any():
                last = name
            else:
                owner = code_of_both(owner, lists)
        first = first_of(owner)
        options = {name: _of_first(every[name], first, facts[name]) for name in choices}
        place = {}
        if last:
            options[last], place[last] = _listed_once(
                every[last], codes[last][0], owner, facts[last]
            )
        if _size(options, len(first)) > WORTH * size:
            return None
        own = {leaf: fact.take(first) for leaf, fact in facts["shock"].items()}
        frames = Frames(len(first), own, self.plain.scalars, options)
        heads = tuple(leaf for name in ("shock", *choices[:-1]) for leaf in read[name])
        return Alike((*choices[:-1], *heads), frames, self.plain, owner, place)

    def _codes(self, name: str, facts: Mapping[str, Fact]) -> tuple[Ints, Ints]:
        """Codes of an entity's rows by those facts, and of the owners by their lists of them."""
        key = name, tuple(facts)
        if key not in self._known:
            if name == "shock":
                _, code = signatures(facts, self.plain.owners)
                self._known[key] = code, code
            else:
                options = self.plain.options[name]
                code = _codes(options, facts)
                self._known[key] = code, _lists(options, code)
        return self._known[key]


def signatures(facts: Mapping[str, Fact], size: int) -> tuple[Ints, Ints]:
    """First row of each combination of facts, and each row's combination. Rows with one code agree
    in everything; where most rows differ each has its own."""
    code = np.zeros(size, np.int64)
    for fact in facts.values():
        own = fact.codes
        if not own.any():
            continue
        code = code_of_both(code, own)
        if int(code.max(initial=-1)) + 1 > WORTH * size:
            return np.arange(size), np.arange(size)
    return first_of(code), code


def first_of(code: Ints) -> Ints:
    """First row of each code."""
    out = np.zeros(int(code.max(initial=-1)) + 1, np.int64)
    out[code[::-1]] = np.arange(len(code))[::-1]
    return out


def _codes(options: Options, facts: Mapping[str, Fact]) -> Ints:
    """Listed options that agree in those facts have one code."""
    # A flat fact stands for the table's of that name, and is each listed option's own.
    if facts and facts.keys() <= options.table.keys() - options.flat.keys():
        table = {leaf: options.table[leaf] for leaf in facts}
        size = len(next(iter(table.values())))
        if size < len(options.row):
            return signatures(table, size)[1][options.row]
    return signatures(facts, len(options.row))[1]


def _lists(options: Options, codes: Ints) -> Ints:
    """Owners whose lists agree, option by option, have one code; 0 for all where all do."""
    count, owners = options.count, len(options.count)
    most = int(count.max(initial=0))
    if owners and (count == most).all() and (codes.reshape(owners, most) == codes[:most]).all():
        return np.zeros(owners, np.int64)
    return np.arange(owners) if most > LONGEST else lists_alike(count, codes)


def lists_alike(count: Ints, items: Ints) -> Ints:
    """One code for all owners whose lists agree, item by item; the lists stand one after another.
    Cost: one pass over the lists for every place in the longest."""
    start = starts(count)
    out = np.zeros(len(count), np.int64)
    for place in range(int(count.max(initial=0))):
        has = np.flatnonzero(count > place)
        here = np.zeros(len(count), np.int64)
        here[has] = 1 + items[start[has] + place]
        out = code_of_both(out, here)
    return out


def _of_first(options: Options, first: Ints, facts: Mapping[str, Fact]) -> Options:
    """The lists of those owners."""
    count = options.count[first]
    row = np.arange(int(count.sum())) + np.repeat(options.start[first] - starts(count), count)
    return Options(count, row, {}, {leaf: fact.take(row) for leaf, fact in facts.items()})


def _listed_once(
    options: Options, codes: Ints, owner: Ints, facts: Mapping[str, Fact]
) -> tuple[Options, Ints]:
    """Of each thinned owner the options that any of its owners lists, those alike once; and the
    place of every listed option there."""
    key = np.repeat(owner, options.count) * (int(codes.max(initial=0)) + 1) + codes
    pair, keys = pd.factorize(key)
    order = np.argsort(keys)
    rank = np.empty(len(order), np.int64)
    rank[order] = np.arange(len(order))
    row = first_of(pair)[order]
    mine = np.repeat(owner, options.count)[row]
    count = np.bincount(mine, minlength=int(owner.max(initial=-1)) + 1).astype(np.int64)
    place = rank[pair] - starts(count)[np.repeat(owner, options.count)]
    return Options(count, row, {}, {leaf: fact.take(row) for leaf, fact in facts.items()}), place


def _size(options: Mapping[str, Options], owners: int) -> int:
    number = np.ones(owners, np.int64)
    for one in options.values():
        number = number * one.count
    return int(number.sum())
