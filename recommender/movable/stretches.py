"""The stretches of a fact along which a shock's entries stay as they are."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np

from recommender.catalogue.columns import Mask
from recommender.explain.refine import FINEST
from recommender.explain.unknowns import Unknown, counts, option_table
from recommender.movable.along import Along, Ask, Mounted
from recommender.movable.entries import Entries, bare, columns_of
from recommender.movable.ways import Way, way_between
from recommender.rules.choices import Market
from recommender.search.whole import Whole

UNKNOWN = (-1.0, -1.0)
"""Stands for a word that is not known."""
NODES = 9
"""Values of a stretch at which what the fact moves is told, where it moves it along a curve."""


@dataclass(frozen=True)
class Stretch:
    """The ways of mounting a shock on one stretch of a fact, for a word at one value.

    `span` is the stretch, as fractions of what the number may be, where the fact moves what the
    movable wishes read; `nodes` then holds each way's entries, the same rows, at values evenly
    apart from end to end; none where entries change inside, in a piece too short to cut.
    """

    ways: tuple[Way, ...]
    span: tuple[float, float] | None
    nodes: tuple[tuple[tuple[Entries, ...], ...], ...]
    shock: tuple[Market, int] | None
    """Where the shock's own facts are told; None where it can't be mounted."""


@dataclass(frozen=True)
class _Flags:
    """Of every entry whether it may do and whether it surely does, way after way and group after
    group; where groups and ways part is in `shape`."""

    may: Mask
    sure: Mask
    shape: tuple[tuple[bool, tuple[int, ...]], ...]

    @cached_property
    def key(self) -> tuple[object, ...]:
        return self.shape, self.may.tobytes(), self.sure.tobytes()


@dataclass
class _Item:
    """One look as it is made: flags at values and over pieces, and what may still come of it."""

    ask: Ask
    moving: bool
    at: dict[tuple[float, float], _Flags] = field(default_factory=dict)
    done: list[tuple[float, float, bool]] = field(default_factory=list)
    todo: list[tuple[float, float]] = field(default_factory=list)


def stretches(
    along: Along, asks: Sequence[Ask], moving: Sequence[bool]
) -> Iterator[tuple[Ask, tuple[Stretch, ...]]]:
    """Each look that may settle its shock under some wishes. `moving`: whether the movable wishes
    read the fact themselves."""
    items = [_Item(ask, moves) for ask, moves in zip(asks, moving, strict=True)]
    wanted = [
        (item, piece) for item in items
        for piece in (((0.0, 0.0), (1.0, 1.0), (0.0, 1.0)) if item.ask.unknown.number
                      else _words(item.ask.unknown))
    ]  # fmt: skip
    for item in items:
        if item.ask.unknown.number:
            item.todo = [(0.0, 1.0)]
    while wanted:
        for item, piece, mounted in _asked(along, wanted):
            item.at[piece] = _flags(mounted)
        wanted = [(item, piece) for item in items for piece in _next(item)]
    kept = [item for item in items if _may_settle(item)]
    pieces = [(item, piece) for item in kept for piece in _needed(item)]
    made: dict[int, dict[tuple[float, float], Mounted]] = {}
    for item, piece, mounted in _asked(along, pieces):
        made.setdefault(id(item), {})[piece] = mounted
    columns: dict[int, list[Entries]] = {}
    for item in kept:
        yield item.ask, tuple(_told(item, made[id(item)], columns))


def _words(unknown: Unknown) -> tuple[tuple[float, float], ...]:
    return (*unknown.pieces, UNKNOWN) if unknown.place == "shocks" else unknown.pieces


def _asked(
    along: Along, wanted: Sequence[tuple[_Item, tuple[float, float]]]
) -> Iterator[tuple[_Item, tuple[float, float], Mounted]]:
    asks = [Ask(item.ask.unknown, item.ask.shock, *piece) for item, piece in wanted]
    for (item, piece), mounted in zip(wanted, along.mounted(asks), strict=True):
        yield item, piece, mounted


def _flags(mounted: Mounted) -> _Flags:
    may, sure, shape = [np.zeros(0, bool)], [np.zeros(0, bool)], []
    for whole in mounted:
        sizes = []
        for group, pair in enumerate(whole.tables):
            rows = whole.rows(group)
            may.append(pair.certain.sets[rows] == 0)
            sure.append(pair.possible.sets[rows] == 0)
            sizes.append(len(rows))
        shape.append((whole.turned, tuple(sizes)))
    return _Flags(np.concatenate(may), np.concatenate(sure), tuple(shape))


def _next(item: _Item) -> list[tuple[float, float]]:
    """What is to be looked at next: the halves of every piece along which something changes."""
    todo, item.todo = item.todo, []
    wanted: dict[tuple[float, float], None] = {}
    for low, high in todo:
        first, last, over = item.at[low, low], item.at[high, high], item.at.get((low, high))
        even = first.key == last.key
        if over is None and even:
            # Only where its ends are alike can a stretch be even: others are not looked over.
            item.todo.append((low, high))
            wanted[low, high] = None
        elif over and ((even and over.key == first.key)
                       or (not item.moving and _between(over, first, last))):  # fmt: skip
            item.done.append((low, high, True))
        elif high - low <= FINEST:
            item.done.append((low, high, False))
        else:
            middle = (low + high) / 2
            item.todo += [(low, middle), (middle, high)]
            wanted[middle, middle] = None
            if not item.moving:
                wanted |= dict.fromkeys(((low, middle), (middle, high)))
    if not item.moving and item.todo and not _may_settle(item):
        item.todo, wanted = [], {}
    return list(wanted)


def _between(over: _Flags, a: _Flags, b: _Flags) -> bool:
    """Whether, inside a piece, no value can decide otherwise than one of its ends: over the whole
    piece as many are sure as at one end, and as many may do as at one end."""
    if not over.shape == a.shape == b.shape:
        return False
    sure = any(np.array_equal(over.sure, end.sure) for end in (a, b))
    return sure and any(np.array_equal(over.may, end.may) for end in (a, b))


def _may_settle(item: _Item) -> bool:
    """Whether, as far as was looked, some wishes may let the shock be settled along the fact."""
    points = [flags for (low, high), flags in item.at.items() if low == high >= 0]
    whole = item.at.get((0.0, 1.0) if item.ask.unknown.number else UNKNOWN)
    if item.moving or whole is None:
        return len(item.at) > 0
    shape = points[0].shape
    if any(one.shape != shape for one in (*points, whole)):
        return True
    always = np.logical_and.reduce([one.sure for one in points])
    waits = all(_some_completion(one.sure, always, shape) for one in points)
    return waits or not _met(points, whole.may, shape)


def _some_completion(
    sure: Mask, always: Mask, shape: tuple[tuple[bool, tuple[int, ...]], ...]
) -> bool:
    """Whether every group of some way has a sure entry, one of them not sure everywhere."""
    start = 0
    for _, sizes in shape:
        here = True
        varies = False
        for size in sizes:
            mine = slice(start, start + size)
            here &= bool(sure[mine].any())
            varies |= bool((sure[mine] & ~always[mine]).any())
            start += size
        if here and varies:
            return True
    return False


def _met(
    points: Sequence[_Flags], may: Mask, shape: tuple[tuple[bool, tuple[int, ...]], ...]
) -> bool:
    """Whether every completion that may do at all surely may at one of those values, as far as
    entries alone tell: each at a value where in every other group of its way all may."""
    unseen = may.copy()
    for one in points:
        lacking, start = may & ~one.may, 0
        for _, sizes in shape:
            begins = np.cumsum([start, *sizes])
            short = [bool(lacking[a:b].any()) for a, b in pairwise(begins)]
            for k, (a, b) in enumerate(pairwise(begins)):
                if not any(short[:k] + short[k + 1 :]):
                    unseen[a:b] &= ~one.may[a:b]
            start = int(begins[-1])
    return not unseen.any()


def _needed(item: _Item) -> list[tuple[float, float]]:
    """The pieces whose ways of mounting are told."""
    if not item.ask.unknown.number:
        return list(item.ask.unknown.pieces)
    if not item.moving:
        every = {flags.key: piece for piece, flags in item.at.items() if _settled_at(item, piece)}
        return list(every.values())
    item.done = _joined(item)
    out: dict[tuple[float, float], None] = {}
    for low, high, even in item.done:
        out[low, high] = None
        if even:
            out |= dict.fromkeys((at, at) for at in _values(item.ask.unknown, low, high))
    return list(out)


def _values(unknown: Unknown, low: float, high: float) -> list[float]:
    """Values of an even stretch between which what the fact moves runs straight, or nearly."""
    straight = unknown.fact == "bike_leverage" or counts(unknown)
    steps = 1 if straight else NODES - 1
    return [low + (high - low) * k / steps for k in range(steps)] + [high]


def _settled_at(item: _Item, piece: tuple[float, float]) -> bool:
    return piece[0] == piece[1] or (*piece, False) in item.done


def _joined(item: _Item) -> list[tuple[float, float, bool]]:
    """Even pieces side by side with the same flags as one."""
    out: list[tuple[float, float, bool]] = []
    for low, high, even in sorted(item.done):
        if out and even and out[-1][2] and out[-1][1] == low:
            first = out[-1][0]
            if item.at[first, first].key == item.at[low, low].key == item.at[high, high].key:
                out[-1] = (first, high, True)
                continue
        out.append((low, high, even))
    return out


def _told(
    item: _Item, made: dict[tuple[float, float], Mounted], columns: dict[int, list[Entries]]
) -> Iterator[Stretch]:
    def entries(whole: Whole) -> list[Entries]:
        key = id(whole.made)
        if key not in columns:
            columns[key] = columns_of(whole, ())
        return bare(columns[key], whole.tables)

    spans: list[tuple[float, float, bool]] = item.done
    moved, priced = item.moving and item.ask.unknown.number, counts(item.ask.unknown)
    if not moved:
        spans = [(*piece, False) for piece in made]
    for low, high, even in spans:
        # Entries inside are as at either end; what is told over the whole stretch may be wider.
        mounted = made[low, low] if moved and even and not priced else made[low, high]
        at = [made[x, x] for x in _values(item.ask.unknown, low, high)] if moved and even else []
        ways, nodes = [], []
        for k, whole in enumerate(mounted):
            others = [(there[k], entries(there[k])) for there in at]
            found = way_between(whole, entries(whole), others, _supplier(item.ask, whole))
            if found is not None:
                ways.append(found[0])
                nodes.append(found[1])
        own = (mounted[0].market, mounted[0].shock) if mounted else None
        yield Stretch(tuple(ways), (low, high) if moved else None, tuple(nodes), own)


def _supplier(ask: Ask, whole: Whole) -> str:
    """Of a price looked along the supplier whose order minimum it counts toward; else none."""
    if not counts(ask.unknown):
        return ""
    market = whole.market
    if ask.unknown.place == "shocks":
        return "" if whole.shock == market.present else market.shocks.text("supplier")[whole.shock]
    return option_table(market, ask.unknown.place).supplier[ask.unknown.row]
