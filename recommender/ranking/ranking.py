"""The ranking of a question: the shocks in order, and each shock's bundles when asked for."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from recommender.catalogue.columns import Ints
from recommender.facts.wishes import Wishes
from recommender.ranking.field import Field, field_of
from recommender.ranking.firsts import First, firsts
from recommender.ranking.order import Ranked, ranked
from recommender.rules.choices import Market
from recommender.search.verdicts import Verdicts


@dataclass(frozen=True)
class Ranking:
    """Shocks by their best bundles, best first. `ranking[k]` are the k-th shock's bundles, made
    only then; figures of all first places are in `firsts`."""

    market: Market
    wishes: Wishes
    verdicts: Verdicts
    shocks: Ints
    _made: dict[int, list[Ranked]] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def field(self) -> Field:
        """All bundles as columns."""
        return field_of(self.market, self.wishes, self.verdicts, self.shocks)

    @cached_property
    def firsts(self) -> tuple[First, ...]:
        """Every shock's best bundle in figures, in order."""
        return firsts(self.field, self.market.shocks.keys())

    @cached_property
    def places(self) -> dict[int | None, int]:
        """Row of each shock in the order -> its place, from 0."""
        return {one.shock: k for k, one in enumerate(self.firsts)}

    def __len__(self) -> int:
        return len(self.firsts)

    def __getitem__(self, place: int) -> list[Ranked]:
        return self.at([place])[0]

    def __iter__(self) -> Iterator[list[Ranked]]:
        return iter(self.at(range(len(self.firsts))))

    def at(self, places: Iterable[int]) -> list[list[Ranked]]:
        """The bundles of the shocks at those places; what was not made before is made together."""
        shocks = [self.firsts[place].shock for place in places]
        fresh = np.array(sorted(set(shocks) - self._made.keys()), np.int64)
        for found in ranked(self.market, self.wishes, self.verdicts, fresh) if len(fresh) else ():
            self._made[found[0].bundle.whole.shock] = found
        return [self._made[shock] for shock in shocks]
