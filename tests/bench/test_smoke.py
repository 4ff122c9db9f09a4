"""At small size, untimed: the generator is sound, and floor, rivals and engine agree.

The floor and the rivals are separate programs with their own arithmetic; only `floor` borrows one
root finder. [own] no published figure stands behind these.
"""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.check import check_tables
from recommender.catalogue.columns import ChoiceColumn, NumberColumn, Table
from recommender.catalogue.question import Question
from recommender.facts.tables import TABLES
from recommender.facts.wishes import Wishes
from recommender.rules.choices import Market
from recommender.rules.market import open_market
from recommender.search import alike, judging, kits, reduction
from recommender.search.judging import judge
from recommender.search.verdicts import FITS, OPEN, Verdicts
from tests.bench.floor import Columns, feasible
from tests.bench.generate import make_catalogue, write_folder
from tests.bench.parts import Parts
from tests.bench.question import question
from tests.bench.rivals import RIVALS
from tests.bench.run import agree

SMALL = (3000, 400, 60)


def test_generated_rows_pass_the_catalogue_check() -> None:
    made = make_catalogue(5000, 300, 100, seed=7)
    assert check_tables({name: getattr(made, name) for name in TABLES}) == []


def test_same_seed_same_catalogue() -> None:
    one, other = (make_catalogue(200, 50, 20, seed=3) for _ in range(2))
    for name in TABLES:
        for column, again in zip(
            getattr(one, name).columns.values(), getattr(other, name).columns.values(), strict=True
        ):
            np.testing.assert_equal(vars(column), vars(again))


def test_share_of_loose_cells() -> None:
    shocks = make_catalogue(20_000, 10, 10).shocks
    length = shocks.number("length_mm")
    assert np.mean(length.top > length.low) == pytest.approx(0.05, abs=0.01)
    assert np.mean(~length.is_known) == pytest.approx(0.025, abs=0.007)


def test_written_folder_reads_back(tmp_path: Path) -> None:
    made = make_catalogue(300, 60, 20, seed=5)
    write_folder(made, tmp_path)
    read = read_catalogue(tmp_path)
    for name in ("shocks", "kits", "services", "springs"):
        mine, theirs = getattr(made, name), getattr(read, name)
        _same(mine, theirs)


def _same(mine: Table, theirs: Table) -> None:
    for field, column in mine.columns.items():
        other = theirs.columns[field]
        if isinstance(column, NumberColumn):
            assert isinstance(other, NumberColumn)
            np.testing.assert_array_equal(column.is_known, other.is_known)
            np.testing.assert_allclose(column.low, other.low, rtol=1e-9, atol=1e-9)
            np.testing.assert_allclose(column.top, other.top, rtol=1e-9, atol=1e-9)
        elif isinstance(column, ChoiceColumn):
            assert column.words() == theirs.choice(field).words()
        else:
            assert column.texts() == theirs.text(field).texts()


def test_floor_agrees_with_the_engine() -> None:
    asked = question()
    market = open_market(asked, make_catalogue(*SMALL, seed=2))
    found = judge(market, asked.wishes)
    assert agree(feasible(Columns(market)), found) > 0
    assert found.count(OPEN) > 0


@pytest.mark.parametrize("name", RIVALS)
def test_rival_agrees_with_the_engine(name: str) -> None:
    asked = question()
    catalogue = make_catalogue(1500, 150, 60, springs=15, loose=0.0)
    found = judge(open_market(asked, catalogue), asked.wishes)
    fits = set(np.flatnonzero(found.state == FITS).tolist())
    assert fits
    assert RIVALS[name](Parts.of(catalogue)) == fits


WISHES: tuple[dict[str, Any], ...] = (
    {},
    {"budget": {"must": 650}, "sag_percent": {"must": [26, 33]}},
    {"budget": {"must": 650}, "mass_g": {"must": 520}, "days": {"must": 9},
     "no_workshop": {"must": True}},
    {"days": {"must": 12}, "tune": {"must": "medium"}, "reserve_mm": {"must": 90}},
)  # fmt: skip


def _asked(wishes: dict[str, Any], seed: int) -> tuple[Question, Market]:
    asked = replace(question(), wishes=Wishes.model_validate(wishes))
    return asked, open_market(asked, make_catalogue(250, 60, 40, springs=12, seed=seed))


def _same_verdicts(one: Verdicts, other: Verdicts) -> None:
    np.testing.assert_array_equal(one.state, other.state)
    np.testing.assert_array_equal(one.broken, other.broken)
    np.testing.assert_array_equal(one.doubtful, other.doubtful)
    for shock in range(0, len(one.state), 5):
        assert one.factors(shock) == other.factors(shock)


@pytest.mark.parametrize("wishes", WISHES)
def test_size_of_chunks_changes_nothing(
    wishes: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, market = _asked(wishes, seed=4)
    whole = judge(market, asked.wishes)
    monkeypatch.setattr(judging, "CHUNK", 37)
    monkeypatch.setattr(reduction, "LOOKED_AT", 2000)
    monkeypatch.setattr(reduction, "HELD", 300)
    monkeypatch.setattr(kits, "CELLS", 400)
    _same_verdicts(whole, judge(market, asked.wishes))


@pytest.mark.parametrize("wishes", WISHES)
def test_looking_at_alike_rows_once_changes_nothing(
    wishes: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, market = _asked(wishes, seed=6)
    thinned = judge(market, asked.wishes)
    monkeypatch.setattr(alike, "WORTH", -1.0)
    _same_verdicts(thinned, judge(market, asked.wishes))
