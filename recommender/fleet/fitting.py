"""Which kits break nothing at one end, asked once per distinct set of facts."""

from collections.abc import Mapping

import numpy as np

from recommender.catalogue.columns import Ints, Mask
from recommender.rules.choices import Market
from recommender.rules.fact import Fact
from recommender.rules.registry import Rule
from recommender.search.alike import signatures
from recommender.search.frames import Frames
from recommender.search.groups import Group, Rules
from recommender.search.owners import Owners, kit_options
from recommender.search.tables import bit_sets


def fitting(market: Market, group: Group, rules: Rules, made: Owners) -> tuple[Mask, Ints]:
    """Which kits break nothing, one row per distinct set of the facts that the rules read, and the
    row of each owner. Every rule is asked once per distinct set of its own facts."""
    kits = len(market.kits.labels)
    end = group.choices[0].removesuffix("_kit")
    facts = made.frames.owner_facts
    first, code = signatures(_read(facts, group.rules), len(made.shock))
    alike = {name: fact.take(first) for name, fact in facts.items()}
    ok = np.ones((len(first), kits), bool)
    by_facts: dict[tuple[str, ...], list[Rule]] = {}
    for rule in group.rules:
        by_facts.setdefault(tuple(_read(facts, (rule,))), []).append(rule)
    for names, some in by_facts.items():
        own = {name: alike[name] for name in names}
        top, which = signatures(own, len(first))
        few = {name: fact.take(top) for name, fact in own.items()}
        options = {group.choices[0]: kit_options(market, end, len(top))}
        frames = Frames(len(top), few, market.scalars, options)
        sets = bit_sets(frames, Group(group.choices, tuple(some)), rules)[1]
        ok &= (sets == 0).reshape(len(top), kits)[which]
    return ok, code


def _read(facts: Mapping[str, Fact], rules: tuple[Rule, ...]) -> dict[str, Fact]:
    names = dict.fromkeys(leaf for rule in rules for leaf in rule.leaves)
    return {name: facts[name] for name in names if name in facts}

