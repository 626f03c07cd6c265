"""The table of mistakes in DEVELOPERS.md is the one that the browser tests press through, and each has its test."""

import ast
from pathlib import Path

from tests.journeys.mistakes import MISTAKES, MOST

ROOT = Path(__file__).resolve().parents[2]


def test_the_documentation_has_the_fourteen_rows_and_no_other() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    head = "| mistake in | noticed on | pressed, at most three to the form | read in |\n  |---|---|---|---|\n"
    assert head in text
    table = text.partition(head)[2].partition("\n\n")[0]
    assert [line.strip() for line in table.splitlines()] == [mistake.row for mistake in MISTAKES.values()]
    assert len(MISTAKES) == 14
    assert all(1 <= len(mistake.presses) <= MOST for mistake in MISTAKES.values())


def test_each_mistake_has_a_browser_test_that_counts_the_presses() -> None:
    for code, mistake in MISTAKES.items():
        module, _, name = mistake.told.partition(": ")
        source = (ROOT / "tests" / "journeys" / f"{module}.py").read_text(encoding="utf-8")
        found = [node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef) and node.name == name]
        assert found, mistake.told
        body = ast.get_source_segment(source, found[0]) or ""
        assert f'reach(hand, "{code}"' in body or "took_at_most(" in body, mistake.told
