"""How the book is opened: one tuning of the engine, readers on one snapshot, one writer at a time."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.orm import Session

from shopbook.models.seal.hook import seal_writes

WRITES = "shopbook_writes"
"""Execution option that marks a connection whose transaction may write."""

WRITER_LOCK = 7_305_110
"""Key of the advisory lock that PostgreSQL's writers queue for."""

# Synced in full: what was acknowledged outlives a pulled plug. A writer waits five seconds for another's lock before
# the page says that the book is busy.
_PRAGMAS = ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "busy_timeout=5000")


def make_engine(url: str, **options: Any) -> Engine:
    """A tuned engine for a database address; see `tune`."""
    return tune(create_engine(url, **options))


def tune(engine: Engine) -> Engine:
    """Give an engine the begin that its transactions need; the same for app, commands, seed and tests.

    SQLite: the driver begins nothing by itself; a marked transaction begins immediate, any other only reads.
    PostgreSQL: a marked transaction waits for the writers' lock; any other reads one snapshot and cannot write.
    Both: what a marked transaction adds to sealed tables is sealed before it commits.
    """
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _connect_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        event.listen(engine, "begin", _begin_postgresql)
    seal_writes(engine)
    return engine


def _connect_sqlite(connection: Any, record: object) -> None:
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in _PRAGMAS:
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writes = bool(connection.get_execution_options().get(WRITES))
    connection.exec_driver_sql(f"PRAGMA query_only={'OFF' if writes else 'ON'}")
    # A plain begin would read first and ask for the lock at its first write: whoever wrote in between is then lost or
    # the write fails. An immediate one waits its turn before anything is read.
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _begin_postgresql(connection: Connection) -> None:
    if connection.get_execution_options().get(WRITES):
        # By name, whatever the server's own default: under a stricter one the snapshot would be taken before the lock
        # is waited for, and the newest link, the highest ids and every number be read as they stood before.
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL READ COMMITTED")
        # One writer at a time, as on SQLite: what a write read is still true when it commits. The server gives the lock
        # back when the transaction ends, however it ends.
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITER_LOCK})")
    else:
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")


@contextmanager
def transaction(session: Session) -> Iterator[Session]:
    """One write: ends the reader's snapshot, waits its turn, commits at the end, rolls back on any error.

    Refuses with RuntimeError when something is already changed in the session, for that change was made on an
    older snapshot. Only the edge calls this.
    """
    if session.new or session.dirty or session.deleted:
        raise RuntimeError("something was changed outside the transaction")
    session.rollback()
    session.connection(execution_options={WRITES: True})
    try:
        yield session
        session.commit()
    except BaseException:
        session.rollback()
        raise


def schema_revision(session: Session) -> str | None:
    """The migration that the database stands at; None for an empty database."""
    connection = session.connection()
    if not connection.dialect.has_table(connection, "alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
