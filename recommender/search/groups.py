"""Which choices hang together: the components of the rules' scope graph."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import networkx as nx

from recommender.facts.wishes import Wishes
from recommender.rules.live import bits_of, live
from recommender.rules.registry import Rule
from recommender.search.frames import CHOICES, order
from recommender.search.joint import JOINT


@dataclass(frozen=True)
class Group:
    """Choices that some rule ties together, and the rules that read nothing outside them.

    The first group has no choices: its rules are about the shock as mounted.
    """

    choices: tuple[str, ...]
    rules: tuple[Rule, ...]


@dataclass(frozen=True)
class Rules:
    """The rules of one question: what each bit means, the groups, and the sums that couple them."""

    bits: tuple[str, ...]
    groups: tuple[Group, ...]
    couplings: tuple[Rule, ...]

    def bit(self, rule: Rule) -> int:
        return 1 << self.bits.index(rule.bit)

    def names(self, mask: int) -> tuple[str, ...]:
        """Bits of a set, by name."""
        return tuple(name for k, name in enumerate(self.bits) if mask >> k & 1)


def rules_of(wishes: Wishes, springs: str = "") -> Rules:
    """The rules that hold for these wishes. `springs` leaves out rules of the other kind. Raises
    BadInput where there are more than a set of them holds."""
    rules = [rule for rule in live(wishes) if not springs or rule.springs in ("", springs)]
    couplings = tuple(rule for rule in rules if rule.couples)
    # Bits are numbered before the kinds are parted, so that all shocks share the numbering.
    bits = bits_of(wishes, JOINT)
    return Rules(bits, tuple(_groups([rule for rule in rules if not rule.couples])), couplings)


def _groups(rules: Sequence[Rule]) -> Iterable[Group]:
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(CHOICES)
    choices = {rule.name: order(rule.scope) for rule in rules}
    for some in choices.values():
        nx.add_path(graph, some)
    yield Group((), tuple(rule for rule in rules if not choices[rule.name]))
    components = nx.connected_components(graph)
    for component in sorted(components, key=lambda names: min(map(CHOICES.index, names))):
        yield Group(
            order(frozenset(component)),
            tuple(rule for rule in rules
                  if choices[rule.name] and set(choices[rule.name]) <= component),
        )  # fmt: skip
