"""The whole certificate of a case."""

import math
from collections.abc import Callable

from recommender.answer.answer import Case
from recommender.certificate.digests import rules_digest
from recommender.certificate.options import Offers
from recommender.certificate.records import BundleClaim, Certificate, CriterionClaim, ScoreClaim
from recommender.certify.rows import made_of, rows
from recommender.facts.wishes import Wishes
from recommender.ranking.criteria import criteria
from recommender.ranking.order import Ranked, Score


def certify(case: Case, progress: Callable[[int, int], None] | None = None) -> Certificate:
    """Every claim of the answer, sealed; `progress` hears how many rows of how many are done."""
    made = []
    for row in rows(case):
        made.append(row)
        if progress is not None:
            progress(len(made), len(case.keys))
    return Certificate(
        catalogue_digest=case.catalogue.digest,
        question_digest=case.question.digest,
        rules_digest=rules_digest(),
        rows=tuple(made),
        criteria=criteria_of(case.question.wishes),
        order=tuple(_bundle(case, found[0], Offers(case.market)) for found in case.order),
    ).sealed()


def criteria_of(wishes: Wishes) -> tuple[CriterionClaim, ...]:
    """The claims about what counts for these wishes, how, and how much. Raises BadInput."""
    return tuple(
        CriterionClaim(
            name=one.name, fact=one.fact, wish=one.wish, weight=one.weight, breakpoints=one.points
        )
        for one in criteria(wishes)
    )


def _bundle(case: Case, one: Ranked, offers: Offers) -> BundleClaim:
    whole = one.bundle.whole
    return BundleClaim(
        shock=case.keys[whole.shock],
        made=made_of(whole, one.bundle.choice, offers),
        price=one.price, mass_g=one.mass, days=one.days, workshop_jobs=one.workshop,
        scores=tuple(_score(score) for score in one.scores),
        total_points=one.points,
    )  # fmt: skip


def _score(one: Score) -> ScoreClaim:
    known = math.isfinite(one.quantity)
    return ScoreClaim(
        quantity=one.quantity if known else None, value=one.value, points=one.points
    )
