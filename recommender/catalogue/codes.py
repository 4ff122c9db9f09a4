"""Rows told apart by numbers: those that agree have one code, from 0 on without gaps."""

import numpy as np
import numpy.typing as npt
import pandas as pd

from recommender.catalogue.columns import Ints

ROOM = 2
"""Up to so many times as many codes as rows are told apart by marking, beyond by hashing."""


def code_of(values: npt.NDArray[np.generic]) -> Ints:
    """One code for rows of equal value; blanks (NaN) agree. The first row's is 0."""
    code: Ints = pd.factorize(values, use_na_sentinel=False)[0]
    return code


def code_of_both(first: Ints, second: Ints) -> Ints:
    """One code for rows that agree in both codes; 0 for those where both are 0, if the first row is
    one of them."""
    most = int(second.max(initial=0)) + 1
    size = (int(first.max(initial=0)) + 1) * most
    both = first * most + second
    if size > ROOM * len(both):
        return code_of(both)
    seen = np.zeros(size, np.int64)
    seen[both] = 1
    code: Ints = (np.cumsum(seen) - 1)[both]
    return code
