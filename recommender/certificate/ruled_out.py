"""The claims about a shock that is ruled out: its conflicts, its corrections, and that there are no
more of either."""

from collections.abc import Sequence

from recommender.certificate.book import Book, who
from recommender.certificate.combine import avoids, least_broken
from recommender.certificate.hitting import Sets, hitting_sets, minimal
from recommender.certificate.records import ConflictClaim, CorrectionClaim, RowClaim
from recommender.certificate.refused import Refused
from recommender.certificate.shown import Shown, told
from recommender.certificate.way import Way

MOST_HITTING = 20_000
"""Hitting sets on the way to the minimal ones; with more, all completions are looked at instead."""


def check_ruled_out(
    name: str, row: RowClaim, made: Sequence[Shown], mounted: Sequence[Way]
) -> None:
    """Every claim about that row; `made` are its completions. Raises Refused."""
    book = mounted[0].book
    conflicts, corrections = _masks(name, row, book)
    if not corrections or (not conflicts and not row.truncated):
        raise Refused(f"{name}, state", "it is said to be ruled out, and no conflict is told")
    for k, conflict in enumerate(row.conflicts):
        _conflict(f"{name}, conflict {k + 1}", conflict, conflicts[k], made, mounted)
    for k, correction in enumerate(row.corrections):
        claim = f"{name}, correction {k + 1}"
        _works(claim, correction, corrections[k], made, mounted)
        _least(claim, row, k, corrections[k], conflicts, mounted)
    _complete(name, row, mounted)


def _masks(name: str, row: RowClaim, book: Book) -> tuple[list[int], list[int]]:
    """The bits of all conflicts and corrections, told once each."""
    out = []
    kinds: tuple[tuple[str, Sequence[ConflictClaim | CorrectionClaim]], ...] = (
        ("conflict", row.conflicts), ("correction", row.corrections),
    )  # fmt: skip
    for what, claims in kinds:
        masks: list[int] = []
        for k, one in enumerate(claims):
            claim = f"{name}, {what} {k + 1}"
            try:
                masks.append(book.mask(one.rules))
            except KeyError as error:
                raise Refused(claim, f"no rule of the question: {error.args[0]}") from None
            if len(set(one.rules)) < len(one.rules):
                raise Refused(claim, "a rule stands there twice")
            if masks[-1] in masks[:-1]:
                raise Refused(claim, "it is told twice")
        out.append(masks)
    return out[0], out[1]


def _at(claim: str, index: int, made: Sequence[Shown]) -> Shown:
    if not 0 <= index < len(made):
        raise Refused(claim, f"there is no completion {index + 1} to show it")
    return made[index]


def _conflict(
    claim: str, conflict: ConflictClaim, mask: int, made: Sequence[Shown], mounted: Sequence[Way]
) -> None:
    """It holds, however the shock is mounted, and no member is idle."""
    if any(avoids(way, mask, True) for way in mounted):
        raise Refused(claim, "it does not hold: some completion meets all of its rules")
    if len(conflict.shown_by) != len(conflict.rules):
        raise Refused(claim, "each of its rules wants one completion that breaks it alone")
    for rule, index in zip(conflict.rules, conflict.shown_by, strict=True):
        one = _at(claim, index, made)
        broken = one.certain & mask
        if broken != one.way.book.mask([rule]):
            raise Refused(
                claim, f"completion {index + 1} is said to break '{rule}' alone of its rules, and "
                f"breaks {told(one.way, broken)}",
            )  # fmt: skip


def _works(
    claim: str, correction: CorrectionClaim, mask: int, made: Sequence[Shown],
    mounted: Sequence[Way],
) -> None:  # fmt: skip
    """Giving those rules up lets the shock in, for sure where so told, by whom it is told."""
    one = _at(claim, correction.shown_by, made)
    broken = one.possible if correction.sure else one.certain
    if broken & ~mask:
        raise Refused(claim, f"its completion also breaks {told(one.way, broken & ~mask)}")
    if not correction.sure:
        rest = one.way.book.every & ~mask
        if any(avoids(way, rest, False) for way in mounted):
            raise Refused(claim, "it is said not to be sure, and is")
    if correction.who != who(correction.rules):
        raise Refused(claim, f"{who(correction.rules)} can make it, not {correction.who}")


def _least(
    claim: str, row: RowClaim, k: int, mask: int, conflicts: Sequence[int], mounted: Sequence[Way]
) -> None:
    """No rule of a correction is given up in vain."""
    correction = row.corrections[k]
    book = mounted[0].book
    if len(correction.needed_by) != len(correction.rules):
        raise Refused(claim, "each of its rules wants one conflict that needs it")
    for rule, index in zip(correction.rules, correction.needed_by, strict=True):
        own = book.mask([rule])
        if index is None:
            if not row.truncated:
                raise Refused(claim, f"no conflict is told that needs '{rule}'")
            if any(avoids(way, book.every & ~mask | own, True) for way in mounted):
                raise Refused(claim, f"'{rule}' need not be given up")
        elif not 0 <= index < len(conflicts):
            raise Refused(claim, f"there is no conflict {index + 1}")
        elif conflicts[index] & mask != own:
            raise Refused(claim, f"conflict {index + 1} is not met at '{rule}' alone")


def _complete(name: str, row: RowClaim, mounted: Sequence[Way]) -> None:
    """There is no correction, and unless cut short no conflict, that is not told.

    Every conflict told holds and every correction told works, so if the corrections are just what
    meets all conflicts told, neither family can lack a member.
    """
    conflicts = {frozenset(one.rules) for one in row.conflicts}
    corrections = {frozenset(one.rules) for one in row.corrections}
    found = hitting_sets(conflicts, MOST_HITTING)
    if row.truncated and found == corrections:
        raise Refused(f"{name}, truncated", "the conflicts are said to be cut short, and are whole")
    if row.truncated or found is None:
        found = _least_of_all(mounted)
        if not row.truncated and hitting_sets(found, MOST_HITTING) != conflicts:
            raise Refused(f"{name}, conflicts", "that these are all cannot be borne out")
    if missing := sorted(sorted(one) for one in found - corrections):
        raise Refused(
            f"{name}, corrections", f"they are not all told: [{', '.join(missing[0])}] is another"
        )
    if extra := sorted(sorted(one) for one in corrections - found):
        raise Refused(
            f"{name}, conflicts",
            f"they are not all told: for those that are [{', '.join(extra[0])}] is too much",
        )


def _least_of_all(mounted: Sequence[Way]) -> Sets:
    """The corrections, from a look at every completion."""
    book = mounted[0].book
    every = {mask for way in mounted for mask in least_broken(way, True)}
    return minimal(frozenset(book.names(mask)) for mask in every)
