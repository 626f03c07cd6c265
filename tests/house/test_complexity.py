"""No function decides more than a reader can hold: radon's number, with the branches inside expressions counted."""

import ast
from collections.abc import Iterator
from pathlib import Path

SHOPBOOK = Path(__file__).resolve().parents[2] / "shopbook"
MOST = 10
Function = ast.FunctionDef | ast.AsyncFunctionDef


def branches_at(node: ast.AST) -> int:
    """How many more ways one node opens; a lambda and a `with` open none."""
    match node:
        case ast.Try():
            return len(node.handlers) + bool(node.orelse)
        case ast.BoolOp():
            return len(node.values) - 1
        case ast.If() | ast.IfExp() | ast.Assert():
            return 1
        case ast.Match():
            return len(node.cases) - any(getattr(case.pattern, "pattern", 0) is None for case in node.cases)
        case ast.For() | ast.AsyncFor() | ast.While():
            return 1 + bool(node.orelse)
        case ast.comprehension():
            return 1 + len(node.ifs)
        case _:
            return 0


def branches_below(node: ast.AST) -> int:
    """Of a node and all that hangs on it, but for functions inside, which are measured for themselves."""
    if isinstance(node, Function):
        return 0
    return branches_at(node) + sum(branches_below(child) for child in ast.iter_child_nodes(node))


def complexity_of(function: Function) -> int:
    return 1 + sum(branches_below(child) for child in function.body)


def measured() -> Iterator[tuple[str, int]]:
    """Every function of the package as "web/jobs/kerb.py: name" with its number."""
    for path in sorted(SHOPBOOK.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, Function):
                yield f"{path.relative_to(SHOPBOOK).as_posix()}: {node.name}", complexity_of(node)


def test_the_number_counts_what_an_expression_hides() -> None:
    packed = "def f(a, b):\n    return [x for x in a if x and x > b] if a or b else (1 if b else 2)"
    (function,) = ast.parse(packed).body
    assert isinstance(function, Function)
    assert complexity_of(function) == 1 + 1 + 1 + 1 + 2 + 1


def test_no_function_decides_more_than_a_reader_can_hold() -> None:
    assert {name: number for name, number in measured() if number > MOST} == {}
