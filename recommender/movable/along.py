"""Ways of mounting shocks where a fact that nobody measured is known better, many at once.

Along a fact that is not the shock's own, only the rules that read it are looked at again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.explain.again import renewed
from recommender.explain.narrowing import known_apart, narrowed, one_of_each
from recommender.explain.unknowns import Live, Piece, Unknown, counts, readers
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.registry import Rule
from recommender.search.joint import order_of
from recommender.search.owners import owners, with_kits
from recommender.search.whole import Whole, wholes

Mounted = list[Whole]
"""A shock's ways of mounting."""


@dataclass(frozen=True)
class Ask:
    """A shock where the fact lies between those fractions of what it may be (of a word: its
    number, twice)."""

    unknown: Unknown
    shock: int
    low: float
    high: float


@dataclass(frozen=True)
class Along:
    """Judges shocks along facts; `base` are the wishes, `live` the rules that may hold.

    `kits` are those that matter where a fact tells no kit from another: a market with these alone
    is judged then.
    """

    market: Market
    base: Wishes
    live: Live
    kits: Ints
    _known: dict[tuple[bool, int], list[Whole]] = field(default_factory=dict)
    _read: dict[tuple[str, str], frozenset[Rule]] = field(default_factory=dict)

    def mounted(self, asks: Sequence[Ask]) -> list[Mounted]:
        """Of each ask the ways of mounting its shock there; none where it can't be mounted."""
        out: list[Mounted] = [[] for _ in asks]
        own, by_piece = [], {}  # type: ignore[var-annotated]
        for place, ask in enumerate(asks):
            if ask.unknown.place == "shocks":
                own.append(place)
            else:
                by_piece.setdefault((ask.unknown, ask.low, ask.high), []).append(place)
        for (unknown, low, high), places in by_piece.items():
            home = {asks[place].shock: place for place in places}
            for whole in self._at(unknown, (low, high), np.array(sorted(home))):
                out[home[whole.shock]].append(whole)
        for every in (True, False):
            some = [k for k in own if self._tells_kits(asks[k].unknown) == every]
            for place, whole in self._own(self.market if every else self._few, asks, some):
                out[place].append(whole)
        return out

    def _own(
        self, market: Market, asks: Sequence[Ask], some: Sequence[int]
    ) -> Iterator[tuple[int, Whole]]:
        """Places of those asks, all of cells of the shocks' own, with their shocks mounted."""
        mine = [asks[place] for place in some]
        facts = list(dict.fromkeys(ask.unknown.fact for ask in mine))
        which = np.array([facts.index(ask.unknown.fact) for ask in mine], np.int64)
        shocks = np.array([ask.shock for ask in mine], np.int64)
        low, high = (np.array([getattr(ask, end) for ask in mine]) for end in ("low", "high"))
        for at in one_of_each(market, shocks, max(1, len(mine))):
            known = known_apart(market, facts, which[at], shocks[at], low[at], high[at])
            for whole in wholes(known, self.base, np.arange(len(known.shocks))):
                yield some[int(at[whole.shock])], whole

    def _at(self, unknown: Unknown, piece: Piece, shocks: Ints) -> Iterator[Whole]:
        """Those shocks mounted where a fact that is not their own lies in that piece."""
        every = self._tells_kits(unknown)
        market = narrowed(self.market if every else self._few, unknown, piece)
        bits = {rule.bit for rule in self._readers(unknown)}
        for _, batch in groupby(self._mounted(every, shocks), key=lambda whole: id(whole.made)):
            known = list(batch)
            rows = np.unique([whole.shock for whole in known])
            made = with_kits(market, owners(market, rows))
            at = np.array([whole.owner for whole in known])
            first = known[0]
            alike = np.array_equal(made.shock, first.made.shock[at]) and np.array_equal(
                made.turned, first.made.turned[at])  # fmt: skip
            if not alike:
                # The fact decides how the shock may be mounted.
                yield from wholes(market, self.base, rows)
                continue
            order = order_of(market) if counts(unknown) else first.order
            tables = tuple(
                renewed(made, group, pair.take(at), first.rules, bits)
                for group, pair in zip(first.groups, first.tables, strict=True)
            )
            for owner, whole in enumerate(known):
                yield replace(
                    whole, market=market, order=order, made=made, owner=owner, tables=tables
                )

    def _mounted(self, every: bool, shocks: Ints) -> list[Whole]:
        """Those shocks mounted with the facts as they are, in the order of kinds and rows; kept."""
        missing = [shock for shock in shocks.tolist() if (every, shock) not in self._known]
        market = self.market if every else self._few
        kind = market.shocks.choice("spring_kind").codes
        for whole in wholes(market, self.base, np.array(missing, np.int64)):
            self._known.setdefault((every, whole.shock), []).append(whole)
        found = [self._known.get((every, shock), []) for shock in
                 sorted(shocks.tolist(), key=lambda k: (kind[k], k))]  # fmt: skip
        return [whole for some in found for whole in some]

    @cached_property
    def _few(self) -> Market:
        labels = {self.market.kits.labels[k] for k in self.kits.tolist()}
        pairs = {self.market.kits.pairs_with[k] for k in self.kits.tolist()} - {""}
        if not len(self.kits) or not pairs <= labels:
            return self.market
        return replace(self.market, kits=self.market.kits.take(self.kits))

    def _tells_kits(self, unknown: Unknown) -> bool:
        """Whether a rule about kits reads the fact, so that it may tell one from another."""
        return unknown.place == "kits" or any(
            rule.scope & {"head_kit", "shaft_kit"} for rule in self._readers(unknown)
        )

    def _readers(self, unknown: Unknown) -> frozenset[Rule]:
        """The rules that read the fact, of whatever row; kept."""
        key = (unknown.place, unknown.fact)
        if key not in self._read:
            self._read[key] = frozenset(rule for rule, _ in readers(unknown, self.live))
        return self._read[key]
