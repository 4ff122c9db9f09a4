"""The whole answer to a question: judged, ranked and put into records."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from recommender.answer.bundle import bundle_record
from recommender.answer.cautions import USUAL
from recommender.answer.records import Answer, BundleRecord, RuleCount
from recommender.answer.turned import turned_records
from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.columns import Ints
from recommender.catalogue.question import Question
from recommender.facts.problems import BadInput, Problem
from recommender.facts.quantity import nearest
from recommender.ranking.order import Ranked, ranked
from recommender.rules.choices import Market
from recommender.rules.market import FITTED, open_market
from recommender.search.verdicts import FITS, OPEN, RULED_OUT, STATES, Verdicts, judge

INVENTED = "invented for the demonstration"


@dataclass(frozen=True)
class Case:
    """A question and a catalogue, and everything computed from the two, each once."""

    question: Question
    catalogue: Catalogue

    @cached_property
    def market(self) -> Market:
        return open_market(self.question, self.catalogue)

    @cached_property
    def verdicts(self) -> Verdicts:
        return judge(self.market, self.question.wishes)

    @cached_property
    def order(self) -> list[list[Ranked]]:
        """Bundles of every shock that is not ruled out; shocks by their best bundle."""
        return ranked(self.market, self.question.wishes, self.verdicts)

    @cached_property
    def keys(self) -> list[str]:
        return self.market.shocks.keys()

    def row(self, shock: str) -> int:
        """Row of a shock by its part number; 'fitted' is the one on the bike. BadInput if unknown."""
        name = FITTED if shock == "fitted" else shock
        if name in self.keys:
            return self.keys.index(name)
        raise BadInput(
            [
                Problem(
                    "the catalogue", f"no such shock{nearest(shock, self.keys)}",
                    column="part_number", value=shock,
                )
            ]
        )  # fmt: skip

    def record(self, found: list[Ranked], rank: int, which: int = 0) -> BundleRecord:
        """The record of one bundle of a shock."""
        wishes, jobs = self.question.wishes, self.catalogue.jobs
        return bundle_record(found[which], rank, wishes, jobs, len(found))

    @property
    def answered(self) -> bool:
        """Whether some bundle, the kept shock included, meets every must or may."""
        return bool((self.verdicts.state != RULED_OUT).any())


def answer(case: Case, top: int = 5, rejected: int | None = 20) -> Answer:
    """The answer with the best bundle of the `top` best shocks, and the account of the `rejected`
    nearest misses (None: of every shock that does not fit)."""
    bundles = tuple(case.record(found, k + 1) for k, found in enumerate(case.order[:top]))
    misses = nearest_misses(case.verdicts)
    if rejected is not None:
        misses = misses[:rejected]
    turned = turned_records(case.market, case.question.wishes, case.verdicts, misses)
    return Answer(
        bike=case.question.bike.name,
        rider=case.question.rider.name,
        currency=case.question.wishes.currency,
        question_digest=case.question.digest,
        catalogue_digest=case.catalogue.digest,
        invented=is_invented(case),
        counts={name: case.verdicts.count(k) for k, name in enumerate(STATES)},
        bundles=bundles,
        turned_down=tuple(turned),
        by_rule=by_rule(case.verdicts),
        notes=notes(case),
        cautions=USUAL,
    )


def is_invented(case: Case) -> bool:
    """Whether any row of the catalogue says it is invented."""
    return INVENTED in case.catalogue.shocks.text("source").words


def nearest_misses(verdicts: Verdicts) -> Ints:
    """Shocks that do not fit: open ones first, then by how few rules they break, then by row."""
    rows = np.flatnonzero(verdicts.state != FITS)
    state = verdicts.state[rows]
    sets = np.where(state == OPEN, verdicts.doubtful[rows], verdicts.broken[rows])
    return rows[np.lexsort((rows, np.bitwise_count(sets), state))]


def by_rule(verdicts: Verdicts) -> tuple[RuleCount, ...]:
    """For each rule how many shocks it turns down, and how many it alone turns down."""
    out = []
    ruled = verdicts.broken[verdicts.state == RULED_OUT]
    for k, name in enumerate(verdicts.rules.bits):
        bit = np.uint64(1 << k)
        shocks = int(((ruled & bit) != 0).sum())
        if shocks:
            out.append(RuleCount(rule=name, shocks=shocks, alone=int((ruled == bit).sum())))
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
