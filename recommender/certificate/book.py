"""The rules that hold for a question, by bit, and which choices they tie together."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import networkx as nx

from recommender.certificate.joint import JOINT
from recommender.facts.wishes import Wishes
from recommender.rules.live import bits_of, live
from recommender.rules.registry import ENTITIES, RULES, Rule, RuleClass

WHO = {"wish": "rider", "offer": "shop", "limit": "nobody"}
_HARDNESS = ("wish", "offer", "limit")


def choices_of(rule: Rule) -> tuple[str, ...]:
    """The choices that a rule depends on, in the order of ENTITIES."""
    return tuple(name for name in ENTITIES if name in rule.scope and name != "shock")


@dataclass(frozen=True)
class Book:
    """The live rules of a question; `springs` limits them to shocks of that kind, '' to none."""

    wishes: Wishes
    springs: str = ""

    @cached_property
    def rules(self) -> tuple[Rule, ...]:
        """Rules of the shock and its choices, sums aside."""
        return tuple(rule for rule in self._live if not rule.couples)

    @cached_property
    def sums(self) -> tuple[Rule, ...]:
        """Rules about a sum over all parts."""
        return tuple(rule for rule in self._live if rule.couples)

    @cached_property
    def _live(self) -> tuple[Rule, ...]:
        return tuple(
            rule for rule in live(self.wishes)
            if not self.springs or rule.springs in ("", self.springs)
        )  # fmt: skip

    @cached_property
    def number(self) -> dict[str, int]:
        """Place of every bit that may be broken, whatever the spring; joint rules among them."""
        return {name: k for k, name in enumerate(bits_of(self.wishes, JOINT))}

    @cached_property
    def every(self) -> int:
        """All bits."""
        return (1 << len(self.number)) - 1

    def mask(self, names: Iterable[str]) -> int:
        """The bits of rules by name. KeyError for what is no rule of the question."""
        return sum(1 << self.number[name] for name in set(names))

    def names(self, mask: int) -> tuple[str, ...]:
        """The rules of a set of bits."""
        return tuple(name for name, k in self.number.items() if mask >> k & 1)

    @cached_property
    def groups(self) -> tuple[tuple[str, ...], ...]:
        """Choices that some rule ties together; first the shock, of which there is no choice."""
        graph: nx.Graph[str] = nx.Graph()
        graph.add_nodes_from(name for name in ENTITIES if name != "shock")
        for rule in self.rules:
            nx.add_path(graph, choices_of(rule))
        found = [
            tuple(sorted(one, key=ENTITIES.index)) for one in nx.connected_components(graph)
        ]
        return ((), *sorted(found, key=lambda one: ENTITIES.index(one[0])))


def class_of(bit: str) -> RuleClass:
    """The class of the rules of a bit; what an order must meet is the shop's to offer."""
    if bit in JOINT:
        return "offer"
    return next(rule.kind for rule in RULES.values() if rule.bit == bit)


def who(bits: Iterable[str]) -> str:
    """Who can let all of those give way: the hardest of them decides."""
    hardest = max((_HARDNESS.index(class_of(bit)) for bit in bits), default=0)
    return WHO[_HARDNESS[hardest]]
