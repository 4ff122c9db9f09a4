"""Small changes to a module's code, one at a time, that some test should notice.

Wording is left alone: texts, annotations, docstrings. What is changed: comparisons, arithmetic,
conditions, numbers, truth values, least and greatest, calls made for their effect, filters.
"""

import ast
import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

_ORDER = {ast.Lt: (ast.LtE, ast.Gt), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.Lt),
          ast.GtE: (ast.Gt, ast.Lt), ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,),
          ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.Is: (ast.IsNot,),
          ast.IsNot: (ast.Is,)}  # fmt: skip
_ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
               ast.FloorDiv: ast.Div, ast.Mod: ast.Mult, ast.Pow: ast.Mult, ast.BitAnd: ast.BitOr,
               ast.BitOr: ast.BitAnd, ast.BitXor: ast.BitOr, ast.LShift: ast.RShift,
               ast.RShift: ast.LShift, ast.MatMult: ast.Mult}  # fmt: skip
_PAIRS = (("min", "max"), ("any", "all"), ("minimum", "maximum"), ("floor", "ceil"),
          ("argmin", "argmax"), ("fmin", "fmax"), ("logical_and", "logical_or"),
          ("bitwise_and", "bitwise_or"), ("nanmin", "nanmax"), ("issubset", "issuperset"),
          ("union", "intersection"))  # fmt: skip
_SWAPS = dict(_PAIRS) | {b: a for a, b in _PAIRS} | {"sorted": "list", "flatnonzero": "asarray"}

Edit = Callable[[ast.AST], None]


@dataclass(frozen=True)
class Mutant:
    """One change; `number` tells it from the others of its module, in the order of the code."""

    path: Path
    number: int
    line: int
    before: str
    after: str
    text: str

    def __str__(self) -> str:
        where = f"{self.path.as_posix()}:{self.line}"
        return f"{where} #{self.number}: {self.before}  ->  {self.after}  in  {self.text}"


def mutants(path: Path) -> list[Mutant]:
    """Every change of a module."""
    source = path.read_text(encoding="utf-8")
    lines = source.splitlines()
    out = []
    for number, (node, edit, whole) in enumerate(_changes(ast.parse(source))):
        before = _short(whole)
        edit(node)
        line: int = node.lineno  # type: ignore[attr-defined]
        out.append(Mutant(path, number, line, before, _short(whole), lines[line - 1].strip()))
    return [one for one in out if one.before != one.after]


def changed_code(path: Path, number: int) -> ast.Module:
    """The module's tree with that change made."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for k, (node, edit, _) in enumerate(_changes(tree)):
        if k == number:
            edit(node)
            return ast.fix_missing_locations(tree)
    raise IndexError(number)


def _short(node: ast.AST) -> str:
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 90 else text[:89] + "…"


def _changes(tree: ast.Module) -> Iterator[tuple[ast.AST, Edit, ast.AST]]:
    """Node, edit in place, and the node to show. Each is undone before the next is given."""
    for node in list(_nodes(tree)):
        for edit in _edits(node):
            kept = copy.copy(node.__dict__)
            lists = {name: list(v) for name, v in kept.items() if isinstance(v, list)}
            yield node, edit, node
            node.__dict__.clear()
            node.__dict__.update(kept | lists)


def _nodes(node: ast.AST) -> Iterator[ast.AST]:
    """The nodes whose value matters, in the order of the code."""
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "type_params"):
            continue
        for one in value if isinstance(value, list) else [value]:
            if not isinstance(one, ast.AST) or _idle(one):
                continue
            yield one
            yield from _nodes(one)


def _idle(node: ast.AST) -> bool:
    """Docstrings, imports and what is there for the type checker alone."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return True
    if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
        return True
    if isinstance(node, ast.Assign) and isinstance(node.value, ast.Subscript | ast.BinOp):
        # X = Annotated[...] and X = A | B name types.
        text = ast.unparse(node.value)
        if text.startswith(("Annotated[", "Literal[", "Callable[", "Mapping[", "tuple[", "dict[")):
            return True
    return isinstance(node, ast.Import | ast.ImportFrom | ast.Raise | ast.AnnAssign) and not (
        isinstance(node, ast.AnnAssign) and node.value is not None
    )


def _set(**fields: object) -> Edit:
    def edit(node: ast.AST) -> None:
        for name, value in fields.items():
            setattr(node, name, value)

    return edit


def _edits(node: ast.AST) -> Iterator[Edit]:
    match node:
        case ast.Compare():
            for k, op in enumerate(node.ops):
                for other in _ORDER[type(op)]:
                    yield _set(ops=[*node.ops[:k], other(), *node.ops[k + 1 :]])
        case ast.BinOp() | ast.AugAssign():
            if not _texts(node):
                yield _set(op=_ARITHMETIC[type(node.op)]())
        case ast.BoolOp():
            yield _set(op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
        case ast.Constant(value=bool(value)):
            yield _set(value=not value)
        case ast.Constant(value=int(value)):
            yield _set(value=value + 1)
        case ast.Constant(value=float(value)):
            yield _set(value=value * 2 or 1.0)
        case ast.If() | ast.While() | ast.IfExp():
            yield _set(test=ast.UnaryOp(ast.Not(), node.test))
        case ast.UnaryOp(op=ast.USub()):
            yield _set(op=ast.UAdd())
        case ast.Name(id=name) if name in _SWAPS:
            yield _set(id=_SWAPS[name])
        case ast.Attribute(attr=name) if name in _SWAPS:
            yield _set(attr=_SWAPS[name])
        case ast.ListComp() | ast.SetComp() | ast.GeneratorExp() | ast.DictComp():
            for k, part in enumerate(node.generators):
                if part.ifs:
                    loose = ast.comprehension(part.target, part.iter, [], part.is_async)
                    yield _set(generators=[*node.generators[:k], loose, *node.generators[k + 1 :]])
        case ast.Expr(value=ast.Call()):
            yield _set(value=ast.Constant(None))


def _texts(node: ast.BinOp | ast.AugAssign) -> bool:
    """Whether texts are joined, or types."""
    parts = [node.value] if isinstance(node, ast.AugAssign) else [node.left, node.right]
    return any(
        isinstance(part, ast.JoinedStr)
        or (isinstance(part, ast.Constant) and (part.value is None or isinstance(part.value, str)))
        for part in parts
    )
