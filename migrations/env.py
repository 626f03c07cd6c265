"""Runs migrations on the tuned engine in one write, keys off; guards made anew, what is new sealed, keys checked."""

from datetime import UTC, datetime
from typing import Any

from alembic import context
from sqlalchemy import Connection

from shopbook.config import read_config
from shopbook.models import Base
from shopbook.models.guards import make_guards
from shopbook.models.seal.hook import UNSEALED, seal_upgraded, sealed_heights
from shopbook.models.session import WRITES, make_engine


def render_plain(kind: str, item: Any, autogen: Any) -> str | bool:
    """Our column types as plain ones, so that an old migration imports no living code."""
    if kind == "type" and type(item).__name__ == "UtcMoment":
        return "sa.DateTime(timezone=True)"
    return False


def run(connection: Connection) -> None:
    is_sqlite = connection.dialect.name == "sqlite"
    if is_sqlite:
        connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")  # type: ignore[union-attr]
    with connection.begin():
        heights = sealed_heights(connection)
        context.configure(
            connection=connection,
            target_metadata=Base.metadata,
            render_as_batch=is_sqlite,
            render_item=render_plain,
            compare_type=True,
            transactional_ddl=False,
        )
        context.run_migrations()
        make_guards(connection)
        seal_upgraded(connection, heights, datetime.now(UTC))  # noqa: TID251 - a migration is run from the edge
        if is_sqlite:
            broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
            if broken:
                raise RuntimeError(f"the migration left rows that point nowhere: {broken[:5]}")


engine = make_engine(context.config.attributes.get("url") or read_config().database_url)
try:
    with engine.connect().execution_options(**{WRITES: True, UNSEALED: True}) as open_connection:
        run(open_connection)
finally:
    engine.dispose()
