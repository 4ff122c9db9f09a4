"""The sides of a rule's margin as rules of their own: a band may be short at either end."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from recommender.rules.registry import Rule
from recommender.search.frames import Frames, order


def side_rules(frames: Frames, rule: Rule) -> tuple[Rule, ...]:
    """One rule a side, in order; of a plain margin the rule itself."""
    choices = order(rule.scope)
    with np.errstate(all="ignore"):
        made = rule.margin(*(frames.at(read, choices) for read in rule.reads))
    if not isinstance(made, tuple):
        return (rule,)
    return tuple(replace(rule, margin=_side(rule.margin, k)) for k in range(len(made)))


def _side(margin: Callable[..., Any], side: int) -> Callable[..., Any]:
    def one(*facts: Any) -> Any:
        return margin(*facts)[side]

    return one
