"""The seal at the command line: what backups keep of it, a restore that gives later work up, and an end cut off."""

import json
import shutil
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.commands.book import PROGRAM, now
from shopbook.models.seal.chain import Seal
from shopbook.models.session import make_engine, transaction
from shopbook.outside.backups import list_backups
from shopbook.services.act import Act
from shopbook.services.money.close import close_month
from shopbook.services.postings import write_log
from tests.commands.test_commands import Shell, begin
from tests.makers import make_book
from tests.migrations.old_books import old_book


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    """A started book whose backups go to a folder beside it, as on a second disk."""
    folder, disk = tmp_path / "book", tmp_path / "second disk"
    environment = {"SHOPBOOK_DATA": str(folder), "SHOPBOOK_DATABASE_URL": "", "SHOPBOOK_BACKUP_FOLDER": str(disk)}
    return begin(Shell(folder, environment))


def work(shell: Shell, times: int = 1) -> None:
    """So many acts that each leave a line in the log."""
    engine = make_engine(shell.config.database_url)
    for _ in range(times):
        with Session(engine) as session, transaction(session):
            write_log(Act(session, PROGRAM, now()), "try", "book", None, "Tried")
    engine.dispose()


def back_up(shell: Shell, name: str) -> Path:
    """A backup, with a name of its own: two may be made within one second."""
    disk = Path(shell.environment["SHOPBOOK_BACKUP_FOLDER"])
    before = set(list_backups(disk)) if disk.exists() else set()
    assert shell.run("backup").exit_code == 0
    (made,) = set(list_backups(disk)) - before
    return made.rename(disk / f"shopbook-{name}.zip")


def kept_in(backup: Path) -> dict[str, object]:
    with zipfile.ZipFile(backup) as pack:
        kept: dict[str, object] = json.loads(pack.read("manifest.json"))["seal"]
    return kept


def last_link(shell: Shell) -> tuple[int, str, str]:
    engine = make_engine(shell.config.database_url)
    with Session(engine) as session:
        found = session.execute(select(Seal.number, Seal.sha256, Seal.note).order_by(Seal.number.desc())).first()
    engine.dispose()
    assert found is not None
    return tuple(found)


def test_a_backup_keeps_the_newest_link_of_its_book(shell: Shell) -> None:
    work(shell, 3)
    number, digest, _ = last_link(shell)
    kept = kept_in(back_up(shell, "2026-11-05-170001"))
    assert (kept["number"], kept["sha256"]) == (number, digest)
    assert "the seal holds what closings and backups keep of it  (1)" in shell.run("check").output


def test_an_end_cut_off_is_found_by_a_backup_and_the_backup_named(shell: Shell) -> None:
    work(shell, 3)
    number, *_ = last_link(shell)
    back_up(shell, "2026-11-05-170001")
    cut(shell, number)
    told = shell.run("check")
    assert told.exit_code == 1
    assert (
        f"The seal ends at link {number - 1}, but backup shopbook-2026-11-05-170001.zip keeps link {number}"
        in told.output
    )
    assert told.output.count("FAULT") == 1


def cut(shell: Shell, number: int) -> None:
    """Take the last act and its link away, as somebody with the file would; the guards stand again afterwards."""
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection:
        named = "name LIKE 'guard_log_line%' OR name LIKE 'guard_seal%'"
        guards = connection.execute(f"SELECT name, sql FROM sqlite_master WHERE {named}").fetchall()
        for name, _ in guards:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("DELETE FROM seal WHERE number = ?", (number,))
        connection.execute("DELETE FROM log_line WHERE id = (SELECT max(id) FROM log_line)")
        for _, statement in guards:
            connection.execute(statement)
        connection.commit()


def test_an_end_cut_off_behind_a_closing_is_found_by_the_closing(shell: Shell) -> None:
    engine = make_engine(shell.config.database_url)
    with Session(engine) as session, transaction(session):
        close = close_month(Act(session, PROGRAM, now()), "2026-08", {})
        kept = (close.seal_number, close.seal_sha256)
    engine.dispose()
    number, *_ = last_link(shell)
    assert kept[0] == number - 1
    assert "the seal holds what closings and backups keep of it  (1)" in shell.run("check").output
    with closing(sqlite3.connect(shell.config.book_file or "")) as connection:
        connection.executescript("DROP TRIGGER guard_seal_delete; DELETE FROM seal")
    told = " ".join(shell.run("check").output.split())
    assert "The seal ends at link 0, but closing 2026-08, version 1, keeps link" in told


def test_a_restore_leaves_a_link_and_later_backups_are_given_up_and_no_fault(shell: Shell, tmp_path: Path) -> None:
    work(shell, 2)
    first = back_up(shell, "2026-11-05-170001")
    work(shell, 2)
    back_up(shell, "2026-11-06-170001")
    there = tmp_path / "restored"
    told = shell.run("restore", str(first), "--to", str(there))
    assert told.exit_code == 0, told.output
    back = Shell(there, {**shell.environment, "SHOPBOOK_DATA": str(there)})
    # One link is of the check value of the secret, which the restored book did not note yet.
    assert last_link(back)[0] == kept_in(first)["number"] + 2  # type: ignore[operator]
    assert last_link(back)[2] == "Restored from shopbook-2026-11-05-170001.zip"
    work(back, 4)
    told = back.run("check")
    assert told.exit_code == 0, told.output
    assert "backup shopbook-2026-11-06-170001.zip of" in told.output
    assert "was given up at the restore of" in told.output
    # The book that was given up is whole as well, for itself.
    assert shell.run("check").exit_code == 0


def test_a_backup_of_another_book_in_the_same_folder_is_none_of_ours(shell: Shell, tmp_path: Path) -> None:
    work(shell, 9)
    back_up(shell, "2026-11-05-170001")
    other = Shell(tmp_path / "other", {**shell.environment, "SHOPBOOK_DATA": str(tmp_path / "other")})
    other.run("init")
    engine = make_engine(other.config.database_url)
    with Session(engine) as session, transaction(session):
        make_book(session).book_key = "of another shop"
    engine.dispose()
    told = other.run("check")
    assert told.exit_code == 0, told.output


def test_a_backup_of_an_earlier_schema_is_restored_upgraded_sealed_and_linked(tmp_path: Path) -> None:
    """Its pictures are not with it: what is missing is said, and nothing is called whole."""
    folder = tmp_path / "old"
    folder.mkdir()
    shutil.move(old_book(tmp_path).removeprefix("sqlite:///"), folder / "book.sqlite3")
    environment = {"SHOPBOOK_DATA": str(folder), "SHOPBOOK_DATABASE_URL": "", "SHOPBOOK_BACKUP_FOLDER": ""}
    old = Shell(folder, environment)
    assert old.run("backup", "--to", str(tmp_path / "kept")).exit_code == 0
    (file,) = list_backups(tmp_path / "kept")
    there = tmp_path / "restored"
    told = old.run("restore", str(file), "--to", str(there))
    assert told.exit_code == 1
    assert "has the faults above: they were in the backup" in told.output
    back = Shell(there, {**environment, "SHOPBOOK_DATA": str(there)})
    faults = [line for line in back.run("check").output.splitlines() if line.startswith("       ")]
    assert [line for line in faults if " is missing" not in line] == []
    assert last_link(back)[2] == f"Restored from {file.name}"
