"""One spot of a module changed: an operator, a comparison, a word of logic or a number becomes its neighbour.

Left alone: words, annotations, decorators (`frozen=True` decides no figure) and the bars of types.
"""

import ast
from collections.abc import Iterator
from dataclasses import dataclass

SWAPPED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.FloorDiv,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.And: ast.Or,
    ast.Or: ast.And,
}


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a module is changed: path, line, which of its spots it is, and what stands there before and after."""

    path: str
    line: int
    place: int
    before: str
    after: str


def count_spots(source: str) -> int:
    """How many spots of a module can be changed."""
    return sum(1 for _ in _spots(ast.parse(source)))


def spot_of(path: str, source: str, place: int) -> Spot:
    """One of a module's spots, counted from zero in the order they stand."""
    node, index = list(_spots(ast.parse(source)))[place]
    before = ast.unparse(node)
    _change(node, index)
    return Spot(path, node.lineno, place, before, ast.unparse(node))


def changed_source(source: str, spot: Spot) -> str:
    """The module's source with one spot changed."""
    return ast.unparse(changed_tree(source, spot))


def changed_tree(source: str, spot: Spot) -> ast.Module:
    """The same as a tree, each line where it was."""
    tree = ast.parse(source)
    node, index = list(_spots(tree))[spot.place]
    _change(node, index)
    return ast.fix_missing_locations(tree)


def _spots(tree: ast.AST) -> Iterator[tuple[ast.expr | ast.stmt, int]]:
    """Nodes that can be changed, each with which of its operators (of a chain of comparisons) is meant."""
    for node in _read(tree):
        match node:
            case ast.Compare():
                yield from ((node, index) for index, op in enumerate(node.ops) if type(op) in SWAPPED)
            case ast.BinOp() if type(node.op) in SWAPPED and not (_is_text(node.left) or _is_text(node.right)):
                yield node, 0
            case ast.AugAssign() if type(node.op) in SWAPPED:
                yield node, 0
            case ast.BoolOp() | ast.UnaryOp(op=ast.Not() | ast.USub()):
                yield node, 0
            case ast.Constant(value=bool() | int() | float()):
                yield node, 0


def _read(node: ast.AST) -> Iterator[ast.AST]:
    yield node
    left_alone = {"annotation", "returns", "decorator_list"}
    for name, value in ast.iter_fields(node):
        if name not in left_alone:
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    yield from _read(child)


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def _change(node: ast.AST, index: int) -> None:
    match node:
        case ast.Compare():
            node.ops[index] = SWAPPED[type(node.ops[index])]()  # type: ignore[call-overload]
        case ast.BinOp() | ast.AugAssign() | ast.BoolOp():
            node.op = SWAPPED[type(node.op)]()  # type: ignore[assignment]
        case ast.UnaryOp(op=ast.Not()):
            node.operand = ast.UnaryOp(ast.Not(), node.operand)
        case ast.UnaryOp(op=ast.USub()):
            node.op = ast.UAdd()
        case ast.Constant(value=bool()):
            node.value = not node.value
        case ast.Constant(value=int() | float()):
            node.value = node.value + 1 if isinstance(node.value, int) or not node.value else node.value * 1.1
