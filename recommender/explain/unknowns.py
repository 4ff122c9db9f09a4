"""Facts that nobody knows exactly, and the rules that read them.

An unknown is one number, or one word. A column of the shocks stands for as many unknowns as it has
loose cells, one a shock.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

import numpy as np

from recommender.catalogue.columns import ChoiceColumn, Mask, NumberColumn
from recommender.facts.fields import blanks
from recommender.facts.parts import Shock
from recommender.facts.wishes import Wishes
from recommender.mechanics.leverage import Leverage
from recommender.rules.choices import REUSED_HEAD, REUSED_SHAFT, Market
from recommender.rules.fact import Scalar
from recommender.rules.option_table import TABLE_OF, OptionTable
from recommender.rules.registry import Rule, entity
from recommender.rules.tune_options import OF_TUNE
from recommender.search.groups import Rules, rules_of
from recommender.search.joint import JOINT

Place = Literal["question", "shocks", "kits", "springs", "tunes"]
Live = tuple[Rule, ...]
EVERY_ROW = -2
"""Row of an unknown that stands for every loose cell of an option table's column at once."""
Piece = tuple[float, float]
"""Part of what a number may be, as fractions of it; for a word its number, twice."""

_MOUNT = ("gap_mm", "bolt_mm", "carbon_lugs", "grip_mm")
"""What a shock's end meets of the frame's mount."""
_SUMMED = MappingProxyType({
    "price": ("shock_price", "shock_labour", "shock_volume_spacer_price"),
    "mass": ("shock_mass_g", "head_kit_mass_g", "shaft_kit_mass_g", "spring_mass_g"),
})  # fmt: skip
"""Facts that go into a sum over parts and may be measured at home, or are the shock's: what
another part costs is asked, not found out."""
_TURNING = ("shock_labour", "shock_workshop", "shock_days")
"""Follow from whether the shaft eye must be turned, so from three facts about its axis."""


CHOOSING = ("stroke_mm", "spring_kind", "volume_spacers_max", "end_for_end", "head_mount")
"""Columns that decide what may be chosen for a shock, or which facts it has at all: with another
value its entries are others."""


_OWNER: Mapping[Place, str] = MappingProxyType({
    "question": "", "shocks": "shock_", "kits": "kit_", "springs": "spring_", "tunes": "tune_",
})  # fmt: skip


@dataclass(frozen=True)
class Unknown:
    """A fact of the question, a column of the shocks, or one cell of an option table (`row`).

    `pieces` covers what it may be: one piece for a number, one a word. `whole` is False where the
    pieces are only the ends of what is known, with more between that no single number tells.
    """

    place: Place
    fact: str
    pieces: tuple[Piece, ...]
    row: int = -1
    whole: bool = True

    @property
    def name(self) -> str:
        """The fact with whose it is, as `bike_mount` or `shock_length_mm`; of a kit `kit_mass_g`,
        at whichever end it goes."""
        return _OWNER[self.place] + self.fact

    @property
    def number(self) -> bool:
        return self.pieces == ((0.0, 1.0),)


def live_rules(wishes: Wishes) -> Live:
    """The rules that hold for these wishes, those about sums among them."""
    rules = rules_of(wishes)
    return (*(rule for group in rules.groups for rule in group.rules), *rules.couplings)


def question_unknowns(market: Market, live: Live) -> tuple[Unknown, ...]:
    """Loose facts of bike and rider that some rule reads, the parts now on the bike included."""
    read = sorted({name for leaf in _leaves(live) for name in _asked(leaf)} & set(market.scalars))
    found = [
        Unknown("question", name, *_scalar_pieces(market.scalars[name]))
        for name in read
        if market.scalars[name].loose
    ]
    own = [
        ("kits", row)
        for row, label in enumerate(market.kits.labels)
        if label in (REUSED_HEAD, REUSED_SHAFT)
    ]
    own += [("springs", int(row)) for row in np.flatnonzero(market.springs.facts["fitted"].low)]
    for place, row in own:
        found += cell_unknowns(market, live, "kits" if place == "kits" else "springs", row)
    return tuple(found)


def shock_unknowns(market: Market, live: Live) -> tuple[Unknown, ...]:
    """Columns of the shocks that some rule reads and some cell of which is loose."""
    read = {name for leaf in _leaves(live) for name in _columns(leaf)}
    out = []
    for name in sorted(read & set(market.shocks.columns)):
        column = market.shocks.columns[name]
        if loose_cells(market, name).any():
            size = len(column.values) if isinstance(column, ChoiceColumn) else 0
            out.append(Unknown("shocks", name, _pieces(size)))
    return tuple(out)


def cell_unknowns(market: Market, live: Live, place: Place, row: int) -> list[Unknown]:
    """The loose facts of one row of the option table of that name that some rule reads."""
    return loose_facts(market, place, read_facts(market, live, place), row)


def read_facts(market: Market, live: Live, place: Place) -> tuple[str, ...]:
    """The facts of that option table that some rule reads."""
    read = {leaf for one in _leaves(live) for leaf in _options(one, place)}
    return tuple(sorted(read & set(option_table(market, place).facts)))


def loose_facts(market: Market, place: Place, names: Sequence[str], row: int) -> list[Unknown]:
    """Those of the facts named that are loose in that row of the option table."""
    out = []
    for name in names:
        fact = option_table(market, place).facts[name]
        if fact.loose is not None and fact.loose[row]:
            size = len(fact.corners) if fact.category else 0
            out.append(Unknown(place, name, _pieces(size), row))
    return out


def part_facts(rule: Rule, place: Place) -> tuple[str, ...]:
    """The facts of that option table that a rule reads."""
    return tuple(dict.fromkeys(name for leaf in _rests(rule) for name in _options(leaf, place)))


def loose_cells(market: Market, column: str) -> Mask:
    """Shocks whose cell in that column is loose."""
    cells = market.shocks.columns[column]
    if isinstance(cells, NumberColumn):
        loose: Mask = cells.top > cells.low
        return loose & cells.is_known if column in blanks(Shock) else loose
    return cells.codes < 0 if isinstance(cells, ChoiceColumn) else np.zeros(len(cells.codes), bool)


def readers(unknown: Unknown, live: Live) -> list[tuple[Rule, str]]:
    """The rules that read the fact, each with the leaf under which it does."""
    return [
        (rule, leaf)
        for rule in live
        for leaf in _rests(rule)
        if unknown.fact in _names(leaf, unknown.place)
    ]


def bits_reading(unknown: Unknown, live: Live, rules: Rules) -> int:
    """The bits of the rules at hand that read the fact, joint rules among them."""
    names = {rule.bit for rule, _ in readers(unknown, live)}
    names |= {JOINT[0]} if counts(unknown) else set()
    return sum(1 << k for k, name in enumerate(rules.bits) if name in names)


def pulls_both_ways(unknown: Unknown, live: Live) -> bool:
    """Whether some rule is better off with more of the fact and some with less, or may be: along
    any other fact one end is best for every rule."""
    if counts(unknown):
        return True
    pulls = set()
    for rule, leaf in readers(unknown, live):
        # A sum can only be too high.
        falls = bool(rule.couples) or any(leaf.startswith(one) for one in rule.falls)
        pulls.add((any(leaf.startswith(one) for one in rule.rises), falls))
    return bool(pulls) and pulls not in ({(True, False)}, {(False, True)})


def reads_fact(unknown: Unknown, found: Iterable[str]) -> bool:
    """Whether some of those leaf facts rests on the fact."""
    return any(unknown.fact in _names(leaf, unknown.place) for leaf in found)


def counts(unknown: Unknown) -> bool:
    """Whether the fact is a price, which counts toward an order minimum as well."""
    return unknown.fact == "price"


@cache
def _rests(rule: Rule) -> tuple[str, ...]:
    """The leaf facts of a rule; of one about a sum those that go into it as well."""
    return (*rule.leaves, *_SUMMED.get(rule.couples, ()))


def _leaves(live: Live) -> set[str]:
    return {leaf for rule in live for leaf in _rests(rule)}


def _names(leaf: str, place: Place) -> Iterable[str]:
    if place == "question":
        return _asked(leaf)
    return _columns(leaf) if place == "shocks" else _options(leaf, place)


@cache
def _asked(leaf: str) -> tuple[str, ...]:
    """Facts of the question behind a leaf fact; an end may meet either mount."""
    for end in ("head", "shaft"):
        met = leaf.removeprefix(f"shock_{end}_")
        if met != leaf and met in _MOUNT:
            return f"bike_head_{met}", f"bike_shaft_{met}"
    if leaf in _TURNING:
        return ("bike_eyelet_axis",)
    return () if entity(leaf) else (leaf,)


@cache
def _columns(leaf: str) -> tuple[str, ...]:
    """Columns of the shocks behind a leaf fact."""
    if leaf == "stroke_mm":
        return ("stroke_mm",)
    if leaf in _TURNING:
        axis = ("eyelet_axis", "eyelet_turnable")
        return ("delivery_days", *axis) if leaf == "shock_days" else axis
    owner = entity(leaf)
    name = leaf.removeprefix(f"{owner}_")
    if owner == "shock":
        return (name,)
    return (name,) if owner == "tune" and name in OF_TUNE else ()


@cache
def _options(leaf: str, place: Place) -> tuple[str, ...]:
    """Facts of an option table behind a leaf fact."""
    one = entity(leaf)
    return (leaf.removeprefix(f"{one}_"),) if TABLE_OF.get(one) == place else ()


def option_table(market: Market, place: Place) -> OptionTable:
    """The option table of that name."""
    tables: Mapping[str, OptionTable] = {
        "kits": market.kits, "springs": market.springs, "tunes": market.tunes,
    }  # fmt: skip
    return tables[place]


def _pieces(size: int) -> tuple[Piece, ...]:
    """One piece for a number (size 0), one for each of so many words."""
    return tuple((float(k), float(k)) for k in range(size)) if size else ((0.0, 1.0),)


def _scalar_pieces(scalar: Scalar) -> tuple[tuple[Piece, ...], int, bool]:
    """Pieces, no row, and whether they are all."""
    first = scalar.corners[0]
    if scalar.category:
        return _pieces(len(scalar.corners)), -1, True
    if isinstance(first, float | int) or (
        isinstance(first, Leverage) and len(scalar.corners) == 2 and first.level != "linear"
    ):
        return _pieces(0), -1, True
    return _pieces(len(scalar.corners)), -1, False
