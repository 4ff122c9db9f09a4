"""What a rule is, and the register the families write themselves into.

A rule is a pure function whose parameter names are the facts it reads; it returns its margin in
the rule's unit: positive is room to spare, negative is what is missing. A band is a pair of
margins, one for each side, and the rule's margin is the lesser. A figure is a derived fact,
declared the same way. Both use NumPy arithmetic only, so one definition serves one bundle and
whole columns.
"""

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any, Literal

import numpy as np

RuleClass = Literal["limit", "offer", "wish"]
Standing = Literal["frame maker", "shock maker", "part maker", "cp", "mem", "rider", "catalogue"]

ENTITIES = ("shock", "stroke", "spring", "tune", "clocking", "head_kit", "shaft_kit")
"""What facts can belong to besides the question: the shock as mounted, and each choice.

Facts of bike, rider and wishes are scalars; a fact's first word(s) name its entity.
"""

PARTS = ("shock", "stroke", "spring", "tune", "head_kit", "shaft_kit")
"""The entities that are bought or paid for: each has a price, mass, days and place of work."""

SCALES: Mapping[str, float] = MappingProxyType({
    "": 1.0, "mm": 1.0, "psi": 10.0, "kg": 5.0, "percent": 1.0, "count": 1.0, "n_s_per_m": 500.0,
    "money": 50.0, "g": 50.0, "days": 1.0,
})  # fmt: skip
"""What counts as one step off in each unit, so that shortfalls in different units compare: about
what one would change at a time (a gauge's mark, a posture's kilograms, a click of an adjuster).
From memory; a rule whose parts are made finer, or whose steps are wider, states its own."""

INAPPLICABLE = np.inf
"""Margin of a rule that says nothing about this shock (coil rules on an air shock)."""


@dataclass(frozen=True, eq=False)
class Rule:
    """One rule as the engine sees it.

    `says` is the sentence when it is broken, `fix` the least change in words; both are templates
    whose fields are facts, figures, or `short` (the amount missing). `scale` is one step off, in
    the rule's unit: shortfalls are compared over it. `couples` names the sum over
    parts that the rule reads ('price', 'mass'); such rules tie no choices together. `bit` names
    the bit that the rule sets: rules made once per part share one. `springs` limits the rule to
    shocks of one spring kind. `rises` and `falls` name (by prefix) facts along which the margin
    never falls, or never rises, whatever the others are: those need no corner of their own.
    `steady` names figures along which no side of the margin turns, and whose choices and facts
    nothing else that the rule reads shares: their own ends stand for what they are made of.
    `gives` names, where the rider wished for a figure, the wished fact behind each side of the
    margin, and which way it gives: 1 upward, -1 downward.
    """

    name: str
    kind: RuleClass
    unit: str
    standing: str
    says: str
    fix: str
    margin: Callable[..., Any]
    reads: tuple[str, ...]
    bit: str
    scale: float = 1.0
    categorical: bool = False
    wish: str = ""
    couples: str = ""
    springs: str = ""
    end: str = ""
    rises: tuple[str, ...] = ()
    falls: tuple[str, ...] = ()
    steady: tuple[str, ...] = ()
    gives: tuple[tuple[str, int], ...] = ()

    @property
    def tolerance(self) -> float:
        """A margin passes at minus this or more."""
        return 1e-9 * self.scale

    @cached_property
    def leaves(self) -> tuple[str, ...]:
        """The leaf facts that it rests on."""
        return tuple(dict.fromkeys(leaf for read in self.reads for leaf in leaves(read)))

    @cached_property
    def scope(self) -> frozenset[str]:
        """The entities that it depends on."""
        return frozenset[str]().union(*(scope(read) for read in self.reads))


@dataclass(frozen=True)
class Figure:
    """A derived fact; `rises` and `falls` as a rule's."""

    name: str
    formula: Callable[..., Any]
    reads: tuple[str, ...]
    unit: str = ""
    rises: tuple[str, ...] = ()
    falls: tuple[str, ...] = ()


RULES: dict[str, Rule] = {}
FIGURES: dict[str, Figure] = {}
TURNING: dict[str, float] = {}
"""Facts along which a figure may rise and fall again, so that their ends do not bound it: how many
times its lowest value the highest is from which on that is felt, and nothing is taken as known."""


def rule(
    name: str,
    kind: RuleClass,
    unit: str,
    *,
    standing: str,
    says: str,
    fix: str = "",
    scale: float | None = None,
    categorical: bool = False,
    wish: str = "",
    couples: str = "",
    springs: str = "",
    each: Literal["", "end", "part"] = "",
    rises: tuple[str, ...] = (),
    falls: tuple[str, ...] = (),
    steady: tuple[str, ...] = (),
    gives: tuple[tuple[str, int], ...] = (),
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Registers a rule; `scale` None takes its unit's. `each='end'` makes one per shock end,
    `each='part'` one per part: the word 'end' or 'part' in a parameter's name stands for each of
    them in turn."""

    if scale is None and unit not in SCALES:
        told = ", ".join(repr(one) for one in SCALES)
        raise ValueError(f"rule {name!r}: {unit!r} has no step of its own (those of {told} have); "
                         "state scale=, one step off")  # fmt: skip

    def register(function: Callable[..., Any]) -> Callable[..., Any]:
        reads = tuple(inspect.signature(function).parameters)
        made = Rule(
            name, kind, unit, standing, says, fix, function, reads, name,
            SCALES[unit] if scale is None else scale, categorical, wish, couples, springs, "",
            rises, falls, steady, gives,
        )  # fmt: skip
        for one in _spread(made, each):
            if one.name in RULES:
                raise ValueError(f"two rules are named {one.name!r}")
            RULES[one.name] = one
        return function

    return register


def figure(
    unit: str = "",
    *,
    each: Literal["", "end", "part"] = "",
    reads: tuple[str, ...] = (),
    turns: Mapping[str, float] = MappingProxyType({}),
    rises: tuple[str, ...] = (),
    falls: tuple[str, ...] = (),
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Registers a derived fact under the function's name; `reads` only for a function of *args.

    `turns` names facts along which it may turn, as TURNING: where one of these is blank, or as
    good as, nothing is known of the figure. `rises` and `falls` name facts along which it never
    turns: what it may be is then found at their ends together, however many are loose.
    """
    given = reads
    TURNING.update(turns)

    def register(function: Callable[..., Any]) -> Callable[..., Any]:
        reads = given or tuple(inspect.signature(function).parameters)
        for word in _words(each):
            renamed = tuple(_put(read, each, word) for read in reads)
            name = _put(function.__name__, each, word)
            if name in FIGURES:
                raise ValueError(f"two figures are named {name!r}")
            FIGURES[name] = Figure(name, function, renamed, unit, rises, falls)
        return function

    return register


def _words(each: str) -> tuple[str, ...]:
    return {"": ("",), "end": ("head", "shaft"), "part": PARTS}[each]


def _put(name: str, each: str, word: str) -> str:
    if not each:
        return name
    return "_".join(word if token == each else token for token in name.split("_"))


def _spread(made: Rule, each: str) -> list[Rule]:
    if not each:
        return [made]
    out = []
    for word in _words(each):
        shown = word.replace("_", " ")
        name = f"{shown} {made.name}" if each == "end" else f"{made.name}: {shown}"
        out.append(
            replace(
                made,
                name=name,
                bit=name if each == "end" else made.name,
                reads=tuple(_put(read, each, word) for read in made.reads),
                says=_put_template(made.says, each, word),
                fix=_put_template(made.fix, each, word),
                end=word if each == "end" else "",
                rises=tuple(_put(prefix, each, word) for prefix in made.rises),
                falls=tuple(_put(prefix, each, word) for prefix in made.falls),
            )
        )
    return out


def _put_template(template: str, each: str, word: str) -> str:
    """The same renaming inside the template's fields, and {end} itself becomes the word."""

    def swap(match: re.Match[str]) -> str:
        field, rest = match[1], match[2]
        if field == each:
            return word.replace("_", " ")
        return "{" + _put(field, each, word) + rest + "}"

    return re.sub(r"\{(\w+)([^}]*)\}", swap, template)


@cache
def leaves(name: str) -> tuple[str, ...]:
    """The facts that a fact or figure rests on, figures resolved, in a fixed order."""
    if name not in FIGURES:
        return (name,)
    return tuple(dict.fromkeys(leaf for read in FIGURES[name].reads for leaf in leaves(read)))


@cache
def entity(fact: str) -> str:
    """The entity a leaf fact belongs to; '' for facts of the question."""
    for one in ENTITIES:
        if fact.startswith(one + "_"):
            return one
    return ""


@cache
def scope(name: str) -> frozenset[str]:
    """The entities that a fact or figure depends on."""
    return frozenset(entity(leaf) for leaf in leaves(name)) - {""}


def code(words: tuple[str, ...], word: str) -> int:
    """The code under which a choice column holds a word."""
    return words.index(word)
