"""Minimal hitting sets against Berge's method, SAT-based enumerators and known counts."""

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pysat.examples.hitman import Hitman
from pysat.examples.lbx import LBX
from pysat.examples.optux import OptUx
from pysat.formula import WCNF

from recommender.explain.hitting import hitting_sets
from recommender.explain.sets import members, minimal, product
from tests.explain.naive import berge, smallest

families = st.lists(st.integers(1, 2**9 - 1), max_size=12)
WIDE = 10**6


def of(*numbers: int) -> int:
    """The set of those vertices, counted from 1."""
    return sum(1 << number - 1 for number in numbers)


@given(families)
def test_same_as_berge(family: list[int]) -> None:
    assert hitting_sets(family, WIDE) == (berge(family), False)


@given(families)
def test_hits_all_and_needs_every_member(family: list[int]) -> None:
    for one in hitting_sets(family, WIDE)[0]:
        assert all(one & edge for edge in family)
        for vertex in members(one):
            assert not all(one & ~vertex & edge for edge in family)


@given(families)
def test_twice_is_the_minimal_family_again(family: list[int]) -> None:
    """Hitting sets of the hitting sets: Berge 1989 [C]."""
    once = hitting_sets(family, WIDE)[0]
    assert hitting_sets(once, WIDE)[0] == minimal(family)


@given(families, st.randoms())
def test_order_of_the_family_does_not_matter(family: list[int], shuffle: random.Random) -> None:
    other = family[:]
    shuffle.shuffle(other)
    assert hitting_sets(family, 5) == hitting_sets(other, 5)


def test_boundaries() -> None:
    assert hitting_sets([]) == ([0], False)
    assert hitting_sets([0]) == ([], False)
    assert hitting_sets([0, 5]) == ([], False)


def test_a_cap_keeps_minimal_ones_and_says_so() -> None:
    edges = [7 << 3 * k for k in range(20)]
    found, truncated = hitting_sets(edges, 10)
    assert truncated
    assert len(found) == len(set(found)) == 10
    assert all(one & edge for one in found for edge in edges)
    assert hitting_sets(edges[:2], 9) == (berge(edges[:2]), False)
    assert hitting_sets(edges[:2], 8)[1]


def test_published_example() -> None:
    """{a, not a, b, not b, a or b}: Liffiton et al., MARCO, Constraints 21 (2016) [B]."""
    corrections = [of(1, 4), of(2, 3), of(2, 4), of(1, 3, 5)]
    assert set(hitting_sets(corrections)[0]) == {of(1, 2), of(3, 4), of(2, 4, 5)}
    conflicts = [of(1, 2), of(3, 4), of(2, 4, 5)]
    assert set(hitting_sets(conflicts)[0]) == set(corrections)


@pytest.mark.parametrize("pairs", [1, 4, 11])
def test_contradictory_pairs(pairs: int) -> None:
    """n pairs: n conflicts, 2^n corrections [D]."""
    edges = [3 << 2 * k for k in range(pairs)]
    corrections = hitting_sets(edges, WIDE)[0]
    assert len(corrections) == 2**pairs
    assert hitting_sets(corrections, WIDE)[0] == edges


@pytest.mark.parametrize("triangles", [1, 3, 7])
def test_disjoint_triangles(triangles: int) -> None:
    """Two of each triangle's three corners: 3^k [C]."""
    edges = [
        edge << 3 * k for k in range(triangles) for edge in (0b011, 0b101, 0b110)
    ]
    assert len(hitting_sets(edges, WIDE)[0]) == 3**triangles


@pytest.mark.parametrize("half", [1, 4, 9])
def test_threshold_graph(half: int) -> None:
    """Edges {i, j}, i < j, j even, of n vertices have n/2 + 1 minimal transversals [C]."""
    n = 2 * half
    edges = [of(i, j) for j in range(2, n + 1, 2) for i in range(1, j)]
    assert len(hitting_sets(edges, WIDE)[0]) == half + 1


def test_more_vertices_than_a_word_has_bits() -> None:
    edges = [(1 << 70) | (1 << k) for k in range(70)]
    assert set(hitting_sets(edges)[0]) == {1 << 70, (1 << 70) - 1}


def _random_clauses(rng: random.Random) -> list[list[int]]:
    variables = rng.randint(2, 4)
    return [
        [v if rng.random() < 0.5 else -v for v in rng.sample(range(1, variables + 1), size)]
        for size in (rng.choice((1, 1, 2, 2, min(3, variables))) for _ in range(rng.randint(2, 9)))
    ]


def _broken(clauses: list[list[int]]) -> list[int]:
    """Broken clauses of every assignment: what the product has for every completion."""
    most = max(abs(v) for clause in clauses for v in clause)
    out = []
    for world in range(2**most):
        true = {v if world >> v - 1 & 1 else -v for v in range(1, most + 1)}
        out.append(sum(1 << k for k, clause in enumerate(clauses) if not true & set(clause)))
    return out


def _soft(clauses: list[list[int]]) -> WCNF:
    formula = WCNF()
    for clause in clauses:
        formula.append(clause, weight=1)
    return formula


@pytest.mark.parametrize("seed", range(200))
def test_same_as_sat_solvers(seed: int) -> None:
    """Corrections and conflicts of random clauses against PySAT's LBX and OptUx [D]."""
    clauses = _random_clauses(random.Random(seed))
    corrections = minimal(_broken(clauses))
    conflicts, truncated = hitting_sets(corrections, WIDE)
    assert not truncated
    with LBX(_soft(clauses), use_cld=False) as solver:
        theirs = []
        for found in solver.enumerate():
            solver.block(found)
            theirs.append(of(*found))
    assert sorted(theirs) == sorted(corrections)
    if corrections == [0]:
        assert conflicts == []
        return
    with OptUx(_soft(clauses), unsorted=False) as enumerator:
        cores = [of(*found) for found in enumerator.enumerate()]
    assert sorted(cores) == sorted(conflicts)


@pytest.mark.parametrize("seed", range(100))
def test_same_as_a_hitting_set_solver(seed: int) -> None:
    """Against PySAT's Hitman [D]."""
    rng = random.Random(seed)
    edges = [rng.sample(range(1, 9), rng.randint(1, 4)) for _ in range(rng.randint(1, 8))]
    with Hitman(bootstrap_with=edges, htype="sorted") as solver:
        theirs = [of(*found) for found in solver.enumerate()]
    assert sorted(hitting_sets([of(*edge) for edge in edges], WIDE)[0]) == sorted(theirs)


@given(st.lists(st.integers(0, 2**8 - 1)))
def test_minimal_sets(family: list[int]) -> None:
    assert minimal(family) == smallest(family)


@pytest.mark.parametrize("seed", range(5))
def test_minimal_sets_of_a_large_family(seed: int) -> None:
    rng = random.Random(seed)
    family = [rng.getrandbits(64) & rng.getrandbits(64) for _ in range(300)]
    assert minimal(family) == smallest(family)


@given(st.lists(st.lists(st.integers(0, 2**6 - 1), min_size=1, max_size=4), max_size=3))
def test_product_of_families(factors: list[list[int]]) -> None:
    whole = {0}
    for factor in factors:
        whole = {a | b for a in whole for b in factor}
    assert product(factors) == smallest(whole)
