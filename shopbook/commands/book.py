"""The command line's counterpart of the act: the book opened, one read or one write, one sentence on error."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import IO, Any, TypeVar

import click
from filelock import FileLock, Timeout
from sqlalchemy import Engine, text
from sqlalchemy.exc import OperationalError, SQLAlchemyError
from sqlalchemy.orm import Session

from shopbook.config import Config
from shopbook.models.schema import is_known_revision, newest_revision
from shopbook.models.session import make_engine, schema_revision, transaction
from shopbook.queries.shop.guesses import find_other_release, is_of_newer_program
from shopbook.services.act import Act
from shopbook.trade.catalogue.releases import NEWER_BOOK
from shopbook.trade.permissions import THE_PROGRAM

Answer = TypeVar("Answer")
PROGRAM = THE_PROGRAM
"""The actor of commands."""


class Refused(click.ClickException):
    """A command that cannot be done: its sentence on the error channel, exit code 1."""

    def show(self, file: IO[Any] | None = None) -> None:
        click.echo(self.format_message(), file=file, err=file is None)


def now() -> datetime:
    """The moment at which a command acts."""
    return datetime.now(UTC)  # noqa: TID251


@contextmanager
def any_book(config: Config) -> Iterator[Engine]:
    """The book's engine, whatever migration it stands at; Refused when there is none or it does not answer."""
    if config.book_file is not None and not config.book_file.is_file():
        raise Refused(f"There is no book in {config.data_folder} yet. Run  shopbook init")
    engine = make_engine(config.database_url)
    try:
        _refuse_silent(engine)
        yield engine
    finally:
        engine.dispose()


@contextmanager
def open_book(config: Config) -> Iterator[Engine]:
    """The book's engine; Refused also when it does not stand at this program's migration and shipped figures."""
    with any_book(config) as engine:
        stands, wanted = revision_of(engine), newest_revision()
        if stands is None:
            raise Refused("The database is empty. Run  shopbook init")
        refuse_newer(engine)
        if stands != wanted:
            raise Refused(f"The book is at version {stands}, but this program needs {wanted}. Run  shopbook upgrade")
        if ask(engine, find_other_release) is not None:
            raise Refused(
                "This program has different figures from the book. Run  shopbook upgrade: the book keeps its own."
            )
        yield engine


def refuse_newer(engine: Engine) -> None:
    """Refused for a book that a newer program made or brought further: nothing here can read or upgrade it."""
    stands = revision_of(engine)
    is_ours = stands is None or is_known_revision(stands)
    if not is_ours or (stands == newest_revision() and ask(engine, is_of_newer_program)):
        raise Refused(NEWER_BOOK)


def revision_of(engine: Engine) -> str | None:
    """The migration that a database stands at; None when it is empty."""
    with Session(engine) as session:
        return schema_revision(session)


def act(engine: Engine, do: Callable[[Act], Answer]) -> Answer:
    """One write transaction around one service, as the program."""
    with Session(engine, expire_on_commit=False) as session, transaction(session):
        return do(Act(session, PROGRAM, now()))


def ask(engine: Engine, question: Callable[[Session], Answer]) -> Answer:
    """One question on one snapshot."""
    with Session(engine) as session:
        return question(session)


@contextmanager
def alone(config: Config) -> Iterator[None]:
    """Nobody else serves the book or changes its schema meanwhile; Refused when somebody does."""
    config.data_folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    # The system gives this lock back when its process dies: a crash never leaves a book that cannot be opened.
    lock = FileLock(config.lock_file)
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise Refused(f"Another Shopbook is using the book in {config.data_folder}. Stop that one first.") from None
    try:
        yield
    finally:
        lock.release()


def _refuse_silent(engine: Engine) -> None:
    try:
        with engine.connect() as connection:
            connection.execute(text("SELECT 1"))
    except OperationalError as error:
        said = _plain(error)
        if "readonly" in said or "unable to open" in said:
            raise Refused(
                f"The book cannot be opened ({said}). Whoever runs Shopbook needs write access to its file and folder."
            ) from error
        raise Refused(f"The database does not respond: {said}.") from error
    except SQLAlchemyError as error:
        raise Refused(f"The book cannot be read: {_plain(error)}.") from error


def _plain(error: SQLAlchemyError) -> str:
    """The database's own words on one line, without the statement."""
    return " ".join(str(getattr(error, "orig", None) or error).split())
