"""A process of its own that reads a figure and writes it back raised by one, again and again, in a named way."""

from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import LogLine, NumberCounter
from tests.rows import MOMENT


def with_pragmas_alone(url: str) -> Engine:
    """As most write it: pragmas at connect, the driver left to begin by itself."""
    engine = create_engine(url)

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: Any, record: object) -> None:
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "busy_timeout=5000"):
            connection.execute(f"PRAGMA {pragma}")

    return engine


def with_immediate_argument(url: str) -> Engine:
    """As the driver's documentation suggests."""
    return create_engine(url, connect_args={"isolation_level": "IMMEDIATE", "timeout": 5})


WAYS = {
    "ours": make_engine,
    "pragmas": with_pragmas_alone,
    "immediate": with_immediate_argument,
    "plain": create_engine,
}


def add(url: str, way: str, times: int) -> None:
    engine = WAYS[way](url)
    for _ in range(times):
        with Session(engine) as session:
            if way == "ours":
                add_in_turn(session)
            else:
                try:
                    session.get_one(NumberCounter, ("raced", 0)).last_number += 1
                    session.commit()
                except OperationalError:
                    session.rollback()
    engine.dispose()


def add_in_turn(session: Session) -> None:
    """Whoever is refused tries again, as a person does: on a busy machine a turn may take longer than five seconds."""
    while True:
        try:
            session.get_one(NumberCounter, ("raced", 0))
            with transaction(session):
                session.get_one(NumberCounter, ("raced", 0)).last_number += 1
                # A row of a ledger, so that the write leaves a link of the seal.
                session.add(LogLine(at=MOMENT, on=MOMENT.date(), act="add", subject="raced", words=""))
        except OperationalError:
            continue
        return
