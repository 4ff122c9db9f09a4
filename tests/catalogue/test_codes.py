"""Codes of rows against plain dictionaries."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from recommender.catalogue.codes import code_of, code_of_both

# Few codes are told apart by marking, many by hashing.
few = st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), max_size=40)
many = st.lists(st.tuples(st.integers(0, 500), st.integers(0, 500)), max_size=40)


@given(few | many)
def test_rows_have_one_code_where_they_agree_in_both(pairs: list[tuple[int, int]]) -> None:
    first, second = (np.array([one[k] for one in pairs], np.int64) for k in (0, 1))
    code = code_of_both(first, second).tolist()
    assert len(set(zip(pairs, code, strict=True))) == len(set(pairs)) == len(set(code))
    assert set(code) == set(range(len(set(code))))


@given(few | many)
def test_a_first_row_of_nothing_stays_nothing(pairs: list[tuple[int, int]]) -> None:
    pairs = [(0, 0), *pairs]
    code = code_of_both(*(np.array([one[k] for one in pairs], np.int64) for k in (0, 1)))
    assert [at == 0 for at in code.tolist()] == [pair == (0, 0) for pair in pairs]


def test_blanks_agree_and_the_first_row_is_0() -> None:
    assert code_of(np.array([np.nan, 2.0, np.nan, 2.0, 1.0])).tolist() == [0, 1, 0, 1, 2]
