"""The database is away, at any moment of a press: a sentence, nothing kept by half, one traceback a minute a kind."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event, text
from sqlalchemy.orm import Session

from shopbook.app import create_app
from shopbook.config import read_config
from shopbook.models.session import make_engine, transaction
from shopbook.trade.permissions import Role
from shopbook.web.parts import errors
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers import make_book, make_person

CLOSE = "/months/2026-10/close"


@pytest.fixture
def away(postgres_url: str, tmp_path: Path) -> Iterator[Flask]:
    """The program on a started book of a PostgreSQL server, with an owner."""
    settings = {"SHOPBOOK_DATA": str(tmp_path), "SHOPBOOK_DATABASE_URL": postgres_url}
    made = create_app(read_config(settings), TESTING=True, CLOCK=lambda: NOON)
    engine = make_engine(postgres_url)
    with Session(engine) as opened, transaction(opened):
        make_book(opened)
        make_person(opened, "Noor", Role.OWNER)
    engine.dispose()
    yield made
    with made.app_context():
        db.engine.dispose()


@contextmanager
def tracebacks(app: Flask) -> Iterator[list[bool]]:
    """Whether each line that the program logs carries a traceback."""
    seen = list[bool]()
    handler = logging.Handler()
    handler.emit = lambda record: seen.append(record.exc_info is not None)  # type: ignore[method-assign]
    app.logger.addHandler(handler)
    try:
        yield seen
    finally:
        app.logger.removeHandler(handler)


@contextmanager
def outage(app: Flask, at: int | None = None) -> Iterator[list[str]]:
    """The server ends our connections just before statement `at` (the first is 0); the statements are kept."""
    with app.app_context():
        engine = db.engine
    other, seen = make_engine(engine.url.render_as_string(hide_password=False)), list[str]()

    def cut(*given: Any) -> None:
        if len(seen) == at:
            with other.connect() as connection:
                connection.execute(
                    text(
                        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                        " WHERE pid <> pg_backend_pid() AND datname = current_database()"
                    )
                )
        seen.append(str(given[2]))

    event.listen(engine, "before_cursor_execute", cut)
    try:
        yield seen
    finally:
        event.remove(engine, "before_cursor_execute", cut)
        other.dispose()


def closings(url: Any) -> int:
    engine = make_engine(url)
    with engine.connect() as connection:
        found = connection.scalar(text("SELECT count(*) FROM month_close"))
    engine.dispose()
    return int(found or 0)


@pytest.mark.postgresql
def test_an_outage_at_any_statement_of_closing_a_month_is_a_sentence_and_closes_nothing(away: Flask) -> None:
    client = ShopClient(away).signed_in_as("Noor")
    with outage(away) as seen:
        client.get("/months/2026-10")
    wrong, at = {}, 0
    while True:
        with outage(away, at) as seen:
            answer = client.press(CLOSE)
        if len(seen) <= at:
            break
        if answer.status_code != 503 or "Something went wrong" in answer.text:
            wrong[at] = (answer.status_code, seen[at][:60])
        at += 1
    assert wrong == {}
    assert at > 20
    assert answer.status_code == 303
    assert client.get("/months/2026-10").status_code == 200


@pytest.mark.postgresql
def test_an_outage_while_an_error_is_shown_is_still_a_sentence(away: Flask) -> None:
    client = ShopClient(away).signed_in_as("Noor")
    with outage(away) as seen:
        assert client.get("/nowhere").status_code == 404
    asked = len(seen)
    for at in range(asked):
        with outage(away, at):
            answer = client.get("/nowhere")
        assert (answer.status_code, "Something went wrong" in answer.text) == (503, False), at


def test_a_trouble_has_one_traceback_a_minute_and_each_kind_its_own(app: Flask) -> None:
    moment = [NOON]
    app.config["CLOCK"] = lambda: moment[0]
    found = list[bool]()
    with app.test_request_context(), tracebacks(app) as seen:
        for seconds, kind in ((0, errors.NO_BOOK), (1, errors.NO_BOOK), (2, errors.NO_ROOM), (59, errors.NO_BOOK),
                              (60, errors.NO_BOOK), (61, errors.NO_BOOK)):  # fmt: skip
            moment[0] = NOON + timedelta(seconds=seconds)
            try:
                raise OSError(kind)
            except OSError:
                errors.log_trouble(kind)
        found = list(seen)
    assert found == [True, False, True, False, True, False]


@pytest.mark.postgresql
def test_presses_during_an_outage_fill_no_log_with_tracebacks(away: Flask) -> None:
    client = ShopClient(away).signed_in_as("Noor")
    with tracebacks(away) as seen:
        for _ in range(4):
            with outage(away, 0):
                assert client.press(CLOSE).status_code == 503
    assert seen == [True, False, False, False]
