"""A full book of the version before (the demo's 72 jobs, four closed months), for every migration to be tried on.

`book_before.sql.gz` is what Python's `iterdump` wrote of it; its pictures and papers are not with it, so `check` would
miss them. Made anew for another version: dump that version's demo, `gzip.compress(…, mtime=0)`, and set BEFORE.
"""

import gzip
import sqlite3
from contextlib import closing
from pathlib import Path

from shopbook.models.copying import copy_book
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import make_engine

BEFORE = "20261126_sign_in"
"""The migration that the book of the version before stands at."""

_DUMP = Path(__file__).with_name("book_before.sql.gz")


def old_book(folder: Path) -> str:
    """Write the old book into a folder as a SQLite file, guards and all, at its own schema; answers its address."""
    path = folder / "book_before.sqlite3"
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript(gzip.decompress(_DUMP.read_bytes()).decode("utf-8"))
    return f"sqlite:///{path.as_posix()}"


def put_old_book(url: str, folder: Path) -> None:
    """Put the old book into an empty database (PostgreSQL, or SQLite) at its own schema, as `shopbook move` copies.

    The empty database is first brought to BEFORE, so that what a test upgrades afterwards holds every old row: a
    migration is tried on PostgreSQL exactly as on SQLite. `folder` takes the SQLite file that is copied from.
    """
    upgrade_schema(url, to=BEFORE)
    source, target = make_engine(old_book(folder)), make_engine(url)
    try:
        copy_book(source, target)
    finally:
        source.dispose()
        target.dispose()
