"""Shocks along a fact of the question: looking again only at the rules that read it says what
judging from the start says (D)."""

import numpy as np

from recommender.cli.inputs import shipped
from recommender.cli.open import open_case
from recommender.explain.narrowing import narrowed
from recommender.explain.unknowns import live_rules, question_unknowns
from recommender.movable.along import Along, Ask
from recommender.movable.movable import stated, unmoved
from recommender.search.whole import wholes


def test_only_the_rules_that_read_a_fact_need_another_look() -> None:
    folder = shipped("demo") / "questions" / "coil-or-air"
    case = open_case([folder / f"{one}.toml" for one in ("bike", "rider", "wishes")], None)
    market, base = case.market, unmoved(case.question.wishes)
    live = live_rules(stated(base))
    unknown = next(
        one for one in question_unknowns(market, live) if one.fact == "bike_leverage"
    )  # fmt: skip
    shocks = [k for k in range(len(case.keys)) if case.state(k) != "ruled out"]
    along = Along(market, base, live, np.arange(len(market.kits.labels)))
    changed = False
    for piece in ((0.0, 0.0), (0.5, 0.75), (1.0, 1.0)):
        there = narrowed(market, unknown, piece)
        for shock in shocks:
            mine = along.mounted([Ask(unknown, shock, *piece)])[0]
            fresh = list(wholes(there, base, np.array([shock])))
            assert len(mine) == len(fresh) > 0
            for one, other, loose in zip(
                mine, fresh, wholes(market, base, np.array([shock])), strict=True
            ):
                for k, pair in enumerate(other.tables):
                    rows, want = one.rows(k), pair.possible.sets[other.rows(k)]
                    assert np.array_equal(one.tables[k].possible.sets[rows], want)
                    assert np.array_equal(
                        one.tables[k].certain.sets[rows], pair.certain.sets[other.rows(k)]
                    )
                    changed |= not np.array_equal(want, loose.tables[k].possible.sets[rows])
    assert changed, "the fact changes nothing here"
