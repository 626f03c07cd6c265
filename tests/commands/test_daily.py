"""What the server does once a day: a proved backup into the second folder, old ones and old keys of acts gone."""

import logging
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session

from shopbook.commands.daily import DailyWork, do_daily
from shopbook.config import Config
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import ActKey, Setting
from shopbook.outside.backups import find_last_backup_at, list_backups, prove_backup
from tests.makers import STARTED, make_book

LOG = logging.getLogger("tests.daily")


@pytest.fixture
def engine(config: Config) -> Iterator[Engine]:
    """A started book that keeps its backups two days."""
    made = make_engine(config.database_url)
    with Session(made) as session, transaction(session):
        make_book(session)
        session.add(Setting(name="backup_days", value=2, from_on=date(2026, 1, 1), at=STARTED))
    yield made
    made.dispose()


def test_a_day_after_the_last_copy_the_next_is_made_and_old_ones_go(config: Config, engine: Engine) -> None:
    folder = config.data_folder / "backups"
    days = [STARTED + timedelta(days=day) for day in range(5)]
    for moment in days:
        assert do_daily(config, engine, LOG, moment)
        assert not do_daily(config, engine, LOG, moment + timedelta(hours=23, minutes=59))
    assert find_last_backup_at(folder) == days[-1]
    assert len(list_backups(folder)) == 3
    assert all(prove_backup(path).file_count >= 1 for path in list_backups(folder))


def test_a_book_that_nobody_has_started_is_copied_too(config: Config) -> None:
    engine = make_engine(config.database_url)
    assert do_daily(config, engine, LOG, STARTED)
    engine.dispose()
    assert len(list_backups(config.data_folder / "backups")) == 1


def test_keys_of_acts_are_forgotten_after_thirty_days(
    config: Config, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Session(engine) as session, transaction(session):
        for key, age in (("old", 31), ("young", 29)):
            claimed_at = STARTED - timedelta(days=age)
            session.add(ActKey(key=key, act="a", person_id=None, claimed_at=claimed_at))
    monkeypatch.setattr("shopbook.commands.book.now", lambda: STARTED)
    do_daily(config, engine, LOG, STARTED)
    with Session(engine) as session:
        assert session.scalars(select(ActKey.key)).all() == ["young"]


def test_a_copy_that_fails_is_logged_and_tried_again(
    config: Config, engine: Engine, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "no folder").write_text("a file", encoding="ascii")
    work = DailyWork(replace(config, backup_folder=tmp_path / "no folder"), LOG)
    with caplog.at_level(logging.INFO):
        work.start()
        deadline = time.monotonic() + 20
        while "the daily backup failed" not in caplog.text and time.monotonic() < deadline:
            time.sleep(0.02)
        work.end()
    assert "the daily backup failed" in caplog.text
    assert list_backups(config.data_folder / "backups") == []
