"""DEVELOPERS.md answers five questions with path and function: each of them is imported, each file is there."""

import re
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SECTION = re.compile(r"^## Where is it decided\n(.*?)^## ", re.DOTALL | re.MULTILINE)
QUESTIONS = (
    "The price of a panel blended",
    "The rounding of tax",
    "A stage kind added",
    "A country added",
    "A field of a customer added",
)


def rows() -> dict[str, list[str]]:
    """What the table names in code, by its question."""
    found = SECTION.search((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"))
    assert found is not None
    table = [line.strip("| ").split("|", 1) for line in found[1].splitlines() if line.startswith("| ")]
    return {cells[0].strip(): re.findall(r"`([^`]+)`", cells[1]) for cells in table[1:]}


def test_the_five_questions_stand_in_the_table() -> None:
    assert tuple(rows()) == QUESTIONS
    assert sum(len(named) for named in rows().values()) > 25


@pytest.mark.parametrize(
    "named", sorted({each for named in rows().values() for each in named if ": " in each}), ids=lambda named: named
)
def test_each_function_named_there_is_where_the_table_says(named: str) -> None:
    path, _, name = named.partition(": ")
    place = path if (ROOT / path).exists() else f"shopbook/{path}"
    assert (ROOT / place).is_file(), place
    found: object = import_module(place.removesuffix(".py").removesuffix("/__init__").replace("/", "."))
    for part in name.split("."):
        found = getattr(found, part)


@pytest.mark.parametrize(
    "named", sorted({each for named in rows().values() for each in named if "/" in each and ": " not in each})
)
def test_each_file_and_folder_named_there_exists(named: str) -> None:
    assert (ROOT / named).exists() or (ROOT / "shopbook" / named).exists(), named


def test_each_answer_names_a_function() -> None:
    assert all(any(": " in each for each in named) for named in rows().values())
