"""Every act that a page calls is undoable or final for a written reason; every table has its way or none."""

import ast
from collections.abc import Iterator
from pathlib import Path

from shopbook.models import Base
from shopbook.models.guards import LEDGERS
from shopbook.services.undo.counters import COUNTERS
from shopbook.services.undo.listed import FINAL, UNDOABLE
from shopbook.services.undo.places import BY_COUNTER_LINE, MUTABLE

ROOT = Path(__file__).resolve().parents[2]
SERVICES = ROOT / "shopbook" / "services"
BESIDE = {"clock_share", "count_line", "log_line", "mix_part", "mix_share", "mix_taken_back", "plan_version"} | {
    "stock_count"
}
"""Ledgers that need no counter of their own: they go with another, stay as they are, or are written anew last."""


def acts() -> dict[tuple[str, str], str]:
    """Every public function that takes an act, by module and name: its area and name."""
    found = {}
    for path in sorted(SERVICES.rglob("*.py")):
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        area = path.relative_to(SERVICES).parts[0].removesuffix(".py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and takes_an_act(node):
                found[module, node.name] = f"{area}.{node.name}"
    return found


def takes_an_act(node: ast.FunctionDef) -> bool:
    first = next(iter(node.args.args), None)
    return first is not None and first.annotation is not None and ast.unparse(first.annotation) == "Act"


def called_by_pages() -> Iterator[tuple[str, str]]:
    for path in (ROOT / "shopbook" / "web").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                yield from ((node.module, name.name) for name in node.names)


def listed() -> list[str]:
    return [*(f"{area}.{name}" for area, names in UNDOABLE.items() for name in names), *FINAL]


def test_every_act_of_a_page_is_undoable_or_final_for_a_reason() -> None:
    every = acts()
    pressed = {every[call] for call in called_by_pages() if call in every}
    assert len(pressed) > 100
    assert pressed - set(listed()) == set()
    assert [name for name, why in FINAL.items() if not why.endswith(".")] == []


def test_no_act_is_listed_twice_or_after_it_has_gone() -> None:
    names = listed()
    assert len(names) == len(set(names))
    assert set(names) - set(acts().values()) == set()


def test_a_table_is_put_back_or_countered_and_no_ledger_is_ever_overwritten() -> None:
    assert set(MUTABLE) | BY_COUNTER_LINE <= set(Base.metadata.tables)
    assert set(MUTABLE) & set(LEDGERS) == set()
    assert set(LEDGERS) >= BY_COUNTER_LINE
    assert set(COUNTERS) == BY_COUNTER_LINE - BESIDE
    for place, left_alone in MUTABLE.items():
        assert left_alone <= set(Base.metadata.tables[place].c.keys())
