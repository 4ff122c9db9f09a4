"""One shock mounted one way, with everything that can be chosen for it, rule by rule."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from recommender.catalogue.columns import Floats, Ints
from recommender.certificate.book import Book, choices_of
from recommender.certificate.evaluate import Evaluator
from recommender.certificate.joint import JOINT, ORDERED, Shelves
from recommender.certificate.options import Offers, Options
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.fact import Scalar
from recommender.rules.registry import ENTITIES, PARTS

Sets = npt.NDArray[np.uint64]


@dataclass(frozen=True)
class Entries:
    """All combinations of a group's options, flat: the rules of the group that each breaks, and
    what its parts add to the sums; with the first of each pair for certain, or at least.

    `at` has for each choice the option that an entry takes.
    """

    choices: tuple[str, ...]
    shape: tuple[int, ...]
    at: Mapping[str, Ints]
    broken: tuple[Sets, Sets]
    sums: Mapping[str, tuple[Floats, Floats]]

    def __len__(self) -> int:
        return len(self.broken[0])


@dataclass(frozen=True)
class Way:
    """A shock mounted one way, its options, and its entries group by group."""

    market: Market
    shelves: Shelves
    book: Book
    shock: int
    turned: bool
    options: Mapping[str, Options]

    @cached_property
    def _evaluator(self) -> Evaluator:
        return Evaluator(self.market.scalars, self.options)

    @cached_property
    def entries(self) -> tuple[Entries, ...]:
        """The groups' entries, that of the shock itself first."""
        return tuple(self._group(choices) for choices in self.book.groups)

    def _group(self, choices: tuple[str, ...]) -> Entries:
        shape = tuple(len(self.options[name]) for name in choices)
        wide = tuple(len(self.options[e]) if e in choices else 1 for e in ENTITIES)
        broken = np.zeros(wide, np.uint64), np.zeros(wide, np.uint64)
        for rule in self.book.rules:
            mine = choices_of(rule)
            if not (set(mine) <= set(choices) if mine else not choices):
                continue
            low, high = self._evaluator.margin(rule)
            bit = np.uint64(1 << self.book.number[rule.bit])
            for sets, bound in zip(broken, (high, low), strict=True):
                sets |= np.where(bound < -rule.tolerance, bit, np.uint64(0))
        sums = {rule.couples: self._sum(rule.couples, choices, wide) for rule in self.book.sums}
        index = np.unravel_index(np.arange(int(np.prod(shape, dtype=int))), shape or (1,))
        return Entries(
            choices, shape, dict(zip(choices, index, strict=False)),
            (broken[0].ravel(), broken[1].ravel()), sums,
        )  # fmt: skip

    def _sum(
        self, what: str, choices: tuple[str, ...], wide: tuple[int, ...]
    ) -> tuple[Floats, Floats]:
        ends = np.zeros((2, *wide))
        for name in choices or ("shock",):
            if name not in PARTS:
                continue
            facts = self.options[name].facts
            shape = [1] * len(ENTITIES)
            shape[ENTITIES.index(name)] = len(self.options[name])
            for read in ("mass_g",) if what == "mass" else ("price", "labour"):
                fact = facts[f"{name}_{read}"]
                ends[0] += fact.low.reshape(shape)
                ends[1] += fact.high.reshape(shape)
        return ends[0].ravel(), ends[1].ravel()

    def limits(self) -> list[tuple[str, int, float]]:
        """What is summed, its bit, and what it may come to."""
        return [
            (rule.couples, 1 << self.book.number[rule.bit],
             float(self.market.scalars[rule.reads[1]].corners[0]) + rule.tolerance)
            for rule in self.book.sums
        ]  # fmt: skip

    def pieces(self, entries: Sequence[Ints]) -> list[Floats]:
        """The pieces that completions order: `entries` has an array for every group."""
        found = {"shock": np.full(len(entries[0]), self.shock)}
        for group, rows in zip(self.entries, entries, strict=True):
            for name, at in group.at.items():
                found[name] = self.options[name].row[at[rows]]
        return [self.shelves.pieces[name][found[name]] for name in ORDERED]

    def sets(self, entries: Sequence[Ints], certain: bool) -> Sets:
        """The rules that completions break, for certain or possibly, sums and joint rules too."""
        side = 0 if certain else 1
        pairs = list(zip(self.entries, entries, strict=True))
        out = np.zeros(len(entries[0]), np.uint64)
        for group, rows in pairs:
            out |= group.broken[side][rows]
        for what, bit, limit in self.limits():
            total = sum(group.sums[what][side][rows] for group, rows in pairs)
            out[total > limit] |= np.uint64(bit)
        pieces = self.pieces(entries)
        for rule in JOINT:
            over = self.shelves.broken(rule, pieces, certain)
            out[over] |= np.uint64(1 << self.book.number[rule])
        return out

    def completion(self, labels: Mapping[str, str]) -> list[Ints]:
        """The entries of the completion that takes those options. KeyError: there is none such."""
        taken = {name: self._position(name, labels) for name in ENTITIES if name != "shock"}
        if len(taken) != len(labels):
            raise KeyError(", ".join(sorted(set(labels) - set(taken))))
        return [
            np.array([
                int(np.ravel_multi_index([taken[name] for name in group.choices], group.shape))
                if group.choices else 0
            ])
            for group in self.entries
        ]  # fmt: skip

    def _position(self, name: str, labels: Mapping[str, str]) -> int:
        try:
            return self.options[name].labels.index(labels[name])
        except (KeyError, ValueError):
            told = labels.get(name, "no option")
            raise KeyError(f"{name.replace('_', ' ')}: {told}") from None

    def nominal(self, labels: Mapping[str, str]) -> Evaluator:
        """That completion alone with every loose fact at the one value to score by."""
        return _nominal(
            self.market,
            {
                name: made if name == "shock" else made.only(self._position(name, labels))
                for name, made in self.options.items()
            },
        )

    @cached_property
    def scored(self) -> Evaluator:
        """All options with every loose fact at the one value to score by."""
        return _nominal(self.market, self.options)


def _nominal(market: Market, options: Mapping[str, Options]) -> Evaluator:
    scalars = {name: Scalar((one.nominal,)) for name, one in market.scalars.items()}
    return Evaluator(scalars, {name: made.nominal() for name, made in options.items()})


@dataclass(frozen=True)
class Ways:
    """Every way of mounting any shock of a market."""

    market: Market
    wishes: Wishes

    @cached_property
    def _offers(self) -> Offers:
        return Offers(self.market)

    @cached_property
    def _shelves(self) -> Shelves:
        return Shelves(self.market)

    @cached_property
    def _books(self) -> dict[str, Book]:
        return {kind: Book(self.wishes, kind) for kind in ("", "air", "coil")}

    @cached_property
    def book(self) -> Book:
        """The rules of all kinds of spring."""
        return self._books[""]

    def of(self, shock: int) -> Iterator[Way]:
        """The ways of mounting that shock."""
        code = int(self.market.shocks.choice("spring_kind").codes[shock])
        kind = "" if code < 0 else self.market.shocks.choice("spring_kind").values[code]
        for turned in self._offers.mountings(shock):
            options = self._offers.of(shock, turned)
            yield Way(
                self.market, self._shelves, self._books[kind], shock, turned, options
            )
