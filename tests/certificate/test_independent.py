"""The checker shares nothing with what it checks."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import recommender.certificate
from recommender.certificate.hitting import hitting_sets, minimal
from recommender.explain import hitting, sets

FOLDER = Path(recommender.certificate.__file__).parent
MAY = ("facts", "mechanics", "catalogue", "rules", "certificate", "answer.records")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.py")), ids=lambda path: path.stem)
def test_imports_what_it_may(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            names = [str(node.module)]
        elif isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        else:
            continue
        for name in names:
            if name.partition(".")[0] == "recommender":
                own = name.removeprefix("recommender.")
                assert any(own == may or own.startswith(f"{may}.") for may in MAY), name


def test_nothing_of_the_search_is_even_loaded() -> None:
    code = (
        "import sys, recommender.certificate.check, recommender.certificate.read\n"
        "print(*[m for m in sys.modules if m.startswith(('recommender.search', "
        "'recommender.explain', 'recommender.ranking', 'constraint'))])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == ""


@given(st.lists(st.integers(1, 2**8 - 1), max_size=10))
def test_hitting_sets_by_two_methods(family: list[int]) -> None:
    """Berge's here, Murakami and Uno's there."""

    def named(masks: list[int]) -> set[frozenset[str]]:
        return {frozenset(str(bit) for bit in sets.members(mask)) for mask in masks}

    assert hitting_sets(named(family), 10**6) == named(hitting.hitting_sets(family, 10**6)[0])
    assert minimal(named(family)) == named(sets.minimal(family))


def test_hitting_sets_give_up_in_time() -> None:
    pairs = [frozenset({f"a{k}", f"b{k}"}) for k in range(20)]
    assert hitting_sets(pairs, 1000) is None
    assert hitting_sets([frozenset()], 10) == set()
    assert hitting_sets([], 10) == {frozenset()}
