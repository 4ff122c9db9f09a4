"""At small size, untimed: the generator is sound, and floor, rivals and engine agree.

The floor and the rivals are separate programs with their own arithmetic; only `floor` borrows one
root finder. [own] no published figure stands behind these.
"""

from pathlib import Path

import numpy as np
import pytest

from recommender.catalogue.catalogue import read_catalogue
from recommender.catalogue.check import check_tables
from recommender.catalogue.columns import NumberColumn, Table
from recommender.facts.parts import TABLES
from recommender.rules.market import open_market
from recommender.search import tables, verdicts
from recommender.search.verdicts import FITS, OPEN, judge
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
        else:
            assert mine.choice(field).words() == theirs.choice(field).words() if hasattr(
                column, "values") else mine.text(field).texts() == theirs.text(field).texts()  # fmt: skip


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


def test_size_of_chunks_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = question()
    market = open_market(asked, make_catalogue(400, 60, 40, seed=4))
    whole = judge(market, asked.wishes)
    monkeypatch.setattr(verdicts, "CHUNK", 37)
    monkeypatch.setattr(tables, "LOOKED_AT", 5000)
    monkeypatch.setattr(tables, "HELD", 700)
    parted = judge(market, asked.wishes)
    np.testing.assert_array_equal(whole.state, parted.state)
    np.testing.assert_array_equal(whole.broken, parted.broken)
    np.testing.assert_array_equal(whole.doubtful, parted.doubtful)
    for shock in range(0, 400, 7):
        assert whole.factors(shock) == parted.factors(shock)
