"""The claims about each row of the market, with the completions that show them."""

from collections.abc import Iterator, Sequence
from itertools import groupby

import numpy as np

from recommender.answer.answer import Case
from recommender.catalogue.columns import Ints
from recommender.certificate.options import Offers, unlike
from recommender.certificate.records import (
    Along,
    ConflictClaim,
    CorrectionClaim,
    Made,
    RowClaim,
)
from recommender.explain.accounts import Account, account_of
from recommender.explain.completions import Costs, within
from recommender.explain.corrections import correction
from recommender.explain.narrowing import narrowed
from recommender.explain.refine import FINEST, REFINED
from recommender.explain.unknowns import Unknown, option_table
from recommender.search.frames import CHOICES
from recommender.search.judging import judge
from recommender.search.verdicts import OPEN, RULED_OUT
from recommender.search.whole import Whole, wholes


def rows(case: Case) -> Iterator[RowClaim]:
    """A claim for each row of the market, in its order."""
    found = {}
    every = wholes(case.market, case.question.wishes, np.arange(len(case.market.shocks)))
    for shock, ways in groupby(every, key=lambda whole: whole.shock):
        found[shock] = _row(case, list(ways))
    for shock in sorted(found):
        yield found[shock]


def made_of(whole: Whole, choice: Sequence[int], offers: Offers) -> Made:
    """The completion that takes those rows of its groups, by the labels of its options."""
    listed = offers.of(whole.shock, whole.turned)
    options = {}
    for group, row in enumerate(choice):
        for name in whole.groups[group].choices:
            taken = int(whole.option(group, np.array([row]), name)[0])
            options[name] = listed[name].labels[listed[name].row.tolist().index(taken)]
    return Made(turned=whole.turned, options={name: options[name] for name in CHOICES})


def _row(case: Case, ways: Sequence[Whole]) -> RowClaim:
    shock = ways[0].shock
    key, state = case.keys[shock], case.state(shock)
    unknown = case.refined.along.get(shock)
    if unknown is not None:
        along = _along(case, shock, unknown)
        return RowClaim(shock=key, state=state, completions=(), along=along)
    offers = Offers(case.market)
    if case.verdicts.state[shock] == RULED_OUT:
        return _ruled_out(key, account_of(case.verdicts, shock), ways, offers)
    sure = case.verdicts.state[shock] != OPEN
    shown = _shown(ways, 0, not sure, offers)
    return RowClaim(shock=key, state=state, completions=(shown,))


def _shown(ways: Sequence[Whole], mask: int, certain: bool, offers: Offers) -> Made:
    """A completion that breaks only those rules, for certain or (else) possibly."""
    for whole in ways:
        sizes = [len(pair.certain.sets) for pair in whole.tables]
        none = [Costs(np.zeros(size, np.uint64), np.zeros((size, 0))) for size in sizes]
        found = within(whole, mask, certain, none)
        if len(found):
            return made_of(whole, [int(rows[0]) for rows in found.choice], offers)
    raise ValueError(f"no completion breaks only {ways[0].rules.names(mask)}")


def _ruled_out(key: str, account: Account, ways: Sequence[Whole], offers: Offers) -> RowClaim:
    rules, masks, clashes = account.rules, account.certain, account.clash
    sure = [any(one & ~mask == 0 for one in account.possible) for mask in masks]
    completions = tuple(
        _shown(ways, mask, not certain, offers) for mask, certain in zip(masks, sure, strict=True)
    )
    return RowClaim(
        shock=key,
        state="ruled out",
        completions=completions,
        conflicts=tuple(
            ConflictClaim(rules=rules.names(clash), shown_by=tuple(_alone(clash, masks)))
            for clash in clashes
        ),
        corrections=tuple(
            CorrectionClaim(
                rules=rules.names(mask), who=correction(rules, mask, True).kind, sure=sure[k],
                shown_by=k, needed_by=tuple(_needing(mask, clashes)),
            )
            for k, mask in enumerate(masks)
        ),
        truncated=account.truncated,
    )  # fmt: skip


def _members(mask: int) -> Iterator[int]:
    while mask:
        yield mask & -mask
        mask &= mask - 1


def _alone(clash: int, masks: Sequence[int]) -> Iterator[int]:
    """For each member the first correction that meets the conflict there alone: conflicts are the
    minimal sets that meet every correction, so there is one."""
    for member in _members(clash):
        yield next(k for k, mask in enumerate(masks) if mask & clash == member)


def _needing(mask: int, clashes: Sequence[int]) -> Iterator[int | None]:
    for member in _members(mask):
        yield next((k for k, clash in enumerate(clashes) if clash & mask == member), None)


def _along(case: Case, shock: int, unknown: Unknown) -> Along:
    """The fact that decides an open shock, cut where each piece agrees."""
    option = ""
    if unknown.row >= 0:
        option = unlike(option_table(case.market, unknown.place).labels)[unknown.row]
    cuts: tuple[float, ...] = ()
    if unknown.number:
        cuts = (0.0, *(high for _, high in _pieces(case, np.array([shock]), unknown, 0.0, 1.0)))
    return Along(place=unknown.place, fact=unknown.fact, option=option, cuts=cuts)


def _pieces(
    case: Case, rows_: Ints, unknown: Unknown, low: float, high: float
) -> Iterator[tuple[float, float]]:
    state = judge(narrowed(case.market, unknown, (low, high)), case.question.wishes, rows_).state
    if state[rows_[0]] != OPEN:
        yield low, high
        return
    if high - low <= FINEST:
        raise ValueError(f"{REFINED[OPEN]} between {low} and {high} of {unknown.fact}")
    middle = (low + high) / 2
    yield from _pieces(case, rows_, unknown, low, middle)
    yield from _pieces(case, rows_, unknown, middle, high)
