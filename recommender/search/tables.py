"""The tables of a group of choices: for every entry its two sets of broken rules and its sums."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from recommender.catalogue.columns import Ints, Mask
from recommender.rules.choices import Market
from recommender.rules.fact import Fact
from recommender.rules.registry import PARTS, entity
from recommender.search.families import Family, Sets, reduce_family
from recommender.search.frames import Frames
from recommender.search.groups import Group, Rules
from recommender.search.joint import Order, free
from recommender.search.margins import margin, rule_leaves
from recommender.search.owners import kit_options

_ROWS = 1_500_000


@dataclass(frozen=True)
class Pair:
    """A group's families: broken whatever is measured (with favourable sums), and broken for some
    value (with unfavourable sums)."""

    certain: Family
    possible: Family

    def take(self, owners: Ints) -> "Pair":
        return Pair(self.certain.take(owners), self.possible.take(owners))


def entries(frames: Frames, group: Group, rules: Rules) -> Pair:
    """Every entry of the group for every owner, unreduced; sums that nothing limits stay zero."""
    layout = frames.layout(group.choices)
    certain, possible = bit_sets(frames, group, rules)
    summed = {rule.couples for rule in rules.couplings}
    nothing = (np.zeros(layout.size),) * 2
    low, high = sums(frames, group, "price") if "price" in summed else nothing
    light, heavy = sums(frames, group, "mass") if "mass" in summed else nothing
    row = np.arange(layout.size)
    return Pair(
        Family(layout.count, certain, low, light, row),
        Family(layout.count, possible, high, heavy, row),
    )


def bit_sets(frames: Frames, group: Group, rules: Rules) -> tuple[Sets, Sets]:
    """Certain and possible sets of every row of the group's frame."""
    by_frame: dict[tuple[str, ...], tuple[Sets, Sets]] = {}
    for rule in group.rules:
        got = margin(frames, rule)
        bit = np.uint64(rules.bit(rule))
        size = frames.layout(got.choices).size
        if got.choices not in by_frame:
            by_frame[got.choices] = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
        sets = by_frame[got.choices]
        sets[0][got.certain] |= bit
        sets[1][got.possible] |= bit
    size = frames.layout(group.choices).size
    out = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
    for choices, sets in by_frame.items():
        rows = frames.rows_of(group.choices, choices)
        for whole, part in zip(out, sets, strict=True):
            whole |= part if rows is None else part[rows]
    return out


def sums(frames: Frames, group: Group, what: str) -> tuple[np.ndarray, np.ndarray]:
    """Lowest and highest price (with labour) or mass that the group's parts add, row by row."""
    size = frames.layout(group.choices).size
    low, high = np.zeros(size), np.zeros(size)
    parts = group.choices or ("shock",)
    for part in parts:
        if part not in PARTS:
            continue
        names = (f"{part}_price", f"{part}_labour") if what == "price" else (f"{part}_mass_g",)
        for name in names:
            fact = frames.fact(name)
            rows = frames.rows_of(group.choices, (part,) if group.choices else ())
            low += fact.low if rows is None else fact.low[rows]
            high += fact.high if rows is None else fact.high[rows]
    return low, high


@dataclass(frozen=True)
class Both:
    """A group's reduced families over all its entries, and over those no joint rule can touch."""

    every: Pair
    neutral: Pair

    def take(self, owners: Ints) -> "Both":
        if self.neutral is self.every:
            pair = self.every.take(owners)
            return Both(pair, pair)
        return Both(self.every.take(owners), self.neutral.take(owners))


def group_pair(
    order: Order, frames: Frames, group: Group, rules: Rules, coupled: bool
) -> Both:
    """The group's reduced families for every owner."""
    full = entries(frames, group, rules)
    every = _reduced(full, coupled)
    allowed = _untouched(order, frames, group)
    if allowed is None:
        return Both(every, every)
    rows = np.flatnonzero(allowed)
    owners = len(full.certain.count)
    part = Pair(full.certain.pick(rows, owners), full.possible.pick(rows, owners))
    return Both(every, _reduced(part, coupled))


def _reduced(pair: Pair, coupled: bool) -> Pair:
    return Pair(reduce_family(pair.certain, coupled), reduce_family(pair.possible, coupled))


def _untouched(order: Order, frames: Frames, group: Group) -> Mask | None:
    """Rows of the group's frame whose options no joint rule can touch; None: all of them."""
    allowed = None
    for choice in group.choices:
        if choice not in order.shelves:
            continue
        sure = free(order.shelves[choice].every, order.minimum, 2 if choice.endswith("kit") else 1)
        if sure.all():
            continue
        options = sure[frames.options[choice].row]
        rows = frames.rows_of(group.choices, (choice,))
        mine = options if rows is None else options[rows]
        allowed = mine if allowed is None else allowed & mine
    return allowed


def kit_pair(
    market: Market, order: Order, frames: Frames, group: Group, rules: Rules, coupled: bool
) -> Both:
    """A kit group's families, tabulated once per distinct set of the owner facts its rules read."""
    end = group.choices[0].removesuffix("_kit")
    leaves = dict.fromkeys(leaf for rule in group.rules for leaf in rule_leaves(rule))
    facts = {leaf: frames.owner_facts[leaf] for leaf in leaves if entity(leaf) == "shock"}
    first, code = signatures(facts, frames.owners)
    step = max(1, _ROWS // len(market.kits.labels))
    parts: list[Both] = []
    for k in range(0, len(first), step):
        some = first[k : k + step]
        own = {name: fact.take(some) for name, fact in facts.items()}
        options = {f"{end}_kit": kit_options(market, end, len(some))}
        some_frames = Frames(len(some), own, market.scalars, options)
        parts.append(group_pair(order, some_frames, group, rules, coupled))
    every = stacked([part.every for part in parts])
    if all(part.neutral is part.every for part in parts):
        return Both(every, every).take(code)
    return Both(every, stacked([part.neutral for part in parts])).take(code)


def stacked(pairs: list[Pair]) -> Pair:
    """The families of several lots of owners, one lot after another."""
    return Pair(_stack([pair.certain for pair in pairs]), _stack([pair.possible for pair in pairs]))


def signatures(facts: dict[str, Fact], owners: int) -> tuple[Ints, Ints]:
    """First owner of each distinct combination of facts, and each owner's combination."""
    code = np.zeros(owners, np.int64)
    for fact in facts.values():
        corners = fact.corners if fact.loose is not None else (fact.low,)
        for corner in corners:
            if owners and (corner == corner[0]).all():
                continue
            own, words = pd.factorize(corner)
            code, _ = pd.factorize(code * (len(words) + 1) + own)
    _, first = np.unique(code, return_index=True)
    return first.astype(np.int64), code


def _stack(families: list[Family]) -> Family:
    return Family(
        np.concatenate([f.count for f in families]),
        np.concatenate([f.sets for f in families]),
        np.concatenate([f.price for f in families]),
        np.concatenate([f.mass for f in families]),
        np.concatenate([f.row for f in families]),
    )
