"""The checker: every claim of a certificate against the question, the catalogue and the rules."""

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from recommender.catalogue.catalogue import Catalogue
from recommender.catalogue.question import Question
from recommender.certificate.along import check_along
from recommender.certificate.combine import TooMany, avoids
from recommender.certificate.digests import rules_digest
from recommender.certificate.order import check_bundle, check_criteria, check_order
from recommender.certificate.records import Certificate, CriterionClaim, RowClaim
from recommender.certificate.refused import Refused
from recommender.certificate.ruled_out import check_ruled_out
from recommender.certificate.shown import shown, told
from recommender.certificate.way import Way, Ways
from recommender.rules.market import open_market

FITS, OPEN, RULED_OUT, WAITS = (
    "fits", "open", "ruled out", "fits, the choice waits for a measurement",
)  # fmt: skip
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Held:
    """How many claims were looked at, and hold."""

    rows: int
    conflicts: int
    corrections: int
    bundles: int


def recheck(
    certificate: Certificate,
    question: Question,
    catalogue: Catalogue,
    asked: Sequence[CriterionClaim],
    progress: Progress | None = None,
) -> Held:
    """Checks claim by claim; `asked`: the criteria that count for the question, in its order, from
    elsewhere than the certificate; `progress` hears how many rows of how many are done.

    Raises Refused for the first claim that does not hold, and BadInput as `open_market` does.
    """
    _digests(certificate, question, catalogue)
    market = open_market(question, catalogue)
    keys = {key: row for row, key in enumerate(market.shocks.keys())}
    _rows_once([row.shock for row in certificate.rows], keys)
    ways = Ways(market, question.wishes)
    best = {one.shock: one for one in certificate.order}
    states = {row.shock: row.state for row in certificate.rows}
    check_criteria(certificate.criteria, asked, question.wishes)
    for number, row in enumerate(certificate.rows):
        mounted = list(ways.of(keys[row.shock]))
        try:
            _row(row, mounted, ways)
            if row.shock in best:
                check_bundle(best[row.shock], certificate.criteria, mounted, row.state == FITS)
        except TooMany as error:
            raise Refused(f"row {row.shock}", f"it cannot be checked: {error}") from None
        if progress is not None:
            progress(number + 1, len(keys))
    check_order(certificate, states)
    return Held(
        len(certificate.rows),
        sum(len(row.conflicts) for row in certificate.rows),
        sum(len(row.corrections) for row in certificate.rows),
        len(certificate.order),
    )


def _digests(certificate: Certificate, question: Question, catalogue: Catalogue) -> None:
    """Made from this catalogue, this question and these rules, and not damaged since."""
    if certificate.sealed().seal != certificate.seal:
        raise Refused("seal", "the certificate was changed after it was made")
    for name, own, now in (
        ("catalogue", certificate.catalogue_digest, catalogue.digest),
        ("question", certificate.question_digest, question.digest),
        ("rules", certificate.rules_digest, rules_digest()),
    ):
        if own != now:
            raise Refused(
                f"{name} digest",
                f"it was saved for another {name}; re-check it with the {name} of that time",
            )


def _rows_once(told_keys: Sequence[str], keys: Collection[str]) -> None:
    counted = Counter(told_keys)
    for key in told_keys:
        if key not in keys:
            raise Refused(f"row {key}", "the market has no such shock")
        if counted[key] > 1:
            raise Refused(f"row {key}", f"it stands there {counted[key]} times, not once")
    for key in keys:
        if not counted[key]:
            raise Refused(f"row {key}", "it is missing")


def _row(row: RowClaim, mounted: Sequence[Way], ways: Ways) -> None:
    """Every claim about one shock."""
    name = f"row {row.shock}"
    if row.along is not None:
        _nothing_more(name, row, 0)
        check_along(name, row, mounted, ways)
        return
    made = [
        shown(f"{name}, completion {k + 1}", one, mounted) for k, one in enumerate(row.completions)
    ]
    if row.state == RULED_OUT:
        check_ruled_out(name, row, made, mounted)
        return
    _nothing_more(name, row, 1)
    (one,) = made
    if row.state == FITS and one.possible:
        raise Refused(
            f"{name}, state", f"the completion shown may break {told(one.way, one.possible)}"
        )
    if row.state == OPEN and one.certain:
        raise Refused(f"{name}, state", f"the completion shown breaks {told(one.way, one.certain)}")
    if row.state == OPEN and any(avoids(way, way.book.every, False) for way in mounted):
        raise Refused(f"{name}, state", "it is said to be open, and fits")
    if row.state == WAITS:
        raise Refused(f"{name}, state", "the measurement it waits for is not told")


def _nothing_more(name: str, row: RowClaim, completions: int) -> None:
    """No claims that belong to a row of another state."""
    if row.conflicts or row.corrections or row.truncated:
        raise Refused(f"{name}, state", f"'{row.state}' here goes with no conflict or correction")
    if len(row.completions) != completions:
        raise Refused(f"{name}, state", f"{len(row.completions)} completions, not {completions}")
