"""The pages' types: `Any` stands only with its reason beside it, and a row of the book is only named as a type."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGES = {path.relative_to(ROOT).as_posix(): path for path in sorted((ROOT / "shopbook" / "web").rglob("*.py"))}
MOST_ANY = 14
"""What the libraries leave no other way for; it only falls."""


def names(tree: ast.AST, wanted: set[str]) -> Iterator[ast.Name]:
    yield from (node for node in ast.walk(tree) if isinstance(node, ast.Name) and node.id in wanted)


def any_lines() -> dict[str, str]:
    """Each line of the pages that uses `Any`."""
    return {
        f"{where}:{name.lineno}": path.read_text(encoding="utf-8").splitlines()[name.lineno - 1]
        for where, path in PAGES.items()
        for name in names(ast.parse(path.read_text(encoding="utf-8")), {"Any"})
    }


def test_any_stands_with_its_reason_beside_it() -> None:
    assert [where for where, line in any_lines().items() if not re.search(r"  # \w+ \w+ \w+", line)] == []


def test_any_stands_no_more_often_than_the_libraries_force_it() -> None:
    assert len(any_lines()) <= MOST_ANY


def annotations(tree: ast.AST) -> Iterator[ast.expr]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            yield from [node.returns] if node.returns else []
        elif isinstance(node, ast.arg | ast.AnnAssign) and node.annotation is not None:
            yield node.annotation


def test_a_row_of_the_book_is_named_by_a_page_as_a_type_alone() -> None:
    used = []
    for where, path in PAGES.items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        rows = {
            each.name
            for node in ast.walk(tree)
            if isinstance(node, ast.ImportFrom) and node.module == "shopbook.web.parts.rows"
            for each in node.names
        }
        as_types = {id(name) for said in annotations(tree) for name in names(said, rows)}
        used += [f"{where}:{name.lineno}" for name in names(tree, rows) if id(name) not in as_types]
    assert used == []
