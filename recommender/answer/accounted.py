"""Accounts of many shocks at once: the nearest misses with amounts worked out, the rest by rule."""

from recommender.answer.answer import Case
from recommender.answer.explained import MOST_SHOWN, explained, rule_words
from recommender.answer.records import ConflictRecord, CorrectionRecord, Turned
from recommender.answer.wording import join
from recommender.explain.accounts import account_of
from recommender.explain.corrections import Correction


def accounted(case: Case, turned: tuple[Turned, ...], full: int) -> tuple[Turned, ...]:
    """The accounts with corrections and conflicts; the first `full` of them with least amounts.

    Cost: amounts take about a second for each shock, the rest next to nothing.
    """
    return tuple(
        explained(case, one) if k < full else _by_rule(case, one) for k, one in enumerate(turned)
    )


def _by_rule(case: Case, turned: Turned) -> Turned:
    account = account_of(case.verdicts, case.row(turned.shock))
    found = [one for one in account.corrections if one.rules]
    made = sorted(found, key=lambda one: (one.kind == "nobody", one.key))
    sure = [one for one in account.conflicts if one.sure]
    clash = [one for one in sure if len(one.rules) <= 3] or sure[:1]
    return turned.model_copy(
        update={
            "corrections": tuple(_correction(one) for one in made[:MOST_SHOWN]),
            "more_corrections": max(0, len(made) - MOST_SHOWN),
            "conflicts": tuple(
                ConflictRecord(
                    rules=one.rules, sure=one.sure,
                    text=join(rule_words(name) for name in one.rules),
                )
                for one in clash[:MOST_SHOWN]
            ),
            "more_conflicts": max(0, len(sure) - min(len(clash), MOST_SHOWN)),
            "truncated": account.truncated,
        }
    )  # fmt: skip


def _correction(one: Correction) -> CorrectionRecord:
    names = join(rule_words(name) for name in one.rules)
    way = {
        "rider": f"give way on {names}", "shop": f"supply what {names} asks for",
        "nobody": f"only without {names}",
    }[one.kind]  # fmt: skip
    return CorrectionRecord(rules=one.rules, who=one.kind, sure=one.sure, text=way)
