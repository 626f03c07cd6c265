"""Where a reader would ask why: what a published check is held against."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PUBLISHED = [
    pytest.param(node, id=f"{path.stem}: {node.name}")
    for path in sorted((ROOT / "tests" / "published").glob("test_*.py"))
    for node in ast.parse(path.read_text(encoding="utf-8")).body
    if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
]
POINTS_ELSEWHERE = re.compile(r"(the same|sources stand|see (above|below))\b", re.IGNORECASE)


@pytest.mark.parametrize("check", PUBLISHED)
def test_every_published_check_names_its_source_itself(check: ast.FunctionDef) -> None:
    said = ast.get_docstring(check) or ""
    assert re.search(r"[A-Z]|\d", said), "name the document, table or library that it is held against"
    assert not POINTS_ELSEWHERE.match(said), "name the source once more: a reader comes to one check alone"
