"""What is left to measure after a correction, against every completion."""

from hypothesis import given

from recommender.explain.accounts import account_of
from recommender.explain.corrections import mask_of
from recommender.explain.remaining import with_left
from tests.catalogue import build
from tests.explain.markets import Asked, asked, random_asked, some
from tests.explain.naive import both, smallest


@some
@given(random_asked(5))
def test_same_as_all_completions(case: Asked) -> None:
    market, verdicts = case.market, case.judged()
    for shock in range(len(verdicts.state)):
        pairs = both(market, case.wishes, shock)
        for one in account_of(verdicts, shock).corrections[:4]:
            if one.sure:
                continue
            mask = mask_of(verdicts.rules, one.rules)
            left = smallest(b & ~mask for a, b in pairs if not a & ~mask)
            found = with_left(market, case.wishes, shock, one).left
            assert {mask_of(verdicts.rules, names) for names in found} == set(left)


def test_the_doubtful_length_is_left() -> None:
    """Too dear, and its length may be a millimetre too much."""
    shock = build.shock(length_mm="210 +/- 1.5", price=5000)
    case = asked(shocks=[shock], wishes={"budget": {"must": 900}})
    one = account_of(case.judged(), 0).corrections[0]
    assert (one.rules, one.sure) == (("wish: budget",), False)
    assert with_left(case.market, case.wishes, 0, one).left == (("length",),)


def test_either_of_two_kits_may_be_what_is_left() -> None:
    """Too dear; one kit may be too wide for the mount, the other too narrow in its bore."""
    kits = [build.kit("WIDE", width_mm="22 +/- 1"), build.kit("TIGHT", bore_mm="8 +/- 0.5")]
    case = asked(
        shocks=[build.shock(price=5000)], kits=kits, wishes={"budget": {"must": 900}}
    )
    one = next(
        one for one in account_of(case.judged(), 0).corrections if one.rules == ("wish: budget",)
    )
    pairs = both(case.market, case.wishes, 0)
    mask = mask_of(case.judged().rules, one.rules)
    left = smallest(b & ~mask for a, b in pairs if not a & ~mask)
    found = with_left(case.market, case.wishes, 0, one).left
    assert len(found) > 1
    assert {mask_of(case.judged().rules, names) for names in found} == set(left)
