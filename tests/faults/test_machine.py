"""What the machine does to a book: full, read-only, damaged, busy, killed, its clock put back. Each is a sentence."""

import logging
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event

from shopbook.app import create_app
from shopbook.commands.daily import do_daily
from shopbook.config import Config, read_config
from shopbook.models.session import make_engine
from shopbook.outside.backups import find_last_backup_at, forget_old_backups, list_backups, prove_backup
from shopbook.outside.files import list_files
from shopbook.web.parts import errors
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.servers import Postgres, root_for, unprivileged

posix_only = pytest.mark.skipif(os.name != "posix", reason="limits and signals of this kind are POSIX's")
SOMEBODY = {"name": "Ines Okafor", "phone": "555-0101", "kind": "private"}


def customers(book: Path | None) -> int:
    with closing(sqlite3.connect(book or "")) as connection:
        return int(connection.execute("SELECT count(*) FROM customer").fetchone()[0])


def refused(answer: Any, sentence: str) -> None:
    assert answer.status_code == 503
    assert sentence.partition(",")[0] in answer.text
    assert "Something went wrong" not in answer.text


def test_a_book_that_may_not_grow_says_so_and_keeps_nothing_by_half(app: Flask, config: Config) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    with app.app_context():
        db.engine.dispose()

        def full(connection: Any, record: object) -> None:
            pages = connection.execute("PRAGMA page_count").fetchone()[0]
            connection.execute(f"PRAGMA max_page_count={pages}")

        event.listen(db.engine, "connect", full)
    answers = [client.press("/customers/new", **(SOMEBODY | {"note": "x" * 3900})) for _ in range(40)]
    refused(answers[-1], errors.NO_ROOM)
    assert customers(config.book_file) == sum(answer.status_code == 303 for answer in answers)
    assert client.get("/customers/").status_code in {200, 404}, "what is there can still be read"


def test_a_book_that_may_only_be_read_shows_its_pages_and_refuses_each_press(app: Flask, config: Config) -> None:
    url = f"sqlite:///file:{(config.book_file or Path()).as_posix()}?mode=ro&uri=true"
    kept = create_app(read_config({"SHOPBOOK_DATA": str(config.data_folder), "SHOPBOOK_DATABASE_URL": url}))
    kept.config["CLOCK"] = lambda: NOON
    client, cookie = ShopClient(kept), ShopClient(app).signed_in_as("Noor").http.get_cookie("shopbook")
    assert cookie is not None
    client.http.set_cookie("shopbook", cookie.value)
    assert client.get("/jobs/").status_code == 200
    refused(client.press("/customers/new", **SOMEBODY), errors.NO_WRITING)
    assert customers(config.book_file) == 0
    with kept.app_context():
        db.engine.dispose()
    for handler in kept.logger.handlers[:]:
        handler.close()
        kept.logger.removeHandler(handler)


def test_a_damaged_book_is_said_and_not_called_a_mistake_of_the_program(app: Flask, config: Config) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    with app.app_context():
        db.engine.dispose()
    assert config.book_file is not None
    for beside in ("-wal", "-shm"):
        Path(f"{config.book_file}{beside}").unlink(missing_ok=True)
    config.book_file.write_bytes(b"no book at all. " * 4096)
    refused(client.get("/jobs/"), errors.HARMED)


def test_a_book_that_another_program_holds_is_waited_for_and_then_said(app: Flask, config: Config) -> None:
    client = ShopClient(app).signed_in_as("Noor")
    with closing(sqlite3.connect(config.book_file or "", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        refused(client.press("/customers/new", **SOMEBODY), errors.BUSY)
        other.execute("ROLLBACK")
    assert client.press("/customers/new", **SOMEBODY).status_code == 303


@pytest.mark.postgresql
def test_a_server_of_the_database_that_is_away_is_a_page(postgres: Postgres, tmp_path: Path) -> None:
    url = postgres.url("never_made")
    away = create_app(read_config({"SHOPBOOK_DATA": str(tmp_path), "SHOPBOOK_DATABASE_URL": url}), TESTING=True)
    with away.test_client() as client:
        refused(client.get("/sign-in"), errors.NO_BOOK)
        assert client.get("/health").status_code == 503


@pytest.mark.processes
@posix_only
@pytest.mark.parametrize("words", [("check",), ("backup",), ("serve",), ("person", "add", "X", "--role", "desk")])
def test_a_folder_that_may_not_be_written_is_a_sentence(book_folder: Path, words: tuple[str, ...]) -> None:
    """As somebody without leave to write there; who is root has leave everywhere."""
    as_whom = unprivileged(book_folder)
    book_folder.chmod(0o555)
    (book_folder / "book.sqlite3").chmod(0o444)
    for parent in [book_folder, *book_folder.parents][:4]:
        parent.chmod(parent.stat().st_mode | 0o055)
    root = root_for(as_whom, book_folder.parent)
    environment = {"SHOPBOOK_DATA": str(book_folder), "PATH": os.environ["PATH"], "PYTHONPATH": str(root)}
    password = ("--password", "a long enough one") if words[0] == "person" else ()
    command = [*as_whom, sys.executable, "-m", "shopbook.cli", *words, *password]
    done = subprocess.run(command, env=environment, cwd="/", capture_output=True, text=True, timeout=60, check=False)
    assert "Traceback" not in done.stderr
    assert done.returncode == 1
    assert done.stderr.strip().endswith((".", "?")), done.stderr
    book_folder.chmod(0o755)
    with closing(sqlite3.connect(book_folder / "book.sqlite3")) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


BACK_UP = """
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from shopbook.outside.backups import copy_sqlite, make_backup
book, folder, moment = Path(sys.argv[1]), Path(sys.argv[2]), datetime(2026, 11, 5, tzinfo=UTC)
print("begun", flush=True)
for turn in range(5000):
    copy_sqlite(book, folder / "copy.sqlite3")
    make_backup(folder / "copy.sqlite3", {}, folder / "backups", moment + timedelta(seconds=turn))
"""


@pytest.mark.processes
@posix_only
def test_a_backup_that_was_killed_leaves_no_file_that_looks_like_one(book_file: Path, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    for turn in range(3):
        command = [sys.executable, "-c", BACK_UP, str(book_file), str(tmp_path)]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(0.3 + turn * 0.13)
        os.kill(process.pid, signal.SIGKILL)
        process.communicate(timeout=30)
    assert all(prove_backup(path).file_count == 1 for path in list_backups(folder))
    half = [path for path in folder.glob(".writing-*")]
    for path in half:
        os.utime(path, (0, 0))
    (folder / ".writing-now").touch()
    forget_old_backups(folder, datetime.now(UTC), 30)
    assert [path.name for path in folder.glob(".writing-*")] == [".writing-now"]
    assert list_files(folder) == list_backups(folder)


def test_a_clock_that_was_ahead_for_a_while_stops_no_backup(config: Config, app: Flask) -> None:
    engine, log = make_engine(config.database_url), logging.getLogger("tests.machine")
    folder = config.data_folder / "backups"
    ahead = NOON + timedelta(days=800)
    assert do_daily(config, engine, log, ahead)
    assert do_daily(config, engine, log, NOON)
    assert not do_daily(config, engine, log, NOON + timedelta(hours=1))
    assert do_daily(config, engine, log, NOON + timedelta(hours=25))
    assert find_last_backup_at(folder, NOON + timedelta(hours=25)) == NOON + timedelta(hours=25)
    assert shutil.disk_usage(folder).free > 0
    engine.dispose()
