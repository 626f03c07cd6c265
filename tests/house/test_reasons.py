"""Where a reader would stop and ask why: a lock, a named rounding, an ordered pair of writes, a published check."""

import ast
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SHOPBOOK = {path: path.read_text(encoding="utf-8") for path in sorted((ROOT / "shopbook").rglob("*.py"))}
LOCK = re.compile(r"BEGIN IMMEDIATE|pg_advisory\w+lock|busy_timeout=|\b(threading\.)?R?Lock\(\)|\bFileLock\(")
ROUNDS = re.compile(r"(^|_)(round|rounded|rounding|half_away)(_|$)")
REASON = re.compile(r"\b(so that|since|because|never|neither|only)\b", re.IGNORECASE)
PUBLISHED = [
    pytest.param(node, id=f"{path.stem}: {node.name}")
    for path in sorted((ROOT / "tests" / "published").glob("test_*.py"))
    for node in ast.parse(path.read_text(encoding="utf-8")).body
    if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
]
POINTS_ELSEWHERE = re.compile(r"(the same|sources stand|see (above|below))\b", re.IGNORECASE)


def place_of(path: Path, line: int) -> str:
    return f"{path.relative_to(ROOT).as_posix()}:{line}"


def functions() -> Iterator[tuple[Path, ast.FunctionDef]]:
    for path, source in SHOPBOOK.items():
        for node in ast.walk(ast.parse(source)):
            if isinstance(node, ast.FunctionDef):
                yield path, node


def is_said_beside(lines: Sequence[str], line: int) -> bool:
    """Whether a comment ends right above a line (from one), or a docstring begins right below it."""
    above, below = lines[line - 2].strip(), lines[line].strip() if line < len(lines) else ""
    return above.startswith("#") or below.startswith('"""')


def test_every_lock_says_why_it_is_taken() -> None:
    found = [
        (path, number, is_said_beside(source.splitlines(), number))
        for path, source in SHOPBOOK.items()
        for number, line in enumerate(source.splitlines(), 1)
        if LOCK.search(line)
    ]
    assert len(found) >= 5, "the names of the locks have changed: look for them anew"
    assert [place_of(path, number) for path, number, is_said in found if not is_said] == []


def test_every_named_rounding_says_why_it_goes_that_way() -> None:
    found = [(path, node) for path, node in functions() if ROUNDS.search(node.name) or adds_a_half(path, node)]
    assert len(found) >= 10, "the names of the roundings have changed: look for them anew"
    silent = [place_of(path, node.lineno) for path, node in found if not REASON.search(all_said(path, node))]
    assert silent == []


def adds_a_half(path: Path, node: ast.FunctionDef) -> bool:
    """Whether it rounds a float to a whole number by adding a half: `math.floor(x + 0.5)`."""
    return any(re.search(r"math\.floor\(.* \+ 0\.5\)", line) for line in lines_of(path, node))


def lines_of(path: Path, node: ast.FunctionDef) -> list[str]:
    return SHOPBOOK[path].splitlines()[node.lineno - 1 : node.end_lineno]


def all_said(path: Path, node: ast.FunctionDef) -> str:
    """A function's docstring and comments."""
    return " ".join([ast.get_docstring(node) or "", *(line.partition("#")[2] for line in lines_of(path, node))])


def test_every_ordered_pair_of_writes_says_why_the_first_goes_first() -> None:
    """A flush in the middle of an act. One after `add(row)` for the row's own key says so itself: `row.id` follows."""
    found = [
        (path, flush)
        for path, node in functions()
        if "queries" not in path.parts
        for flush, before in flushes(node.body)
        if is_followed_by_a_write(node, flush) and not is_for_a_key(node, flush, before)
    ]
    assert len(found) >= 10, "a flush has another name now: look for it anew"
    silent = [
        place_of(path, flush.lineno)
        for path, flush in found
        if not is_said_beside(SHOPBOOK[path].splitlines(), flush.lineno)
    ]
    assert silent == []


def flushes(body: Sequence[ast.stmt]) -> Iterator[tuple[ast.stmt, ast.stmt | None]]:
    """Every flush in a block and its inner blocks, with the statement before it."""
    for before, statement in zip([None, *body], body, strict=False):
        if isinstance(statement, ast.Expr) and ast.unparse(statement).endswith(".flush()"):
            yield statement, before
        for name in ("body", "orelse", "finalbody"):
            if not isinstance(statement, ast.FunctionDef | ast.ClassDef):
                yield from flushes(getattr(statement, name, []))


def is_followed_by_a_write(node: ast.FunctionDef, flush: ast.stmt) -> bool:
    """Whether anything but words, a line of the log and an answer comes after it."""
    later = [step for step in ast.walk(node) if isinstance(step, ast.stmt) and step.lineno > (flush.end_lineno or 0)]
    return any(not (isinstance(step, ast.Return | ast.If) or is_of_the_log(step)) for step in later)


def is_of_the_log(step: ast.stmt) -> bool:
    if isinstance(step, ast.Assign):
        return ast.unparse(step.targets[0]) in {"words", "span", "told", "whose"}
    return isinstance(step, ast.Expr) and isinstance(step.value, ast.Call) and "log" in ast.unparse(step.value.func)


def is_for_a_key(node: ast.FunctionDef, flush: ast.stmt, before: ast.stmt | None) -> bool:
    added = re.fullmatch(r"[\w.]+\.add\((\w+)\)", ast.unparse(before)) if before is not None else None
    return added is not None and any(
        isinstance(step, ast.Attribute) and ast.unparse(step) == f"{added[1]}.id" and step.lineno > flush.lineno
        for step in ast.walk(node)
    )


@pytest.mark.parametrize("check", PUBLISHED)
def test_every_published_check_names_its_source_itself(check: ast.FunctionDef) -> None:
    said = ast.get_docstring(check) or ""
    assert re.search(r"[A-Z]|\d", said), "name the document, table or library that it is held against"
    assert not POINTS_ELSEWHERE.match(said), "name the source once more: a reader comes to one check alone"
