"""Which choices hang together: the components of the rules' scope graph."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import networkx as nx

from recommender.facts.wishes import Wishes
from recommender.rules.asked import active
from recommender.rules.registry import RULES, Rule
from recommender.search.frames import CHOICES, order
from recommender.search.joint import JOINT
from recommender.search.margins import rule_scope


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
    """The rules that hold for these wishes. `springs` leaves out rules of the other kind."""
    live = [rule for rule in RULES.values() if not rule.wish or active(rule.wish, wishes)]
    # Bits are numbered before the kinds are parted, so that all shocks share the numbering.
    bits = tuple(dict.fromkeys([*(rule.bit for rule in live), *JOINT]))
    if len(bits) > 64:
        raise ValueError(f"{len(bits)} rules, but a bit set holds 64")
    if springs:
        live = [rule for rule in live if rule.springs in ("", springs)]
    couplings = tuple(rule for rule in live if rule.couples)
    return Rules(bits, tuple(_groups([rule for rule in live if not rule.couples])), couplings)




def _groups(rules: Sequence[Rule]) -> Iterable[Group]:
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(CHOICES)
    for rule in rules:
        choices = order(rule_scope(rule))
        nx.add_path(graph, choices)
    yield Group((), tuple(rule for rule in rules if not order(rule_scope(rule))))
    components = nx.connected_components(graph)
    for component in sorted(components, key=lambda names: min(map(CHOICES.index, names))):
        yield Group(
            order(frozenset(component)),
            tuple(
                rule for rule in rules
                if order(rule_scope(rule)) and set(order(rule_scope(rule))) <= component
            ),
        )  # fmt: skip
