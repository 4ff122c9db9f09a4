"""Shocks that a bike rules out before anything is chosen, looked at once for bikes that agree.

The rules about a shock as mounted (length, mount, axis, mass limits, ...) rule out most of a large
catalogue. What one of them finds depends on few facts of the question, so many bikes share it.
"""

from collections.abc import Hashable

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.market import variants
from recommender.rules.registry import Rule
from recommender.search.families import Sets
from recommender.search.groups import Group, Rules, rules_of
from recommender.search.owners import owners
from recommender.search.tables import bit_sets

CHUNK = 65_536
MOST_HELD = 512 * 2**20
"""Bytes of masks held; beyond them all are forgotten and looked at again when asked for."""
REVERSED = "shock_reversed"
"""Goes with the ways of mounting, not with any fact of the bike but whether it allows both."""


class Screening:
    """The screen of one set of wishes over the first `size` shocks of every market asked about,
    which are the same catalogue's in the same order."""

    def __init__(self, wishes: Wishes, size: int) -> None:
        self.rules: Rules = rules_of(wishes)
        self._alone = tuple(rule for rule in self.rules.groups[0].rules if not rule.springs)
        self._size = size
        self._held: dict[Hashable, Mask] = {}

    def sets(self, market: Market) -> Sets:
        """For each shock the rules that are broken for certain whatever is chosen, of the way of
        mounting that breaks the fewest (the lowest on a tie); 0: some way breaks none."""
        shock, turned = variants(market, np.arange(self._size))
        masks = self._masks(market, len(shock))
        found = np.zeros(len(shock), np.uint64)
        for rule, mask in masks.items():
            found[mask] |= np.uint64(self.rules.bit(self._alone[rule]))
        best = found[~turned]
        other, rows = found[turned], shock[turned]
        fewer = np.bitwise_count(other).astype(int) - np.bitwise_count(best[rows])
        better = (fewer < 0) | ((fewer == 0) & (other < best[rows]))
        best[rows[better]] = other[better]
        return best

    def _masks(self, market: Market, ways: int) -> dict[int, Mask]:
        """Rule by rule, which shocks as mounted certainly break it; those not held are found."""
        keys = [(k, read_by(rule, market)) for k, rule in enumerate(self._alone)]
        lacking = [k for k, key in enumerate(keys) if key not in self._held]
        if lacking:
            if (len(self._held) + len(lacking)) * ways > MOST_HELD:
                self._held.clear()
                lacking = list(range(len(keys)))
            for k, mask in self._find(market, lacking).items():
                self._held[keys[k]] = mask
        return {k: self._held[key] for k, key in enumerate(keys)}

    def _find(self, market: Market, which: list[int]) -> dict[int, Mask]:
        found: dict[int, list[Mask]] = {k: [] for k in which}
        for first in range(0, self._size, CHUNK):
            rows: Ints = np.arange(first, min(first + CHUNK, self._size))
            frames = owners(market, rows).frames
            for k in which:
                certain, _ = bit_sets(frames, Group((), (self._alone[k],)), self.rules)
                found[k].append(certain != 0)
        return {k: np.concatenate(masks) for k, masks in found.items()}


def read_by(rule: Rule, market: Market) -> Hashable:
    """Everything of the question that a rule about a shock as mounted reads: bikes for which it is
    the same share what the rule finds."""
    told: dict[str, Hashable] = {}
    for leaf in rule.leaves:
        if leaf in market.scalars:
            told[leaf] = market.scalars[leaf].corners
        elif leaf.removeprefix("shock_") not in market.shocks.columns and leaf != REVERSED:
            # A mount of the frame as the shock meets it: either one, where it goes end for end.
            told["mounts"] = (market.bike.head, market.bike.shaft)
        elif leaf == "shock_length_mm":
            # A length that is not exact has its corners where the approved sizes have theirs.
            told["sizes"] = market.scalars["bike_sizes"].corners
    return rule.name, market.bike.allows.end_for_end == "no", frozenset(told.items())
