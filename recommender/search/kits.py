"""Kits: tabulated once per distinct set of what their rules read of a shock, never per shock."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.fact import Fact
from recommender.rules.registry import Rule, entity
from recommender.search.alike import signatures
from recommender.search.families import Sets
from recommender.search.frames import Frames
from recommender.search.groups import Group, Rules, rules_of
from recommender.search.joint import Order, order_of
from recommender.search.owners import kit_options, owners
from recommender.search.reduction import Both, joined, reduced, untouched
from recommender.search.tables import bit_sets, families_of

CELLS = 2_000_000
"""Shock signatures times kits that are held at once, and that one lot of rules remembers."""


KIT_GROUPS = (("head_kit",), ("shaft_kit",))


class KitTable:
    """A kit group's families. Owners alike in the facts that its rules read have one signature,
    whatever chunk they are asked about in, and one pair of families."""

    def __init__(
        self, market: Market, order: Order, group: Group, rules: Rules, coupled: bool
    ) -> None:
        self.market, self.order = market, order
        self.group, self.rules, self.coupled = group, rules, coupled
        self.leaves = _shock_leaves(group.rules)
        alike: dict[tuple[str, ...], list[Rule]] = {}
        for rule in group.rules:
            alike.setdefault(_shock_leaves([rule]), []).append(rule)
        self._lots = [
            _Lot(market, Group(group.choices, tuple(some)), rules, leaves)
            for leaves, some in alike.items()
        ]
        self._known: dict[bytes, int] = {}
        self._made: list[Both] = []

    def pair(self, frames: Frames) -> Both:
        """The families of those owners."""
        facts = {leaf: frames.owner_facts[leaf] for leaf in self.leaves}
        first, code = signatures(facts, frames.owners)
        keys = _keys(facts, first)
        fresh = _fresh(keys, self._known)
        self._known |= {keys[k]: len(self._known) + n for n, k in enumerate(fresh)}
        step = max(1, CELLS // len(self.market.kits.labels))
        for k in range(0, len(fresh), step):
            some = first[fresh[k : k + step]]
            self._made.append(self._tabulate(_taken(facts, some), len(some)))
        self._made = [joined(self._made)]
        index = np.array([self._known[key] for key in keys], np.int64)
        return replace(self._made[0], index=index[code])

    def usable(self, frames: Frames) -> Mask:
        """The kits that some of those owners may take: not sure to break a rule of the group."""
        facts = {leaf: frames.owner_facts[leaf] for leaf in self.leaves}
        first, _ = signatures(facts, frames.owners)
        out = np.zeros(len(self.market.kits.labels), bool)
        step = max(1, CELLS // len(out))
        for k in range(0, len(first), step):
            some = first[k : k + step]
            out |= (self._sets(_taken(facts, some), len(some))[0] == 0).any(axis=0)
        return out

    def _sets(self, facts: Mapping[str, Fact], size: int) -> Sets:
        """Certain and possible sets, by signature, by kit."""
        both = np.zeros((2, size, len(self.market.kits.labels)), np.uint64)
        for lot in self._lots:
            both |= lot.sets(facts, size)
        return both

    def _tabulate(self, facts: Mapping[str, Fact], size: int) -> Both:
        """Every kit for each signature."""
        certain, possible = self._sets(facts, size)
        frames = _frames(self.market, self.group, facts, size)
        full = families_of(
            frames, self.group.choices, self.rules, certain.ravel(), possible.ravel()
        )
        return reduced(full, untouched(self.order, frames, self.group.choices), self.coupled)


class _Lot:
    """Rules of a kit group that read the same facts of the shock, looked at once per distinct set
    of those; what was found is remembered."""

    def __init__(self, market: Market, group: Group, rules: Rules, leaves: tuple[str, ...]) -> None:
        self.market, self.group, self.rules, self.leaves = market, group, rules, leaves
        self._forget()

    def _forget(self) -> None:
        self._known: dict[bytes, int] = {}
        self._found: Sets = np.zeros((2, 0, len(self.market.kits.labels)), np.uint64)

    def sets(self, facts: Mapping[str, Fact], size: int) -> Sets:
        """Certain and possible sets, by signature, by kit."""
        own = {leaf: facts[leaf] for leaf in self.leaves}
        first, code = signatures(own, size)
        keys = _keys(own, first)
        fresh = _fresh(keys, self._known)
        if len(fresh) + len(self._known) > CELLS // len(self.market.kits.labels):
            self._forget()
            fresh = _fresh(keys, self._known)
        if fresh:
            frames = _frames(self.market, self.group, _taken(own, first[fresh]), len(fresh))
            more = np.stack(bit_sets(frames, self.group, self.rules)).reshape(2, len(fresh), -1)
            self._known |= {keys[k]: len(self._known) + n for n, k in enumerate(fresh)}
            self._found = np.concatenate([self._found, more], axis=1)
        index = np.array([self._known[key] for key in keys], np.int64)
        return self._found[:, index[code]]


def of_use(market: Market, wishes: Wishes, shocks: Ints) -> Ints:
    """The kits that some of those shocks may take at some end, and what is sold as a pair with
    them; the one made to specification is always there, and last."""
    kits, order, taken = market.kits, order_of(market), np.zeros(len(market.kits.labels), bool)
    kind = market.shocks.choice("spring_kind")
    for first in np.unique(kind.codes[shocks], return_index=True)[1].tolist():
        some = shocks[kind.codes[shocks] == kind.codes[shocks[first]]]
        frames, rules = owners(market, some).frames, rules_of(wishes, kind.word(int(some[0])) or "")
        for group in rules.groups:
            if group.choices in KIT_GROUPS:
                taken |= KitTable(market, order, group, rules, False).usable(frames)
    partners = {kits.pairs_with[row] for row in np.flatnonzero(taken).tolist()} - {""}
    taken |= np.isin(kits.labels, list(partners))
    taken[-1] = True
    return np.flatnonzero(taken)


def _frames(market: Market, group: Group, facts: Mapping[str, Fact], size: int) -> Frames:
    """So many owners with those facts, each with every kit."""
    end = group.choices[0].removesuffix("_kit")
    options = {group.choices[0]: kit_options(market, end, size)}
    return Frames(size, facts, market.scalars, options)


def _taken(facts: Mapping[str, Fact], rows: Ints) -> dict[str, Fact]:
    return {name: fact.take(rows) for name, fact in facts.items()}


def _shock_leaves(rules: Sequence[Rule]) -> tuple[str, ...]:
    leaves = dict.fromkeys(leaf for rule in rules for leaf in rule.leaves)
    return tuple(leaf for leaf in leaves if entity(leaf) == "shock")


def _keys(facts: Mapping[str, Fact], rows: Ints) -> list[bytes]:
    """What tells signatures apart: the first two corners of every fact, and its last."""
    corners = [
        corner[rows]
        for fact in facts.values()
        for corner in (fact.low, fact.others[0] if fact.others else fact.low, fact.high)
    ]
    return [row.tobytes() for row in np.stack(corners, axis=1)] if corners else [b""] * len(rows)


def _fresh(keys: Sequence[bytes], known: Mapping[bytes, int]) -> list[int]:
    """Places of the keys not known, each key once."""
    return list({key: k for k, key in enumerate(keys) if key not in known}.values())
