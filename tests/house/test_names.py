"""A name means one thing in the whole program."""

import ast
from collections import defaultdict
from pathlib import Path

SHOPBOOK = Path(__file__).resolve().parents[2] / "shopbook"


def test_no_two_classes_share_a_name() -> None:
    found: dict[str, list[str]] = defaultdict(list)
    for path in sorted(SHOPBOOK.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef):
                found[node.name].append(path.relative_to(SHOPBOOK).as_posix())
    assert len(found) > 400
    assert {name: paths for name, paths in found.items() if len(paths) > 1} == {}
