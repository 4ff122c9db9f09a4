"""The shape of the code: which package may import which, no cycles, short files, docstrings, and
what stands at the top level."""

import ast
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "recommender"
FILES = sorted(PACKAGE.rglob("*.py"))

_FACTS_TO_SEARCH = {"facts", "mechanics", "catalogue", "rules", "search"}
MAY_IMPORT = {
    "facts": set(),
    "files": {"facts"},
    "mechanics": {"facts"},
    "catalogue": {"facts", "files", "mechanics"},
    "rules": {"facts", "mechanics", "catalogue"},
    "search": {"facts", "catalogue", "rules"},
    "ranking": {"facts", "catalogue", "rules", "search"},
    "explain": _FACTS_TO_SEARCH,
    "answer": {*_FACTS_TO_SEARCH, "ranking", "explain"},
    "movable": {*_FACTS_TO_SEARCH, "ranking", "explain", "answer"},
    "advice": {*_FACTS_TO_SEARCH, "ranking", "explain", "answer"},
    "fleet": {*_FACTS_TO_SEARCH, "ranking", "explain", "answer", "advice"},
    "fitlist": {*_FACTS_TO_SEARCH, "files", "explain", "advice"},
    # The certificate's checker is a second opinion: it knows the rules and the answer's records.
    "certificate": {"facts", "mechanics", "catalogue", "rules", "answer"},
    "certify": {*_FACTS_TO_SEARCH, "ranking", "explain", "answer", "certificate"},
    "output": {"facts", "files", "rules", "answer", "movable", "fleet", "advice", "certificate"},
    "cli": {
        "facts", "files", "catalogue", "ranking", "explain", "answer", "advice", "fleet", "fitlist",
        "certificate", "certify", "output",
    },
}
"""Package -> the packages it may import. Data flows from facts to the command line, never back."""

NARROW = {
    # Units alone: the mechanics know nothing of bikes or catalogues.
    ("mechanics", "facts"): {"facts.units"},
    # The ground of the air spring: would it hold the shock extended?
    ("catalogue", "mechanics"): {"mechanics.air"},
    # What cannot be written is a problem like any other.
    ("files", "facts"): {"facts.problems"},
    # A fitted shock's facts are looked up for many bikes as for one.
    ("fitlist", "advice"): {"advice.delivered"},
    # Shapes of what is claimed, and nothing of how it was found.
    ("certificate", "answer"): {"answer.records"},
    # Weights named on the command line are set before the answer is asked for.
    ("cli", "ranking"): {"ranking.weights"},
}
"""Where an arrow is allowed for certain modules only."""

MOST_LINES = 300

TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "recommender", "catalogs", "tests",
    "demo",
}  # fmt: skip


def module(path: Path) -> str:
    """'search.whole' for recommender/search/whole.py."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(part for part in parts if part != "__init__")


MODULES = {module(path): path for path in FILES}


def imports(path: Path) -> Iterator[str]:
    """Modules of the project that a file imports, inside functions and for the type checker too."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            below = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [
                name if name.removeprefix("recommender.") in MODULES else str(node.module)
                for name in below
            ]
        else:
            continue
        for name in dict.fromkeys(names):
            if name == "recommender" or name.startswith("recommender."):
                yield name.removeprefix("recommender").removeprefix(".")


def test_every_package_has_its_place() -> None:
    assert {path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists()} == set(
        MAY_IMPORT
    )


@pytest.mark.parametrize("package", MAY_IMPORT)
def test_imports_point_one_way(package: str) -> None:
    for path in sorted((PACKAGE / package).rglob("*.py")):
        for found in imports(path):
            target = found.partition(".")[0]
            if target == package:
                continue
            where = f"{module(path)} imports {found}"
            assert target in MAY_IMPORT[package], where
            allowed = NARROW.get((package, target))
            assert allowed is None or found in allowed, where


def test_packages_stand_in_an_order() -> None:
    """No package is reached from one that it imports."""
    arrows = nx.DiGraph(
        (package, target) for package, targets in MAY_IMPORT.items() for target in targets
    )
    assert nx.is_directed_acyclic_graph(arrows)


def test_no_module_imports_itself_through_others() -> None:
    arrows = nx.DiGraph(
        (module(path), target) for path in FILES for target in imports(path)
        if target != "rules" or not module(path).startswith("rules")
    )  # fmt: skip
    arrows.remove_edges_from(list(nx.selfloop_edges(arrows)))
    # A package's own __init__ names its modules; that is no use of them.
    arrows.remove_edges_from([(a, b) for a, b in arrows.edges if b.startswith(f"{a}.")])
    assert list(nx.simple_cycles(arrows)) == []


SCRIPTS = sorted(PACKAGE.rglob("*.js"))


@pytest.mark.parametrize("path", [*FILES, *SCRIPTS], ids=lambda path: path.name)
def test_files_are_short(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= MOST_LINES


def _speaks_for_itself(node: ast.stmt) -> bool:
    """A rule has its sentence beside it, a figure its name and unit."""
    named = {"rule", "figure"}
    return any(
        isinstance(decorator, ast.Call)
        and isinstance(decorator.func, ast.Name)
        and decorator.func.id in named
        for decorator in getattr(node, "decorator_list", ())
    )


@pytest.mark.parametrize("path", FILES, ids=module)
def test_what_is_public_has_a_docstring(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree) or not tree.body
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
    public = [
        node for node in tree.body if isinstance(node, kinds) and not node.name.startswith("_")
    ]  # fmt: skip
    silent = [node.name for node in public if not ast.get_docstring(node)]
    speaking = {node.name for node in public if _speaks_for_itself(node)}
    assert [name for name in silent if name not in speaking] == []


def test_nothing_else_stands_at_the_top_level() -> None:
    there = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert there <= TOP_LEVEL, there - TOP_LEVEL
    assert {"README.md", "LICENSE", "pyproject.toml", "recommender", "catalogs", "demo"} <= there
