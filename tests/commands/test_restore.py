"""`shopbook restore`: a book is called whole once it was upgraded and checked in its new folder, never before."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from shopbook.models.schema import downgrade_schema, newest_revision
from shopbook.outside.backups import list_backups
from tests.commands.test_commands import Shell


def back_up(shell: Shell, folder: Path) -> Path:
    assert shell.run("backup", "--to", str(folder)).exit_code == 0
    return list_backups(folder)[-1]


def change(shell: Shell, statement: str) -> None:
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection, connection:
        connection.execute(statement)


def test_a_backup_of_an_earlier_schema_is_upgraded_checked_and_then_called_whole(begun: Shell, tmp_path: Path) -> None:
    downgrade_schema(begun.config.database_url, "20261130_reopened")
    file, there = back_up(begun, tmp_path / "kept"), tmp_path / "there"
    said = begun.run("restore", str(file), "--to", str(there))
    assert said.exit_code == 0, said.output
    assert "is whole" in said.output
    other = Shell(there, {**begun.environment, "SHOPBOOK_DATA": str(there)})
    assert other.run("check").exit_code == 0
    with closing(sqlite3.connect(there / "book.sqlite3")) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchone() == (newest_revision(),)


def test_a_book_with_faults_is_restored_and_not_called_whole(begun: Shell, tmp_path: Path) -> None:
    change(begun, "INSERT INTO number_counter VALUES ('order', 0, 5)")
    said = begun.run("restore", str(back_up(begun, tmp_path / "kept")), "--to", str(tmp_path / "there"))
    assert said.exit_code == 1
    assert "whole" not in said.output
    assert "[number_counter order/0]" in said.output
    assert "Try an earlier one" in said.output


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TRIGGER tidy AFTER INSERT ON log_line BEGIN UPDATE material SET value_minor = 0; END",
        "CREATE TRIGGER guard_person_delete BEFORE DELETE ON person BEGIN SELECT 1; END",
    ],
)
def test_a_book_with_a_foreign_trigger_is_refused_before_anything_is_written_into_it(
    begun: Shell, tmp_path: Path, statement: str
) -> None:
    change(begun, statement)
    file = back_up(begun, tmp_path / "kept")
    assert "not Shopbook's" in begun.refused("restore", str(file), "--to", str(tmp_path / "there"))
    assert not (tmp_path / "there").exists()


def test_a_book_that_cannot_be_brought_up_leaves_nothing_behind(begun: Shell, tmp_path: Path) -> None:
    downgrade_schema(begun.config.database_url, "20261130_reopened")
    change(begun, "DROP TABLE plan_version")
    file = back_up(begun, tmp_path / "kept")
    assert "Nothing was restored" in begun.refused("restore", str(file), "--to", str(tmp_path / "there"))
    assert list((tmp_path / "there").glob("*")) == []
