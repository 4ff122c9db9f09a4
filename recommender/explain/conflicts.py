"""Conflicts: least sets of rules that cannot hold together for a shock."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain

from recommender.explain.corrections import weight
from recommender.explain.hitting import MOST, hitting_sets
from recommender.explain.sets import Family, minimal
from recommender.search.groups import Rules


@dataclass(frozen=True)
class Conflict:
    """Rules by name, in the order of their bits. `sure`: they clash whatever is measured."""

    rules: tuple[str, ...]
    sure: bool

    @property
    def key(self) -> tuple[int, int, tuple[str, ...], bool]:
        """Conflicts go by size, then weight, then the rules' names."""
        return len(self.rules), weight(self.rules), self.rules, not self.sure


def clashing(factors: Sequence[Family], most: int = MOST) -> tuple[Family, bool]:
    """Minimal hitting sets of the unions of one set of every factor, and whether that is not all.

    What meets every union meets every set of some factor: were a set of each left unmet, so would
    be their union. So the factors are taken one by one.
    """
    found: list[Family] = []
    truncated = False
    for factor in factors:
        mine, more = _hitting(tuple(factor), most)
        truncated |= more
        if mine:
            found.append(mine)
    kept = found[0] if len(found) == 1 else minimal(chain.from_iterable(found))
    return kept[:most], truncated or len(kept) > most


def conflicts(rules: Rules, certain: Iterable[int], possible: Iterable[int]) -> list[Conflict]:
    """Conflicts in order: those of `certain` are sure; of `possible` the ones not among them."""
    sure = set(certain)
    found = [Conflict(rules.names(mask), True) for mask in sure]
    found += [Conflict(rules.names(mask), False) for mask in possible if mask not in sure]
    return sorted(found, key=lambda one: one.key)


@lru_cache(maxsize=1 << 16)
def _hitting(factor: tuple[int, ...], most: int) -> tuple[Family, bool]:
    # Few factors are distinct: thousands of shocks meet the same kits.
    return hitting_sets(factor, most)
