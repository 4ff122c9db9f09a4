"""Accounts of many shocks at once: the nearest misses with amounts worked out, the rest by rule.

Of a catalogue of thousands those far from fitting are told by their rules alone, and shocks that
the same rules rule out share one account.
"""

from dataclasses import dataclass

import numpy as np

from recommender.answer.answer import Case
from recommender.answer.explained import MOST_SHOWN, barred, explained
from recommender.answer.names import join, rule_words
from recommender.answer.records import ConflictRecord, CorrectionRecord, Turned
from recommender.answer.wording import tell
from recommender.catalogue.columns import Ints
from recommender.explain.accounts import Account, account_of, accounts
from recommender.explain.corrections import Correction
from recommender.search.completion import Shown
from recommender.search.verdicts import OPEN


@dataclass(frozen=True)
class Brief:
    """A shock turned down, by the names of the rules; `account` numbers one of `Briefly`."""

    shock: str
    name: str
    size: str
    state: str
    rules: tuple[str, ...]
    account: int


@dataclass(frozen=True)
class Ways:
    """What would let a shock in and what cannot hold together, as in `Turned`."""

    corrections: tuple[CorrectionRecord, ...]
    more_corrections: int
    conflicts: tuple[ConflictRecord, ...]
    more_conflicts: int
    truncated: bool


@dataclass(frozen=True)
class Briefly:
    """Shocks turned down and the accounts that they share."""

    shocks: tuple[Brief, ...] = ()
    accounts: tuple[Ways, ...] = ()


def briefly(case: Case, rows: Ints) -> Briefly:
    """Those shocks by their rules alone, in the order given. Cost: a tenth of a second for a
    hundred distinct accounts."""
    if not len(rows):
        return Briefly()
    verdicts, shocks = case.verdicts, case.market.shocks
    every = accounts(verdicts)
    used, of = np.unique(every.of[rows], return_inverse=True)
    sets = np.where(verdicts.state[rows] == OPEN, verdicts.doubtful[rows], verdicts.broken[rows])
    names = [shocks.text(name) for name in ("maker", "model")]
    found = tuple(
        Brief(
            case.keys[row], " ".join(one[row] for one in names).strip(), _size(case, row),
            case.state(row), tuple(verdicts.rules.names(int(bits))), int(account),
        )
        for row, bits, account in zip(rows.tolist(), sets.tolist(), of.tolist(), strict=True)
    )  # fmt: skip
    return Briefly(found, tuple(_ways(every.distinct[k]) for k in used.tolist()))


def _size(case: Case, row: int) -> str:
    shocks, said = case.market.shocks, []
    for name in ("length_mm", "stroke_mm"):
        column = shocks.number(name)
        said.append(tell(f"shock_{name}", Shown(float(column.low[row]), float(column.top[row]))))
    return f"{said[0]} x {said[1]} {shocks.choice('head_mount').word(row) or ''}".strip()


def accounted(case: Case, turned: tuple[Turned, ...], full: int) -> tuple[Turned, ...]:
    """The accounts with corrections and conflicts; the first `full` of them with least amounts.

    Cost: amounts take about a second for each shock, the rest next to nothing.
    """
    return tuple(
        explained(case, one) if k < full else _by_rule(case, one) for k, one in enumerate(turned)
    )


def _by_rule(case: Case, turned: Turned) -> Turned:
    ways = _ways(account_of(case.verdicts, case.row(turned.shock)))
    return turned.model_copy(update=vars(ways))


def _ways(account: Account) -> Ways:
    found = [one for one in account.corrections if one.rules]
    made = sorted(found, key=lambda one: (one.kind == "nobody", one.key))
    sure = [one for one in account.conflicts if one.sure]
    clash = [one for one in sure if len(one.rules) <= 3] or sure[:1]
    return Ways(
        tuple(_correction(one) for one in made[:MOST_SHOWN]),
        max(0, len(made) - MOST_SHOWN),
        tuple(
            ConflictRecord(
                rules=one.rules, sure=one.sure, text=join(rule_words(name) for name in one.rules)
            )
            for one in clash[:MOST_SHOWN]
        ),
        max(0, len(sure) - min(len(clash), MOST_SHOWN)),
        account.truncated,
    )  # fmt: skip


def _correction(one: Correction) -> CorrectionRecord:
    names = join(rule_words(name) for name in one.rules)
    way = {
        "rider": f"give way on {names}", "shop": f"supply what {names} asks for",
        "nobody": barred(one),
    }[one.kind]  # fmt: skip
    return CorrectionRecord(rules=one.rules, who=one.kind, sure=one.sure, text=way)
