"""The whole answer to a question: judged, ranked and put into records."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from recommender.answer.bundle import bundle_record, interchangeable
from recommender.answer.cautions import USUAL
from recommender.answer.records import (
    Alternative,
    Answer,
    BundleRecord,
    RuleCount,
    Standing,
    Turned,
)
from recommender.answer.settings import Settings, settings_of
from recommender.answer.turned import turned_records
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Ints
from recommender.catalogue.question import Question
from recommender.explain.refine import REFINED, Refined, refine
from recommender.facts.nearest import nearest
from recommender.facts.problems import BadInput, Problem
from recommender.ranking.order import Ranked
from recommender.ranking.pareto import beaten_by
from recommender.ranking.ranking import Ranking
from recommender.ranking.stability import stability
from recommender.ranking.variety import variety
from recommender.rules.choices import Market
from recommender.rules.market import FITTED, open_market
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, Verdicts

INVENTED = "invented for the demonstration"


@dataclass(frozen=True)
class Case:
    """A question and a catalogue, and everything computed from the two, each once."""

    question: Question
    catalogue: Catalogue
    _records: dict[tuple[int, int], BundleRecord] = field(
        default_factory=dict, compare=False, repr=False
    )

    @cached_property
    def market(self) -> Market:
        return open_market(self.question, self.catalogue)

    @cached_property
    def verdicts(self) -> Verdicts:
        return judge(self.market, self.question.wishes)

    @cached_property
    def refined(self) -> Refined:
        """The verdicts with open shocks looked at along each fact that may decide them alone."""
        return refine(self.market, self.question.wishes, self.verdicts)

    def state(self, row: int) -> str:
        """State of a shock in words."""
        return REFINED[int(self.refined.state[row])]

    def state_counts(self) -> dict[str, int]:
        """How many shocks are in each state."""
        return {name: self.refined.count(k) for k, name in enumerate(REFINED)}

    @cached_property
    def order(self) -> Ranking:
        """Shocks that are not ruled out, by their best bundle."""
        rows = np.flatnonzero(self.refined.state != RULED_OUT)
        return Ranking(self.market, self.question.wishes, self.verdicts, rows)

    @cached_property
    def keys(self) -> list[str]:
        return self.market.shocks.keys()

    def row(self, shock: str) -> int:
        """Row of a shock by part number; 'fitted' is the one on the bike. BadInput if unknown."""
        name = FITTED if shock == "fitted" else shock
        if name in self.keys:
            return self.keys.index(name)
        if name == FITTED:
            told = "the bike's file tells nothing of the shock that is fitted"
            raise BadInput([Problem("the question", told, column="bike.present_shock")])
        raise BadInput(
            [
                Problem(
                    "the catalogue", f"no such shock{nearest(shock, self.keys)}",
                    column="part_number", value=shock,
                )
            ]
        )  # fmt: skip

    @cached_property
    def beaten(self) -> dict[int, str]:
        """Shocks whose best bundle another shock's best betters on every count, and that shock."""
        best = self.order.firsts
        return {
            one.shock: best[by].name
            for one, by in zip(best, beaten_by(best), strict=True)
            if by is not None
        }

    def record(self, place: int, which: int = 0) -> BundleRecord:
        """The record of one bundle of the shock at that place, with kits that would do as well."""
        if (place, which) not in self._records:
            wishes, found = self.question.wishes, self.order[place]
            shock = self.order.firsts[place].shock
            self._records[place, which] = bundle_record(
                found[which], place + 1, wishes, self.catalogue.jobs, len(found),
                self.beaten.get(shock, ""), interchangeable(found[which], wishes.currency),
                self.state(shock),
            )  # fmt: skip
        return self._records[place, which]

    def bundle_of(self, shock: str, variant: int = 0) -> tuple[BundleRecord, BundleRecord | None]:
        """A shock's bundle, and the best that keeps the fitted shock (None: it is that one, or
        keeping it meets not every must). BadInput where the shock is ruled out."""
        place = self.place(shock)
        found = self.order[place]
        if variant >= len(found):
            raise BadInput(
                [Problem("--variant", f"accepted: 1 to {len(found)}", value=str(variant + 1))]
            )
        present = self.market.present
        kept = None if present == found[0].bundle.whole.shock else self.kept
        return self.record(place, variant), kept

    @property
    def kept(self) -> BundleRecord | None:
        """The best bundle that keeps the fitted shock; None: it meets not every must, or is not
        told of."""
        place = self.order.places.get(self.market.present)
        return None if place is None else self.record(place)

    def place(self, shock: str) -> int:
        """Place of a shock in the order. BadInput where it is ruled out or unknown."""
        row = self.row(shock)
        if row not in self.order.places:
            raise BadInput(
                [
                    Problem(
                        "the question",
                        "this shock is ruled out: `recommender why` tells the reasons", value=shock,
                    )
                ]
            )  # fmt: skip
        return self.order.places[row]

    def best(self, shock: str) -> Ranked:
        """A shock's best bundle. BadInput where it is ruled out or unknown."""
        return self.order[self.place(shock)][0]

    def settings(self, shock: str) -> Settings:
        """What a shock's best bundle comes to on the bike. BadInput as `best`."""
        return settings_of(self.best(shock))

    def turned_of(self, shock: str) -> Turned:
        """The account of a shock: of one that fits, that nothing is broken. BadInput if unknown."""
        return self.turned(np.array([self.row(shock)]))[0]

    def turned(self, rows: Ints) -> list[Turned]:
        """The accounts of those shocks."""
        found = turned_records(self.market, self.question.wishes, self.verdicts, rows)
        return [
            one.model_copy(update={"state": self.state(row)})
            for one, row in zip(found, rows.tolist(), strict=True)
        ]

    @property
    def answered(self) -> bool:
        """Whether some bundle, the kept shock included, meets every must or may."""
        return bool((self.refined.state != RULED_OUT).any())


def answer(case: Case, top: int = 5, rejected: int | None = 20) -> Answer:
    """The answer with the best bundle of the `top` best shocks, and the account of the `rejected`
    nearest misses (None: of every shock that does not fit)."""
    shown = range(min(top, len(case.order)))
    case.order.at(shown)  # together, which is sooner than one by one
    bundles = tuple(map(case.record, shown))
    misses = nearest_misses(case.verdicts, case.keys)
    # An open shock is not turned down: it stands after those that are.
    misses = misses[np.argsort(case.verdicts.state[misses] == OPEN, kind="stable")]
    if rejected is not None:
        misses = misses[:rejected]
    turned = case.turned(misses)
    return Answer(
        bike=case.question.bike.name,
        rider=case.question.rider.name,
        currency=case.question.wishes.currency,
        question_digest=case.question.digest,
        catalogue_digest=case.catalogue.digest,
        invented=is_invented(case),
        counts=case.state_counts(),
        bundles=bundles,
        turned_down=tuple(turned),
        by_rule=by_rule(case.verdicts),
        stability=standings(case) if top else (),
        alternatives=alternatives(case) if top else (),
        notes=notes(case),
        cautions=USUAL,
    )


def is_invented(case: Case) -> bool:
    """Whether any row of the catalogue says it is invented."""
    return INVENTED in case.catalogue.shocks.text("source").words


def nearest_misses(verdicts: Verdicts, keys: Sequence[str]) -> Ints:
    """Shocks that do not fit: open ones first, then by how few rules they break, then by name."""
    rows = np.flatnonzero(verdicts.state != FITS)
    state = verdicts.state[rows]
    sets = np.where(state == OPEN, verdicts.doubtful[rows], verdicts.broken[rows])
    names = [keys[row] for row in rows.tolist()]
    by_name = sorted(range(len(names)), key=names.__getitem__)
    place = np.empty(len(rows), np.int64)
    place[by_name] = np.arange(len(rows))
    return rows[np.lexsort((place, np.bitwise_count(sets), state))]


def by_rule(verdicts: Verdicts) -> tuple[RuleCount, ...]:
    """For each rule how many shocks break it whatever is chosen, and how many need break no other.

    Where one of several rules must be broken none is counted: which of them is a matter of choice.
    """
    out = []
    ruled_out = verdicts.state == RULED_OUT
    ruled = verdicts.always[ruled_out]
    fewest = np.bitwise_count(verdicts.broken[ruled_out])
    for k, name in enumerate(verdicts.rules.bits):
        bit = np.uint64(1 << k)
        shocks = int(((ruled & bit) != 0).sum())
        if shocks:
            alone = int(((ruled == bit) & (fewest == 1)).sum())
            out.append(RuleCount(rule=name, shocks=shocks, alone=alone))
    return tuple(sorted(out, key=lambda one: (-one.shocks, one.rule)))


def notes(case: Case) -> tuple[str, ...]:
    """What the answer rests on."""
    facts = case.question.bike.leverage
    if facts.table:
        level = f"a measured table of {len(facts.table)} readings"
    elif facts.ratio_start.known:
        level = "the ratio at start and end, taken as linear between"
    elif facts.travel_mm.known and facts.stroke_mm.known:
        level = "travel and stroke alone: a constant ratio"
    else:
        level = "nothing measured: any average ratio from 1.8 to 3.6"
    out = [f"Leverage rests on {level}."]
    if case.market.present is None:
        out.append("The shock fitted now is not told, so keeping it could not be weighed.")
    if "measured" not in case.catalogue.tune_classes.choice("standing").words():
        out.append("Tune classes are assumed ranges, not measured on a dynamometer.")
    return tuple(out)


def standings(case: Case) -> tuple[Standing, ...]:
    """For each weight the interval in which first place stands."""
    if sum(one.bundles for one in case.order.firsts) < 2:
        return ()
    return tuple(
        Standing(
            criterion=one.criterion, weight=one.weight, low=round(one.low, 6),
            high=round(one.high, 6) if math.isfinite(one.high) else None,
            below=one.below, above=one.above,
        )
        for one in stability(case.order)
    )  # fmt: skip


def alternatives(case: Case) -> tuple[Alternative, ...]:
    """The first and what differs from it in kind."""
    out = []
    for reason, one in variety(case.order):
        place = case.order.places[one.bundle.whole.shock]
        which = case.order[place].index(one)
        # Not the bundle that stands in the list, so the command that shows it is told.
        more = f" (its --variant {which + 1})" if which else ""
        out.append(Alternative(reason=reason + more, bundle=case.record(place, which)))
    return tuple(out)
