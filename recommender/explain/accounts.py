"""The account of every shock: its corrections and conflicts, made once per distinct content."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

import numpy as np
import numpy.typing as npt

from recommender.catalogue.codes import code_of, code_of_both
from recommender.catalogue.columns import Ints
from recommender.explain.conflicts import Conflict, clashing, conflicts
from recommender.explain.corrections import Correction, corrections
from recommender.explain.hitting import MOST
from recommender.explain.sets import minimal, product
from recommender.search.families import Family
from recommender.search.groups import Rules
from recommender.search.verdicts import Part, Verdicts

Factors = tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
"""One way of mounting a shock: the (certain, possible) family of each independent factor."""


@dataclass(frozen=True)
class Account:
    """Why a shock is (or may be) ruled out, and what would let it in.

    The four families hold bit sets: minimal ones, sorted by size, then number. Corrections are
    complete; conflicts are not where `truncated`. `factors` is kept where there is one way to
    mount the shock, so that independent causes can be told apart.
    """

    rules: Rules
    certain: tuple[int, ...]
    possible: tuple[int, ...]
    clash: tuple[int, ...]
    may_clash: tuple[int, ...]
    truncated: bool
    factors: Factors = ()

    @cached_property
    def corrections(self) -> tuple[Correction, ...]:
        """Every correction: first the smallest. A shock that fits has the empty one alone."""
        return tuple(corrections(self.rules, self.certain, self.possible))

    @cached_property
    def conflicts(self) -> tuple[Conflict, ...]:
        """Sure ones first of equals; none for a shock that fits."""
        return tuple(conflicts(self.rules, self.clash, self.may_clash))

    @cached_property
    def groups(self) -> tuple[tuple[Correction, ...], ...]:
        """The corrections of each independent cause, causes with fewest rules first: one of each
        is to be made. A shock that can be mounted in several ways has a single group."""
        if not self.factors:
            return (self.corrections,) if self.conflicts else ()
        apart = [corrections(self.rules, a, b) for a, b in self.factors if b and 0 not in b]
        return tuple(tuple(one) for one in sorted(apart, key=lambda group: group[0].key))


def account(rules: Rules, ways: Sequence[Factors], most: int = MOST) -> Account:
    """The account of a shock from the factors of each way of mounting it."""
    if len(ways) == 1:
        sides = [[list(factor[side]) for factor in ways[0]] for side in (0, 1)]
        certain = product(sides[0])
        # Of most shocks nothing that is loose can change the account.
        whole = [certain, certain if sides[1] == sides[0] else product(sides[1])]
    else:
        whole = [
            minimal(chain.from_iterable(product([list(f[side]) for f in way]) for way in ways))
            for side in (0, 1)
        ]
        sides = [[family] for family in whole]
    clash, cut = clashing(sides[0], most)
    may_clash, more = (clash, cut) if sides[1] == sides[0] else clashing(sides[1], most)
    return Account(
        rules, tuple(whole[0]), tuple(whole[1]), tuple(clash), tuple(may_clash), cut or more,
        tuple(ways[0]) if len(ways) == 1 else (),
    )  # fmt: skip


def account_of(verdicts: Verdicts, shock: int, most: int = MOST) -> Account:
    """The account of one shock."""
    ways = [
        tuple((tuple(certain), tuple(possible)) for certain, possible in way)
        for way in verdicts.factors(shock)
    ]
    return account(verdicts.rules, ways, most)


@dataclass(frozen=True)
class Accounts:
    """Every account: `of[shock]` is the index of the shock's among the distinct ones."""

    of: Ints
    distinct: tuple[Account, ...]

    def __getitem__(self, shock: int) -> Account:
        return self.distinct[int(self.of[shock])]


def accounts(verdicts: Verdicts, most: int = MOST) -> Accounts:
    """The accounts of all shocks judged; -1 in `of` for those that were not.

    Cost: one sort of each part's families, and one search per distinct content.
    """
    family_ids: dict[tuple[int, ...], int] = {}
    ways: dict[tuple[int, ...], int] = {}
    of = np.full(len(verdicts.state), -1, np.int64)
    if not verdicts.parts:
        return Accounts(of, ())
    shocks, codes = [], []
    for part in verdicts.parts:
        shocks.append(part.shock)
        codes.append(_ways(part, family_ids, ways))
    shock, code = np.concatenate(shocks), np.concatenate(codes)
    order = np.lexsort((code, shock))
    shock, code = shock[order], code[order]
    first = np.flatnonzero(np.append(True, shock[1:] != shock[:-1]))
    found: dict[tuple[int, ...], int] = {}
    for row, mine in zip(
        shock[first].tolist(), np.split(code, first[1:].tolist()), strict=True
    ):
        of[row] = found.setdefault(tuple(mine.tolist()), len(found))
    contents, keys = list(family_ids), list(ways)
    return Accounts(
        of,
        tuple(
            account(verdicts.rules, [_factors(keys[way], contents) for way in one], most)
            for one in found
        ),
    )


def _factors(key: tuple[int, ...], contents: list[tuple[int, ...]]) -> Factors:
    pairs = zip(key[::2], key[1::2], strict=True)
    return tuple((contents[certain], contents[possible]) for certain, possible in pairs)


def _ways(
    part: Part, family_ids: dict[tuple[int, ...], int], ways: dict[tuple[int, ...], int]
) -> Ints:
    """The number of each row's way of mounting; both dictionaries take in what is new."""
    columns = [
        _contents(family, family_ids)
        for pair in part.factors
        for family in (pair.certain, pair.possible)
    ]
    code, first = _coded(np.stack(columns, axis=1))
    numbers = [
        ways.setdefault(tuple(int(column[row]) for column in columns), len(ways))
        for row in first.tolist()
    ]
    return np.array(numbers, np.int64)[code]


def _contents(family: Family, family_ids: dict[tuple[int, ...], int]) -> Ints:
    """The number of each owner's family, as a set of sets."""
    out = np.empty(len(family.count), np.int64)
    sets = family.sets[np.lexsort((family.sets, family.owner))]
    for size in np.unique(family.count).tolist():
        who = np.flatnonzero(family.count == size)
        table = sets[family.start[who][:, None] + np.arange(size)]
        code, first = _coded(table)
        numbers = [
            family_ids.setdefault(tuple(dict.fromkeys(row)), len(family_ids))
            for row in table[first].tolist()
        ]
        out[who] = np.array(numbers, np.int64)[code]
    return out


def _coded(table: npt.NDArray[np.generic]) -> tuple[Ints, Ints]:
    """A number for each row such that equal rows have equal ones, and the first row of each."""
    code = np.zeros(len(table), np.int64)
    for column in table.T:
        code = code_of_both(code, code_of(column))
    _, first = np.unique(code, return_index=True)
    return code, first.astype(np.int64)
