"""The walls of DEVELOPERS.md: sizes, names, where a commit may stand, what a template may hold, the tour."""

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from shopbook.models import Base
from shopbook.models.guards import LEDGERS

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted(path for folder in ("shopbook", "migrations", "tests") for path in (ROOT / folder).rglob("*.py")) + [
    path for path in [ROOT / "seed_demo.py"] if path.exists()
]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
LONGEST_FILE, LONGEST_HANDLER, LONGEST_TEMPLATE_LINE = 300, 20, 160
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "shopbook",
    "migrations",
    "templates",
    "tests",
    "seed_demo.py",
}
VAGUE_NAMES = {"utils", "util", "helpers", "helper", "common", "manager", "data", "info", "misc", "tools"}
AREAS = {"reports", "money", "diary", "floor", "jobs", "shelf", "customers", "shop"}


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def kept_by_git() -> Iterator[str]:
    """The names at the top that a clone holds."""
    ignored = {line.strip("/*\n") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()}
    for path in ROOT.iterdir():
        is_ignored = path.name in ignored or path.suffix == ".egg-info" or path.name.startswith(".")
        if not is_ignored:
            yield path.name


def test_no_day_is_taken_from_a_moment_without_its_zone() -> None:
    """Moments are kept in UTC: a day is the shop's by `day_of` and `local_day`, or of a moment turned to its zone."""
    bare = re.compile(r"(?<!\blocal)(?<!\))\.date\(\)")
    places = [path for path in [*SOURCES, *TEMPLATES] if path.relative_to(ROOT).parts[0] in {"shopbook", "templates"}]
    assert [name_of(path) for path in places if bare.search(path.read_text(encoding="utf-8"))] == []


def test_the_top_level_is_exactly_as_stated() -> None:
    assert set(kept_by_git()) == TOP_LEVEL


def test_no_file_is_longer_than_it_can_be_read() -> None:
    long = {
        name_of(path): lines
        for path in SOURCES
        if "versions" not in path.parts and (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }
    assert long == {}


def test_every_module_says_what_lives_there() -> None:
    assert [name_of(path) for path in SOURCES if not ast.get_docstring(tree_of(path))] == []


def test_no_module_has_a_vague_name_or_one_of_the_standard_library() -> None:
    banned = VAGUE_NAMES | set(sys.stdlib_module_names)
    assert [
        name_of(path) for path in SOURCES if path.stem in banned and path.stem not in {"__init__", "__main__"}
    ] == []


def handlers() -> Iterator[tuple[str, ast.FunctionDef]]:
    for path in (ROOT / "shopbook" / "web").rglob("*.py"):
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef) and any(is_route(mark) for mark in node.decorator_list):
                yield f"{name_of(path)}: {node.name}", node


def is_route(mark: ast.expr) -> bool:
    called = mark.func if isinstance(mark, ast.Call) else mark
    return isinstance(called, ast.Attribute) and called.attr in {"route", "get", "post"}


def test_no_handler_is_longer_than_twenty_lines() -> None:
    found = list(handlers())
    assert len(found) > 10
    long = {
        where: lines for where, node in found if (lines := (node.end_lineno or 0) - node.lineno + 1) > LONGEST_HANDLER
    }
    assert long == {}


def test_only_the_transaction_commits_and_rolls_back() -> None:
    found = [
        f"{name_of(path)}:{node.lineno}"
        for path in (ROOT / "shopbook").rglob("*.py")
        if name_of(path) != "shopbook/models/session.py"
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in {"commit", "rollback"}
    ]
    assert found == []


def test_only_the_edge_opens_a_transaction() -> None:
    edge = {"shopbook/web/parts/act.py", "shopbook/commands/book.py", "shopbook/models/session.py"}
    asking = {
        name_of(path)
        for path in (ROOT / "shopbook").rglob("*.py")
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.ImportFrom)
        and node.module == "shopbook.models.session"
        and any(name.name == "transaction" for name in node.names)
    }
    assert asking <= edge


def test_only_the_edge_asks_the_clock() -> None:
    edge = {"shopbook/web/parts/act.py", "shopbook/commands/book.py"}
    asking = {
        name_of(path)
        for path in (ROOT / "shopbook").rglob("*.py")
        if re.search(r"datetime\.(now|utcnow|today)\(|date\.today\(|time\.time\(", path.read_text(encoding="utf-8"))
    }
    assert asking <= edge


def test_only_the_settings_ask_the_environment() -> None:
    asking = {
        name_of(path)
        for path in (ROOT / "shopbook").rglob("*.py")
        if re.search(r"os\.(environ|getenv)", path.read_text(encoding="utf-8"))
    }
    assert asking == {"shopbook/config.py"}


def test_no_float_in_the_tables_and_no_cascade_that_deletes() -> None:
    for table in Base.metadata.sorted_tables:
        for column in table.columns:
            assert column.type.python_type is not float, f"{table.name}.{column.name}"
            assert all(key.ondelete is None for key in column.foreign_keys), f"{table.name}.{column.name}"


def test_every_column_of_money_and_quantity_is_wide_enough() -> None:
    narrow = [
        f"{table.name}.{column.name}"
        for table in Base.metadata.sorted_tables
        for column in table.columns
        if column.name.endswith(("_minor", "_thousandths"))
        and column.name != "rate_thousandths"
        and type(column.type).__name__ != "BigInteger"
    ]
    assert narrow == []


def test_every_guarded_ledger_is_a_table() -> None:
    assert set(LEDGERS) <= set(Base.metadata.tables)


@pytest.mark.parametrize(
    ("what", "pattern"),
    [
        ("a style of its own", r"\sstyle\s*="),
        ("a style sheet inside", r"<style"),
        ("a script inside", r"<script(?![^>]*\ssrc=)"),
        ("a handler inside", r"\son(click|change|submit|load|input|keyup|keydown|error)\s*="),
        ("an address with a script", r"javascript:"),
        ("something fetched from elsewhere", r"(src|href)=[\"']https?://"),
        ("markup let through", r"\|\s*safe\b"),
    ],
)
def test_no_template_holds(what: str, pattern: str) -> None:
    found = [
        f"{name_of(path)}:{number}"
        for path in TEMPLATES
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if re.search(pattern, line, re.IGNORECASE)
    ]
    assert found == [], what


def test_no_line_of_a_template_is_longer_than_it_can_be_read() -> None:
    """A line is broken inside a tag, or where `-%}` or `{%-` takes the break off the page again."""
    long = {
        f"{name_of(path)}:{number}": len(line)
        for path in TEMPLATES
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > LONGEST_TEMPLATE_LINE
    }
    assert long == {}


def test_every_template_lies_where_its_endpoint_says() -> None:
    folders = {path.relative_to(ROOT / "templates").parts[0] for path in TEMPLATES if path.parent != ROOT / "templates"}
    assert folders <= AREAS | {"macros", "errors"}


def test_every_folder_is_in_the_tour() -> None:
    tour = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    layers = [path.name for path in (ROOT / "shopbook").iterdir() if path.is_dir() and not path.name.startswith("__")]
    tests = [path.name for path in (ROOT / "tests").iterdir() if path.is_dir() and not path.name.startswith("__")]
    missing = [f"shopbook/{name}/" for name in layers if f"shopbook/{name}/" not in tour]
    mirrors = {*layers, "makers"}
    missing += [f"{name}/" for name in tests if name not in mirrors and f"`{name}/`" not in tour]
    assert missing == []


def test_every_table_is_in_the_developers_page() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = set(re.findall(r"`(\w+)`", page.split("## Tables")[1].split("\\* append-only")[0]))
    assert told == set(Base.metadata.tables)


def test_the_developers_page_marks_the_tables_that_are_append_only() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert set(re.findall(r"`(\w+)`\*", page)) == set(LEDGERS)


def test_the_readme_begins_with_exactly_two_commands_of_one_line() -> None:
    blocks = re.findall(r"```(\w*)\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    assert [language for language, _ in blocks[:2]] == ["sh", "sh"]
    assert all(body.count("\n") == 1 for _, body in blocks[:2])
    assert "seed_demo.py" in blocks[0][1]
    assert "pytest" in blocks[1][1]


def test_every_setting_stands_in_the_readme() -> None:
    asked = set(re.findall(r"SHOPBOOK_[A-Z_]+", (ROOT / "shopbook" / "config.py").read_text(encoding="utf-8")))
    told = set(re.findall(r"`(SHOPBOOK_[A-Z_]+)`", (ROOT / "README.md").read_text(encoding="utf-8")))
    assert {name for name in asked if not name.endswith("_")} == told


def test_the_pins_name_no_place_to_download_from() -> None:
    pins = (ROOT / ".ci" / "requirements.txt").read_text(encoding="utf-8")
    assert "://" not in pins
    assert "--hash=sha256:" in pins


COST_COLUMNS = {"ClockShare.cost_minor", "Movement.value_minor", "JobPart.cost_minor"}
MAY_READ_COST = {
    "shopbook/queries/money/costs.py": "the one question of what a job cost",
    "shopbook/queries/money/shop_supplies.py": "what was opened for the shop floor is of no job until it is spread",
    "shopbook/queries/jobs/whole.py": "one job's clocks, handed down whole; costs.py makes its lines of them",
    "shopbook/queries/shelf/movements.py": "the shelf's own value by kind, and the value that a draw may take back",
    "shopbook/queries/reports/house_read.py": "wages by person, of which jobs carry a part",
    "shopbook/queries/reports/paint_hours.py": "which of what was opened went to painting",
    "shopbook/queries/reports/accountant/shelf.py": "hands the ledger on line by line; a material's value on a day",
    "shopbook/queries/reports/accountant/work.py": "hands what was clocked and bought on line by line, no sum of it",
    "shopbook/queries/reports/proofs/clocks.py": "proves the hours by adding them up once more",
    "shopbook/queries/reports/proofs/shelf.py": "proves the shelf by going through its movements once more",
}


def test_what_a_job_cost_is_summed_in_one_place() -> None:
    reading = {
        name_of(path)
        for path in (ROOT / "shopbook").rglob("*.py")
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and f"{node.value.id}.{node.attr}" in COST_COLUMNS
    }
    assert reading == set(MAY_READ_COST)
