"""Corrections: least sets of rules that let a shock in if given up, and who can give them up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from recommender.rules.registry import RULES, RuleClass
from recommender.search.groups import Rules
from recommender.search.joint import JOINT

Kind = Literal["rider", "shop", "nobody"]
"""Who can make a correction: its hardest member decides."""

_WHO: Mapping[RuleClass, Kind] = MappingProxyType(
    {"wish": "rider", "offer": "shop", "limit": "nobody"}
)
_WEIGHT: Mapping[RuleClass, int] = MappingProxyType({"wish": 1, "offer": 65, "limit": 65 * 65})
"""More wishes than a bit set can hold weigh less than one offer, and offers less than one limit."""


@dataclass(frozen=True)
class Correction:
    """Rules by name, in the order of their bits.

    `sure`: with these out of the way the shock fits whatever is measured. Otherwise it is no
    longer ruled out, and `left` holds, where it was asked for, each least set of rules of which
    one must still be shown to be met entirely.
    """

    rules: tuple[str, ...]
    kind: Kind
    sure: bool
    left: tuple[tuple[str, ...], ...] = ()

    @property
    def key(self) -> tuple[int, int, tuple[str, ...], bool]:
        """Corrections go by size, then weight, then the rules' names."""
        return len(self.rules), weight(self.rules), self.rules, not self.sure


def correction(rules: Rules, mask: int, sure: bool) -> Correction:
    """The correction that gives up those bits."""
    names = rules.names(mask)
    return Correction(names, who(names), sure)


def corrections(rules: Rules, certain: Iterable[int], possible: Iterable[int]) -> list[Correction]:
    """The corrections of minimal families, in order: those of `possible` are sure; a set of
    `certain` is listed as unsure only if it is not among them."""
    sure = set(possible)
    found = [correction(rules, mask, True) for mask in sure]
    found += [correction(rules, mask, False) for mask in certain if mask not in sure]
    return sorted(found, key=lambda one: one.key)


@cache
def class_of(bit: str) -> RuleClass:
    """The class of the rules that set a bit; what an order must meet is the shop's to offer."""
    if bit in JOINT:
        return "offer"
    return next(rule.kind for rule in RULES.values() if rule.bit == bit)


def who(names: Iterable[str]) -> Kind:
    """Who can let all of those rules give way; nothing to give up is the rider's to do."""
    return _WHO[max((class_of(name) for name in names), key=_WEIGHT.__getitem__, default="wish")]


def weight(names: Iterable[str]) -> int:
    """How hard a set of rules is to give up."""
    return sum(_WEIGHT[class_of(name)] for name in names)


def mask_of(rules: Rules, names: Iterable[str]) -> int:
    """The bits of rules by name. Raises ValueError for a name that is no rule of the question."""
    wanted = set(names)
    unknown = sorted(wanted - set(rules.bits))
    if unknown:
        raise ValueError(f"no rule of the question: {', '.join(map(repr, unknown))}")
    return sum(1 << rules.bits.index(name) for name in wanted)


def wish_mask(rules: Rules) -> int:
    """The bits that are wishes."""
    return mask_of(rules, (bit for bit in rules.bits if class_of(bit) == "wish"))
