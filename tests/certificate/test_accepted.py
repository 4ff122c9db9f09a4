"""What is certified is borne out: small questions, random ones, each state, and the demo."""

from dataclasses import replace

import pytest
from hypothesis import given

from recommender.certificate.check import recheck
from recommender.certificate.refused import Refused
from recommender.certify import rows
from recommender.certify.certify import certify, criteria_of
from recommender.explain.accounts import Account, account_of
from tests.certificate.cases import (
    case_of,
    checked,
    demo_case,
    demo_certificate,
    small_case,
    small_certificate,
)
from tests.explain.markets import Asked, asked, random_asked
from tests.search.examples import examples


def test_small_question() -> None:
    made = small_certificate()
    assert {row.state for row in made.rows} == {"fits", "open", "ruled out"}
    held = checked(made, small_case())
    assert held.rows == len(small_case().keys)
    assert held.conflicts > 0
    assert held.corrections > 0
    assert held.bundles == sum(row.state != "ruled out" for row in made.rows)


def test_demo() -> None:
    seen: list[tuple[int, int]] = []
    case = demo_case()
    asked = criteria_of(case.question.wishes)
    held = recheck(
        demo_certificate(), case.question, case.catalogue, asked, lambda *done: seen.append(done)
    )
    assert held.rows == len(case.keys) == len(seen)
    assert seen[-1] == (held.rows, held.rows)
    assert held.conflicts > 100


def test_certifying_twice_gives_the_same() -> None:
    assert certify(small_case()) == small_certificate()


@given(random_asked(loose=3))
@examples(25, long=800)
def test_random_questions(one: Asked) -> None:
    case = case_of(one)
    held = checked(certify(case), case)
    assert held.rows == len(case.keys)


def test_conflicts_that_are_cut_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """With room for a single conflict the corrections are still shown to be all."""

    def short(*of: object) -> Account:
        return account_of(*of, most=1)  # type: ignore[arg-type]

    monkeypatch.setattr(rows, "account_of", short)
    made = certify(small_case())
    cut = [row for row in made.rows if row.truncated]
    assert cut
    assert all(len(row.conflicts) == 1 for row in cut)
    checked(made, small_case())


def test_nothing_fits() -> None:
    one = asked(wishes={"budget": {"must": 1}})
    case = case_of(one)
    made = certify(case)
    assert made.order == ()
    assert checked(made, case).bundles == 0


def test_the_question_of_another_catalogue_is_not_borne_out() -> None:
    case = small_case()
    other = replace(case.catalogue, digest="0" * 64)
    with pytest.raises(Refused, match="catalogue digest"):
        recheck(small_certificate(), case.question, other, criteria_of(case.question.wishes))
