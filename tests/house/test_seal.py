"""What is sealed: every append-only table, by a form that equals the models, and older forms by their migrations."""

import re
from pathlib import Path

import pytest
from sqlalchemy import BigInteger, Boolean, Column, Date, Integer, inspect

from shopbook.models import Base
from shopbook.models.base import UtcMoment
from shopbook.models.guards import LEDGERS
from shopbook.models.schema import upgrade_schema
from shopbook.models.seal.forms import FORMS, get_form, present_form
from shopbook.models.session import make_engine

ROOT = Path(__file__).resolve().parents[2]
PRESENT = f"shopbook/models/seal/form_{FORMS[-1]}.toml"


def kind_of(column: Column[object]) -> str:
    for kind, type_ in (("m", UtcMoment), ("b", Boolean), ("d", Date), ("n", Integer), ("n", BigInteger)):
        if isinstance(column.type, type_):
            return kind
    return "t"


def line_of(table: str) -> str:
    """How the form says a table: what to write there."""
    columns = sorted(Base.metadata.tables[table].columns, key=lambda column: column.name)
    return f'{table} = "{" ".join(f"{column.name}:{kind_of(column)}" for column in columns)}"'


def test_every_append_only_table_is_sealed_and_nothing_else() -> None:
    """The seal itself is guarded, and proved by its own digests."""
    sealed, wanted = set(present_form().tables), set(LEDGERS) - {"seal"}
    missing = "\n".join(line_of(table) for table in sorted(wanted - sealed))
    assert sealed == wanted, f"write into {PRESENT}:\n{missing}"


def test_the_present_form_equals_the_models() -> None:
    """A column added to a sealed table adds a form, or a line of the newest one while no release has it."""
    lines = (ROOT / PRESENT).read_text(encoding="utf-8").splitlines()
    wrong = [line_of(table) for table in present_form().tables if line_of(table) not in lines]
    assert not wrong, f"write into {PRESENT}, or into a new form:\n" + "\n".join(wrong)


def test_the_program_inserts_by_no_sql_as_text() -> None:
    """The hook sees statements, not text: such a row would stand in no link."""
    found = [
        path.as_posix()
        for path in (ROOT / "shopbook").rglob("*.py")
        if re.search(r"\binsert\s+(or \w+ )?into\b", path.read_text(encoding="utf-8"), re.IGNORECASE)
    ]
    assert found == []


def test_every_sealed_table_has_a_whole_number_for_its_key() -> None:
    for table in present_form().tables:
        (key,) = Base.metadata.tables[table].primary_key
        assert (key.name, kind_of(key)) == ("id", "n"), table


@pytest.mark.parametrize("number", FORMS)
def test_a_form_is_what_its_migration_made(number: int, tmp_path: Path) -> None:
    """So a form that is in use is frozen: a later column is not there yet at its migration."""
    form, url = get_form(number), f"sqlite:///{(tmp_path / 'book.sqlite3').as_posix()}"
    upgrade_schema(url, form.since)
    engine = make_engine(url)
    there = inspect(engine)
    for table, columns in form.tables.items():
        assert {column["name"] for column in there.get_columns(table)} == set(columns), table
    engine.dispose()


def test_forms_are_numbered_without_a_gap_and_a_column_never_goes() -> None:
    """A book keeps its old links: what they name must still be there to be read."""
    assert list(FORMS) == list(range(1, len(FORMS) + 1))
    for number in FORMS:
        for table, columns in get_form(number).tables.items():
            assert set(columns) <= set(present_form().tables[table]), table
