"""How a backup is made of whichever database holds the book, and where backups go."""

import tempfile
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from shopbook.commands.book import ask, revision_of
from shopbook.config import Config
from shopbook.models.copying import copy_book
from shopbook.models.schema import newest_revision, upgrade_schema
from shopbook.models.session import make_engine
from shopbook.outside.backups import Backup, choose_backup_folder, copy_sqlite, make_backup
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.days import day_of
from shopbook.queries.shop.rates import setting_on
from shopbook.trade.settings import DEFAULTS, SettingName


def back_up(config: Config, engine: Engine, folder: Path, moment: datetime) -> Backup:
    """One proved file with the book as it stands, its pictures, papers and secret; the book may be in use."""
    with tempfile.TemporaryDirectory(prefix="shopbook-copy-") as name:
        copy = Path(name) / "copy.sqlite3"
        if config.book_file is not None:
            copy_sqlite(config.book_file, copy)
        else:
            _copy_server_book(engine, copy)
        others = {
            "secret": config.data_folder / "secret",
            "pictures": config.pictures_folder,
            "papers": config.papers_folder,
        }
        return make_backup(copy, others, folder, moment)


def _copy_server_book(engine: Engine, copy: Path) -> None:
    """A book kept in PostgreSQL as one SQLite file at the same migration, so that a backup is the same everywhere."""
    url = f"sqlite:///{copy.as_posix()}"
    upgrade_schema(url, revision_of(engine) or "head")
    target = make_engine(url)
    try:
        copy_book(engine, target)
    finally:
        target.dispose()
    # A journal of its own would not travel with the file.
    copy_sqlite(copy, copy.with_suffix(".whole"))
    copy.with_suffix(".whole").replace(copy)


def backup_folder(config: Config, engine: Engine, moment: datetime) -> Path:
    """Where this book's backups go; the book itself is asked only when it can be read by this program."""
    named = str(_setting(engine, SettingName.BACKUP_FOLDER, moment))
    return choose_backup_folder(config.data_folder, config.backup_folder, named)


def backup_days(engine: Engine, moment: datetime) -> int:
    """For how many days backups are kept."""
    return int(_setting(engine, SettingName.BACKUP_DAYS, moment))


def _setting(engine: Engine, name: SettingName, moment: datetime) -> Any:
    def find(session: Session) -> Any:
        return setting_on(session, name, day_of(session, moment)) if find_book(session) else DEFAULTS[name]

    if revision_of(engine) != newest_revision():
        return DEFAULTS[name]
    try:
        return ask(engine, find)
    except SQLAlchemyError:
        return DEFAULTS[name]
