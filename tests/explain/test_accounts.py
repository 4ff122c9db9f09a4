"""Corrections and conflicts of shocks against every completion, and as properties."""

import numpy as np
from hypothesis import given

from recommender.explain.accounts import account_of, accounts
from recommender.explain.corrections import correction, mask_of, weight, who
from recommender.explain.sets import members
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, RULED_OUT
from tests.catalogue import build
from tests.explain.markets import Asked, asked, random_asked, some
from tests.explain.naive import berge, both, smallest


@some
@given(random_asked())
def test_same_as_all_completions(case: Asked) -> None:
    market, verdicts = case.market, case.judged()
    for shock in range(len(verdicts.state)):
        pairs = both(market, case.wishes, shock)
        found = account_of(verdicts, shock)
        certain, possible = smallest(a for a, _ in pairs), smallest(b for _, b in pairs)
        assert list(found.certain) == certain
        assert list(found.possible) == possible
        assert list(found.clash) == berge(certain)
        assert list(found.may_clash) == berge(possible)
        assert not found.truncated


@some
@given(random_asked())
def test_properties(case: Asked) -> None:
    market, verdicts = case.market, case.judged()
    for shock, state in enumerate(np.asarray(verdicts.state).tolist()):
        found = account_of(verdicts, shock)
        pairs = both(market, case.wishes, shock)
        for one in found.corrections:
            mask = mask_of(verdicts.rules, one.rules)
            sets = [pair[one.sure] for pair in pairs]
            # Applied it lets the shock in; without any of its members it does not.
            assert any(broken & ~mask == 0 for broken in sets)
            for member in members(mask):
                assert not any(broken & ~(mask & ~member) == 0 for broken in sets)
        for clash in found.conflicts:
            mask = mask_of(verdicts.rules, clash.rules)
            sets = [pair[not clash.sure] for pair in pairs]
            # No completion meets all of it; when any member leaves, some meets the rest.
            assert all(broken & mask for broken in sets)
            for member in members(mask):
                assert any(not broken & mask & ~member for broken in sets)
        for clash in found.conflicts:
            for one in found.corrections:
                if clash.sure or one.sure:
                    assert set(clash.rules) & set(one.rules)
        assert (state == FITS) == (found.corrections[0].rules == () and found.corrections[0].sure)
        assert (state == RULED_OUT) == any(clash.sure for clash in found.conflicts)
        if state == FITS:
            assert len(found.corrections) == 1
            assert found.conflicts == ()
        if state == OPEN:
            assert found.corrections[0].rules == ()
            assert not found.corrections[0].sure


@some
@given(random_asked())
def test_all_at_once_is_one_by_one(case: Asked) -> None:
    verdicts = case.judged()
    together = accounts(verdicts)
    again = accounts(case.judged())
    for shock in range(len(verdicts.state)):
        alone = account_of(verdicts, shock)
        assert together[shock].corrections == alone.corrections == again[shock].corrections
        assert together[shock].conflicts == alone.conflicts == again[shock].conflicts
        assert together[shock].groups == alone.groups


@some
@given(random_asked())
def test_one_correction_of_every_group_is_a_correction(case: Asked) -> None:
    verdicts = case.judged()
    for shock in range(len(verdicts.state)):
        found = account_of(verdicts, shock)
        for side, family in ((False, found.certain), (True, found.possible)):
            mask = 0
            for group in found.groups:
                fit = [one for one in group if one.sure] if side else list(group)
                mask |= mask_of(verdicts.rules, fit[0].rules)
            assert any(one & ~mask == 0 for one in family)


def test_not_judged_has_no_account() -> None:
    case = asked(shocks=[build.shock("A"), build.shock("B")])
    found = accounts(judge(case.market, case.wishes, np.array([1])))
    assert found.of.tolist() == [-1, 0]


def test_equal_shocks_share_one_account() -> None:
    found = accounts(asked(shocks=[build.shock(f"S{k}", length_mm=220) for k in range(5)]).judged())
    assert len(found.distinct) == 1


def test_capped_conflicts_are_marked() -> None:
    case = asked(
        {"head": {"gap_mm": 40}}, wishes={"budget": {"must": 10}},
        kits=[build.kit("A"), build.kit("B", width_mm=39, bore_mm=6)],
    )  # fmt: skip
    verdicts = case.judged()
    whole = account_of(verdicts, 0)
    assert len(whole.clash) > 1
    cut = account_of(verdicts, 0, most=1)
    assert cut.truncated
    assert len(cut.clash) == 1
    assert cut.corrections == whole.corrections


def test_hardest_member_decides_who() -> None:
    assert who(("wish: budget", "wish: days")) == "rider"
    assert who(("wish: budget", "tune on offer")) == "shop"
    assert who(("order minimum",)) == "shop"
    assert who(("wish: budget", "tune on offer", "length")) == "nobody"
    assert who(()) == "rider"
    assert weight(["wish: budget"] * 64) < weight(["tune on offer"])
    assert weight(["tune on offer"] * 64) < weight(["length"])


def test_a_long_shock_is_nobodys_to_correct() -> None:
    """10 mm too long for the one approved length (tolerance 1 mm, common practice)."""
    verdicts = asked(shocks=[build.shock(length_mm=220)]).judged()
    found = account_of(verdicts, 0)
    length = correction(verdicts.rules, mask_of(verdicts.rules, ["length"]), True)
    assert length.kind == "nobody"
    assert all("length" in one.rules for one in found.corrections)
    assert ("length",) in [one.rules for one in found.conflicts if one.sure]
