"""Which spring settings serve a range of rider masses.

The rules are asked at single masses. A setting serves from one mass to another if it holds at
both: each side of every margin goes one way with the mass. A fixed setting must hold at both ends
of the range; where settings may be changed, the range is halved until every piece has a setting
that holds at both its ends. The range is halved no more than HALVINGS times: two settings that
meet in less are not said to cover it, which errs on the safe side.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from recommender.catalogue.columns import Floats, Ints, Mask

HALVINGS = 6
_Found = tuple[int, Ints, Floats]
_Cover = tuple[int, float, tuple[int, ...], tuple[int, ...]]


class Judge(Protocol):
    """Asked which settings hold at a mass, for fewer and fewer owners."""

    @property
    def fixed(self) -> Ints: ...
    @property
    def owner(self) -> Ints: ...
    def passes(self, mass: float) -> Mask: ...
    def only(self, owners_kept: Ints) -> "Judge": ...


@dataclass(frozen=True)
class Spans:
    """What serves the whole range, one entry per owner and fixed choice, in order.

    `springs` are rows of the first judge's frame, lightest riders first; `ends` the masses at which
    one gives way to the next, the range's own ends among them.
    """

    owner: Ints
    fixed: Ints
    springs: list[Ints]
    ends: list[Floats]


def spans(
    judge: Judge, low: float, high: float, changes: bool, price: Floats, holds: Mask,
    every: bool = False,
) -> Spans:  # fmt: skip
    """The settings that serve every mass from low to high; of those that serve alike the fewest,
    then the cheapest by `price`, then the first. `holds` is what the judge says at either end.

    `every` gives each setting that serves the whole range alone an entry of its own.
    """
    choice, owner = judge.fixed, judge.owner
    size = int(choice.max()) + 1 if len(choice) else 0
    masses = np.array([low, high] if low < high else [low])
    rows = np.arange(len(price))
    found: list[_Found] = []
    for halving in range(HALVINGS + 1):
        cells = holds[:-1] & holds[1:] if len(masses) > 1 else holds
        done = _covered(cells, choice[rows], size)
        if len(cells) == 1:
            able = np.flatnonzero(cells[0])
            found += _alone(able if every else _cheapest(able, choice, price), choice, masses)
        else:
            for one, some in _apart(np.flatnonzero(done[choice[rows]]), choice[rows]):
                chosen, ends = cheapest_cover(cells[:, some], price[rows[some]], masses)
                found.append((one, rows[some[chosen]], ends))
        hopeful = _covered(holds, choice[rows], size) & ~done
        if not changes or len(masses) == 1 or halving == HALVINGS or not hopeful.any():
            break
        kept = np.unique(judge.owner[hopeful[choice[rows]]])
        mine = np.isin(judge.owner, kept)
        judge, rows, holds = judge.only(kept), rows[mine], holds[:, mine]
        masses, holds = _halved(judge, masses, holds)
        holds[:, ~hopeful[choice[rows]]] = False
    found.sort(key=lambda one: (one[0], int(one[1][0])))
    first = np.array([rows[0] for _, rows, _ in found], np.int64)
    return Spans(
        owner[first], np.array([one for one, _, _ in found], np.int64),
        [rows for _, rows, _ in found], [ends for _, _, ends in found],
    )  # fmt: skip


def _cheapest(able: Ints, choice: Ints, price: Floats) -> Ints:
    """Of the rows that serve the whole range the cheapest of each fixed choice, the first if equal;
    the rows are those of the first judge."""
    able = able[np.lexsort((able, price[able], choice[able]))]
    return able[np.unique(choice[able], return_index=True)[1]]


def _alone(able: Ints, choice: Ints, masses: Floats) -> list[_Found]:
    """Rows that serve the whole range, each an entry."""
    ends = masses[[0, -1]]
    return [(int(choice[row]), able[k : k + 1], ends) for k, row in enumerate(able.tolist())]


def _covered(pieces: Mask, choice: Ints, size: int) -> Mask:
    """Fixed choices of which every piece (or mass) has a setting."""
    out = np.ones(size, bool)
    for piece in pieces:
        out &= np.bincount(choice[piece], minlength=size) > 0
    return out


def _apart(rows: Ints, choice: Ints) -> Iterator[tuple[int, Ints]]:
    """Those rows by their fixed choice."""
    rows = rows[np.argsort(choice[rows], kind="stable")]
    for some in np.split(rows, np.flatnonzero(np.diff(choice[rows])) + 1):
        if len(some):
            yield int(choice[some[0]]), some


def _halved(judge: Judge, masses: Floats, holds: Mask) -> tuple[Floats, Mask]:
    """Twice as many pieces: the middles are asked and put between."""
    middles = (masses[:-1] + masses[1:]) / 2
    fresh = np.stack([judge.passes(mass) for mass in middles.tolist()])
    wide = np.empty((2 * len(masses) - 1, holds.shape[1]), bool)
    wide[::2], wide[1::2] = holds, fresh
    out = np.empty(len(wide))
    out[::2], out[1::2] = masses, middles
    return out, wide


def cheapest_cover(cells: Mask, price: Floats, masses: Floats) -> tuple[Ints, Floats]:
    """The settings (columns of `cells`) that cover every piece: fewest, then cheapest, then first.

    Each is used over one run of pieces. Returns them lightest riders first, with the masses where
    one gives way to the next. Dynamic programming over the pieces; one must exist.
    """
    best: list[_Cover | None] = [(0, 0.0, (), (0,))]
    for end in range(1, len(cells) + 1):
        options: list[_Cover] = []
        for start, before in enumerate(best):
            if before is not None:
                number, cost, chosen, cuts = before
                options += [
                    (number + 1, cost + float(price[one]), (*chosen, one), (*cuts, end))
                    for one in np.flatnonzero(cells[start:end].all(axis=0)).tolist()
                ]
        best.append(min(options, default=None))
    last = best[-1]
    if last is None:
        raise ValueError("a piece has no setting")
    return np.array(last[2], np.int64), masses[list(last[3])]
