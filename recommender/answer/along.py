"""Ways of mounting shocks where a fact that nobody measured is known better, many at once."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.explain.narrowing import apart, cells_narrowed, narrowed
from recommender.explain.unknowns import Live, Unknown, readers
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.registry import scope
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

    def mounted(self, asks: Sequence[Ask]) -> list[Mounted]:
        """Of each ask the ways of mounting its shock there; none where it can't be mounted."""
        out: list[Mounted] = [[] for _ in asks]
        for places, market, shocks in self._markets(asks):
            kind = market.shocks.choice("spring_kind").codes[shocks]
            home = dict(zip(shocks.tolist(), places, strict=True))
            for code in np.unique(kind).tolist():
                for whole in wholes(market, self.base, np.sort(shocks[kind == code])):
                    out[home[whole.shock]].append(whole)
        return out

    def _markets(self, asks: Sequence[Ask]) -> Iterator[tuple[list[int], Market, Ints]]:
        """Markets in which several asks are answered: their places, and their shocks there."""
        few = self._few
        own, by_piece = [], {}  # type: ignore[var-annotated]
        for place, ask in enumerate(asks):
            if ask.unknown.place == "shocks":
                own.append(place)
            else:
                by_piece.setdefault((ask.unknown, ask.low, ask.high), []).append(place)
        for (unknown, low, high), places in by_piece.items():
            market = narrowed(self._of(few, unknown), unknown, (low, high))
            yield places, market, np.array([asks[k].shock for k in places])
        for every in (True, False):
            some = [k for k in own if self._tells_kits(asks[k].unknown) == every]
            for places in self._lots(asks, some):
                yield places, self._own(self.market if every else few, [asks[k] for k in places]), (
                    np.arange(len(places)))  # fmt: skip

    def _lots(self, asks: Sequence[Ask], some: Sequence[int]) -> Iterator[list[int]]:
        """The fitted shock is one of a kind: a market holds it once."""
        rest = [k for k in some if asks[k].shock != self.market.present]
        yield from ([k] for k in some if asks[k].shock == self.market.present)
        if rest:
            yield rest

    def _own(self, market: Market, asks: Sequence[Ask]) -> Market:
        out = apart(market, np.array([ask.shock for ask in asks]))
        low, high = (np.array([getattr(ask, end) for ask in asks]) for end in ("low", "high"))
        for fact in dict.fromkeys(ask.unknown.fact for ask in asks):
            mine = np.array([ask.unknown.fact == fact for ask in asks])
            out = cells_narrowed(out, fact, mine, low, high)
        return out

    @cached_property
    def _few(self) -> Market:
        labels = {self.market.kits.labels[k] for k in self.kits.tolist()}
        pairs = {self.market.kits.pairs_with[k] for k in self.kits.tolist()} - {""}
        if not len(self.kits) or not pairs <= labels:
            return self.market
        return replace(self.market, kits=self.market.kits.take(self.kits))

    def _of(self, few: Market, unknown: Unknown) -> Market:
        return self.market if self._tells_kits(unknown) else few

    def _tells_kits(self, unknown: Unknown) -> bool:
        """Whether a rule about kits reads the fact, so that it may tell one from another."""
        return unknown.place == "kits" or any(
            scope(rule.name) & {"head_kit", "shaft_kit"} for rule, _ in readers(unknown, self.live)
        )
